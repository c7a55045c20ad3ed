#include "cli/words.h"

#include "describe/shape.h"

enum sim_status words_address(const char *option, const char *text,
                              addr_t *address, struct sim_error *err)
{
  uint64_t value;
  if (!shape_hex(text, &value) || value > UINT32_MAX) {
    const struct sim_place where = {.path = option};
    return sim_fail(err, SIM_USAGE, &where,
                    "is \"%s\"; expected an address such as 0x04000000", text);
  }
  *address = (addr_t)value;
  return SIM_OK;
}
