#include "report/text_learned.h"

#include <inttypes.h>

#include "report/answers.h"

/* "bit 25 reads 1", or the bits of a mask. */
static void put_bits(struct page *page, const struct learned *l)
{
  unsigned bit = report_single_bit(l->mask);
  if (bit < 32) {
    page_format(page, "bit %u reads %u", bit, (unsigned)(l->value >> bit) & 1);
  } else {
    page_say(page, "bits ");
    page_address(page, l->mask);
    page_say(page, " read ");
    page_address(page, l->value);
  }
}

static void put_lesson(struct page *page, const struct learned *l)
{
  page_item(page, 2, 4, "-");
  page_address(page, l->at);
  if (l->name) {
    page_say(page, " ");
    page_say(page, l->name);
  }
  page_say(page, ": ");
  if (l->mask == 0) {
    page_say(page, "no bit that was tried lets it go");
  } else {
    put_bits(page, l);
    if (l->withdrawn) page_say(page, ", if something outside makes it");
  }
  page_say(page, "; polled from ");
  page_address(page, l->pc);
  if (l->symbol) {
    page_say(page, " ");
    page_say(page, l->symbol);
  }
  if (l->source) {
    page_say(page, " (");
    page_say(page, l->source);
    page_say(page, ")");
  }
  page_end(page);
}

void text_learned(struct page *page, const struct result *r)
{
  if (r->learned_count == 0) return;
  page_gap(page);
  page_item(page, 0, 0, "");
  page_format(page,
              "learned about registers that nothing describes, in %" PRIu64
              " trial%s: ",
              r->trials, r->trials == 1 ? "" : "s");
  page_say(page, "look at it, a trial may have led the program astray.");
  page_end(page);
  for (uint32_t i = 0; i < r->learned_count; i++) {
    put_lesson(page, &r->learned[i]);
  }
}
