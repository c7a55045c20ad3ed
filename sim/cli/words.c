#include "cli/words.h"

#include <inttypes.h>
#include <stdbool.h>
#include <string.h>

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

enum sim_status words_number(const char *option, const char *text,
                             uint32_t most, uint32_t *number,
                             struct sim_error *err)
{
  uint64_t value = 0;
  size_t length = strlen(text);
  bool good =
      length > 0 && length < 12 && strspn(text, "0123456789") == length;
  for (size_t i = 0; good && i < length; i++)
    value = value * 10 + (uint64_t)(text[i] - '0');
  if (!good || value > most) {
    const struct sim_place where = {.path = option};
    return sim_fail(err, SIM_USAGE, &where,
                    "is \"%s\"; expected a number from 0 to %" PRIu32, text,
                    most);
  }
  *number = (uint32_t)value;
  return SIM_OK;
}
