#include "image/image_parts.h"

enum sim_status image_read_bin(struct image_parts *parts, addr_t base,
                               struct sim_error *err)
{
  struct sim_place where = {.file = parts->file};
  return image_parts_add(parts, &where, base, parts->content,
                         (uint32_t)parts->length, err);
}
