#include "report/html_document.h"

#include <inttypes.h>
#include <stdio.h>

#include "report/html_parts.h"

void html_document_begin(struct html_document *d, FILE *to, uint32_t cases,
                         const char *title)
{
  char text[64];
  *d = (struct html_document){.html = {.to = to}, .cases = cases};
  snprintf(text, sizeof text, "%" PRIu32 " cases", cases);
  html_begin(&d->html, cases == 1 ? title : text);
}

void html_document_add(struct html_document *d, const struct html_run *runs,
                       uint32_t count)
{
  struct html *h = &d->html;
  d->added++;
  for (uint32_t i = 0; i < count; i++) {
    if (runs[i].result->contention) d->contention = true;
  }
  snprintf(h->prefix, sizeof h->prefix, "c%" PRIu32 "-", d->added);
  if (d->cases > 1) html_section(h, "case", runs[0].result->title);
  if (count == 1)
    html_run(h, &runs[0]);
  else
    html_beside(h, runs, count);
  if (d->cases > 1) html_section_end(h);
}

void html_document_end(struct html_document *d)
{
  d->html.prefix[0] = '\0';
  html_words(&d->html);
  html_cautions(&d->html, d->contention);
  html_end(&d->html);
}
