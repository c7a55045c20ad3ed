#include "report/text_code.h"

#include <inttypes.h>
#include <stdio.h>

#include "report/disassembly.h"

/* As text_start.c has them. */
enum { INDENT = 2, HANG = 15 };

/* "> 0x0600012a  f3bf 8f4f  dsb sy": one item, not to be broken. */
static void put_instruction(struct page *page, const char *lead,
                            const struct instruction *i, bool marks)
{
  char line[256];
  const char *mark = !marks ? "" : i->here ? "> " : "  ";
  snprintf(line, sizeof line, "%s0x%08" PRIx32 "  %-9s  %s", mark, i->at,
           i->bytes, i->text);
  page_item(page, lead[0] ? INDENT : HANG, HANG, lead);
  page_together(page, line);
  page_end(page);
}

static void put_all(struct page *page, const char *lead,
                    const struct instruction *list, uint32_t count, bool marks)
{
  for (uint32_t i = 0; i < count; i++) {
    put_instruction(page, i == 0 ? lead : "", &list[i], marks);
  }
}

static void put_ahead(struct page *page, const char *lead,
                      const struct code_bytes *code)
{
  struct instruction list[DISASSEMBLY_AHEAD];
  put_all(page, lead, list, disassembly_ahead(code, list), false);
}

void text_code(struct page *page, const struct start *s)
{
  put_ahead(page, "first code", &s->code);
  if (s->landing.landed) put_ahead(page, "landed in", &s->landing_code);
  if (!start_has_stopped(s)) return;
  struct instruction list[DISASSEMBLY_AROUND];
  put_all(page, "stopped at", list, disassembly_around(&s->stop_code, list),
          true);
}
