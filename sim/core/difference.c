#include "core/difference.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

/* One row a member, or one an array; its elements are integers. */
static const struct row {
  const char *name;
  size_t at, element, count;
} rows[] = {
#define ONE(field)                                                            \
  {                                                                           \
#field, offsetof(struct core, field), sizeof(((struct core *)0)->field),  \
        1                                                                     \
  }
#define MANY(field)                                                           \
  {                                                                           \
#field, offsetof(struct core, field),                                     \
        sizeof(((struct core *)0)->field[0]),                                 \
        sizeof(((struct core *)0)->field) /                                   \
            sizeof(((struct core *)0)->field[0])                              \
  }
    MANY(r),
    ONE(msp),
    ONE(psp),
    ONE(xpsr),
    ONE(primask),
    ONE(control),
    ONE(mode),
    ONE(cycle),
    ONE(attention),
    ONE(instructions),
    ONE(progress.begun),
    ONE(progress.words),
    ONE(progress.spent),
    ONE(region),
    ONE(counted),
    ONE(active),
    ONE(pending),
    MANY(priority),
    ONE(event),
    ONE(sleeps_for_event),
    ONE(vector_base),
    ONE(system_control),
    ONE(reset_requested),
    ONE(debug_enabled),
    ONE(catch_reset),
    ONE(catch_hardfault),
    ONE(trace_enabled),
    ONE(debug_fault_status),
    ONE(reset_seen),
    ONE(retired_seen),
    ONE(debug_data),
    ONE(debug_step),
    ONE(debug_mask),
#undef ONE
#undef MANY
};

#define ROWS (sizeof(rows) / sizeof(rows[0]))

static uint64_t number_at(const void *from, size_t size)
{
  uint64_t wide;
  uint32_t word;
  uint8_t byte;
  switch (size) {
  case sizeof(wide): memcpy(&wide, from, size); return wide;
  case sizeof(word): memcpy(&word, from, size); return word;
  default: memcpy(&byte, from, sizeof(byte)); return byte;
  }
}

static void tell(const struct row *r, size_t index, uint64_t a, uint64_t b,
                 char *text, size_t size)
{
  char place[24] = "";
  if (r->count > 1) snprintf(place, sizeof(place), "[%zu]", index);
  snprintf(text, size, "%s%s is 0x%" PRIx64 ", 0x%" PRIx64, r->name, place, a,
           b);
}

bool difference_find(const struct core *a, const struct core *b, char *text,
                     size_t size)
{
  for (size_t n = 0; n < ROWS; n++) {
    const struct row *r = &rows[n];
    for (size_t i = 0; i < r->count; i++) {
      size_t at = r->at + i * r->element;
      uint64_t left = number_at((const char *)a + at, r->element);
      uint64_t right = number_at((const char *)b + at, r->element);
      if (left == right) continue;
      tell(r, i, left, right, text, size);
      return true;
    }
  }
  return false;
}

void difference_apply(struct core *to, const struct core *before,
                      const struct core *after)
{
  for (size_t n = 0; n < ROWS; n++) {
    size_t size = rows[n].element * rows[n].count;
    const char *from = (const char *)after + rows[n].at;
    if (memcmp((const char *)before + rows[n].at, from, size) != 0)
      memcpy((char *)to + rows[n].at, from, size);
  }
  if (before->boundary != after->boundary) to->boundary = after->boundary;
}
