#include "run/assumed.h"

#include "describe/trace_kinds.h"

static const struct {
  enum trace_kind kind;
  enum part_section section;
} rows[] = {
    {TRACE_RAIL_RISE, SECTION_POWER},   {TRACE_RAIL_FALL, SECTION_POWER},
    {TRACE_PHASE, SECTION_BOOT},        {TRACE_RESET, SECTION_RESET},
    {TRACE_OPTION, SECTION_OPTIONS},    {TRACE_ENTER, SECTION_CORE},
    {TRACE_ENTER, SECTION_CLOCK},       {TRACE_ENTER, SECTION_MEMORY},
    {TRACE_FLASH_BEGIN, SECTION_FLASH}, {TRACE_PIN, SECTION_PINS},
    {TRACE_WATCHDOG, SECTION_WATCHDOG}, {TRACE_DEEP_SLEEP, SECTION_DEEP_SLEEP},
    {TRACE_CONTENTION, SECTION_PINS},   {TRACE_PROBE, SECTION_PROBE},
};
#define ROW_COUNT (sizeof(rows) / sizeof(rows[0]))

static void fold(void *context, const struct trace_record *r)
{
  struct assumed *a = context;
  for (unsigned i = 0; i < ROW_COUNT; i++)
    if (rows[i].kind == r->kind) a->touched |= 1u << rows[i].section;
}

void assumed_init(struct assumed *a, struct trace *tr)
{
  *a = (struct assumed){0};
  trace_mask mask = 0;
  for (unsigned i = 0; i < ROW_COUNT; i++)
    mask |= TRACE_BIT(rows[i].kind);
  trace_listen(tr, mask, fold, a);
}

uint32_t assumed_count(const struct assumed *a, const struct part *part)
{
  uint32_t count = 0;
  for (unsigned i = 0; i < SECTION_COUNT_; i++)
    if ((a->touched >> i) & 1u) count += part->assumed[i];
  return count;
}
