#include "report/html_parts.h"

#include <inttypes.h>
#include <string.h>

#include "base/arena.h"
#include "base/file.h"
#include "describe/names.h"
#include "describe/part_numbers.h"
#include "report/text_steps.h"

/* --- the head ------------------------------------------------------------ */

void html_subject(struct html *h, const char *part, const char *about,
                  const char *case_file)
{
  html_put(h, "Part <strong>");
  html_text(h, part);
  html_put(h, about ? "</strong>: " : "</strong>.");
  if (about) html_text(h, about);
  if (!case_file) return;
  html_put(h, " Case file <code>");
  html_text(h, file_name(case_file));
  html_put(h, "</code>.");
}

void html_contents(struct html *h, const struct html_entry *list)
{
  html_put(h, "<nav aria-label=\"Contents%s%s\">\n<ul>\n",
           h->prefix[0] ? " " : "", h->prefix);
  for (; list->id; list++)
    html_put(h, "<li><a href=\"#%s%s\">%s</a></li>\n", h->prefix, list->id,
             list->title);
  html_put(h, "</ul>\n</nav>\n");
}

void html_steps(struct html *h, const struct case_script *script,
                uint32_t from, uint32_t to)
{
  struct page page;
  bool any = false;
  page_open_markup(&page, h->to, PAGE_INLINE);
  for (uint32_t i = from; i < to && i < script->step_count; i++) {
    if (script->steps[i].verb == VERB_EXPECT) continue;
    html_put(h, "%s<li>", any ? "" : "<ol>\n");
    any = true;
    page_item(&page, 0, 0, "");
    text_step_says(&page, script, &script->steps[i]);
    page_end(&page);
    html_put(h, "</li>\n");
  }
  if (any) html_put(h, "</ol>\n");
}

/* --- what is assumed ----------------------------------------------------- */

static const struct part_number *number_of(const struct part_number *numbers,
                                           uint32_t count, const char *path)
{
  for (uint32_t i = 0; i < count; i++) {
    if (strcmp(numbers[i].path, path) == 0) return &numbers[i];
  }
  return NULL;
}

static void put_value(struct html *h, const struct part *part,
                      const struct part_number *n)
{
  char typ[64], min[64], max[64];
  html_put(h, "<td>");
  if (!n) {
    html_put(h, "how it behaves");
  } else {
    const struct quantity *q =
        (const struct quantity *)(const void *)((const char *)part + n->at);
    html_put(h, "%s", units_text(typ, sizeof typ, n->unit, q->typ));
    if (q->min != q->typ || q->max != q->typ)
      html_put(h, " (%s to %s)", units_text(min, sizeof min, n->unit, q->min),
               units_text(max, sizeof max, n->unit, q->max));
  }
  html_put(h, "</td>");
}

static bool counts(const struct part_value *v, uint32_t touched)
{
  return v->from.source == SOURCE_ASSUMED && ((touched >> v->section) & 1u);
}

static void put_assumed(struct html *h, const struct part *part,
                        uint32_t touched)
{
  static const char *const columns[] = {"block", "in the part file", "value",
                                        NULL};
  struct arena arena;
  const struct part_number *numbers;
  uint32_t count;
  arena_init(&arena);
  part_numbers(&arena, part, &numbers, &count);
  html_table(h, "Assumed numbers and statements behind this", columns);
  for (uint32_t i = 0; i < part->value_count; i++) {
    const struct part_value *v = &part->values[i];
    if (!counts(v, touched)) continue;
    html_row(h, section_word(v->section), false);
    html_cell(h, v->path);
    put_value(h, part, number_of(numbers, count, v->path));
    html_row_end(h);
  }
  html_table_end(h);
  arena_free(&arena);
}

void html_assumed(struct html *h, const struct part *part, uint32_t touched,
                  uint32_t count, const char *behind)
{
  html_section(h, "assumed", "Assumed numbers");
  html_put(h,
           "<p><strong>%" PRIu32
           "</strong> assumed number%s behind %s, in the "
           "blocks that it touched. The part's own documentation has the "
           "real ones.</p>\n",
           count, count == 1 ? " stands" : "s stand", behind);
  if (count > 0) put_assumed(h, part, touched);
  html_section_end(h);
}

/* --- words --------------------------------------------------------------- */

static const struct {
  const char *word, *meaning;
} words[] = {
    {"start",
     "execution beginning, after a reset or by a hand-over; numbered"},
    {"first fetch", "the first instruction address of a start"},
    {"boot ROM", "the factory program in read-only memory"},
    {"ROM ran",
     "at least one instruction of the boot ROM was executed; halted "
     "at its vector is not running"},
    {"landing", "the first instruction outside the boot ROM, and what led "
                "there"},
    {"blank check", "reading the first words of flash to see whether they are "
                    "erased"},
    {"latch", "where the outcome of the blank check is kept: blank or "
              "programmed"},
    {"stale", "a fresh check would now say otherwise"},
    {"option words", "non-volatile settings; an option reload loads them "
                     "again, with a reset"},
    {"strap", "a pin sampled at reset to choose where to start"},
    {"start rules", "the ordered, named table that picks where a start "
                    "begins"},
    {"contention", "two drivers on one net disagree"},
};

void html_words(struct html *h)
{
  html_section(h, "words", "Words");
  html_put(h, "<dl>\n");
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    html_put(h, "<dt>%s</dt><dd>%s</dd>\n", words[i].word, words[i].meaning);
  html_put(h, "</dl>\n");
  html_section_end(h);
}
