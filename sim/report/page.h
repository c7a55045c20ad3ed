/* page.h -- text for people: words flow into lines of at most 80 columns.
 *
 *   page_item(p, 2, 15, "outcome")   "  outcome"
 *   page_say(p, "waiting for ...")   "  outcome      waiting for the host:"
 *   page_say(p, "...")               "               polls ..."
 *   page_end(p)
 *
 * Texts come from hostile files and end on terminals: control characters and
 * bytes that are no UTF-8 become '?'. A word longer than a line is left whole,
 * so that it can be copied.
 *
 * The same items can become markup instead (page_open_markup): then nothing is
 * laid out, the words of an item are escaped and flow where they are put.
 *
 * Not modelled: characters that are wider or narrower than one column.
 *
 * Owns: nothing. Borrows: the stream; its errors stay in the stream.
 */
#ifndef REPORT_PAGE_H
#define REPORT_PAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "base/status.h"

#define PAGE_COLUMNS 80

/* A character of UTF-8 is at most 4 bytes. */
#define PAGE_WORD_BYTES (4 * PAGE_COLUMNS)

/* What becomes of an item with a lead, and of one without. */
enum page_form {
  PAGE_TEXT,       /* lines of text */
  PAGE_ROWS,       /* <dt>lead</dt><dd>words</dd>; inside a <dl> */
  PAGE_PARAGRAPHS, /* <p>lead words</p> */
  PAGE_INLINE      /* the words alone */
};

struct page {
  FILE *to;
  enum page_form form;
  unsigned column; /* characters written to this line */
  unsigned hang;   /* where further lines of the item begin */
  bool space;      /* one is due before the next word */
  bool said;       /* the item has a word */
  bool colour;     /* a terminal shows it; page_open leaves it off */
  /* The word that is being said; it may not be complete yet. */
  char word[PAGE_WORD_BYTES];
  size_t word_bytes;
  unsigned word_columns;
};

void page_open(struct page *p, FILE *to);

/* Write HTML. */
void page_open_markup(struct page *p, FILE *to, enum page_form form);

/* Begin an item: `lead` from column `indent` on, the words from column `hang`
 * on; with an empty lead the words of the first line begin at `indent`.
 * Asserts that the last item was ended. */
void page_item(struct page *p, unsigned indent, unsigned hang,
               const char *lead);

/* Let a text flow. What is said next continues its last word, unless there is
 * a space between them. */
void page_say(struct page *p, const char *text);

/* Say a text that is not to be broken at its spaces: "20 us". */
void page_together(struct page *p, const char *text);

/* Colour of a word, where the page has colours. It never says anything that
 * the word does not. */
enum page_tint { PAGE_GOOD, PAGE_BAD, PAGE_NOTE };

/* The same as page_together, in a colour; `text` is our own. */
void page_tint(struct page *p, enum page_tint tint, const char *text);

/* The same as page_say for numbers and words of our own: at most 127 bytes,
 * asserted. */
void page_format(struct page *p, const char *format, ...) SIM_PRINTF(2, 3);

/* "0x0400012c" */
void page_address(struct page *p, uint32_t address);

/* End the item's last line. */
void page_end(struct page *p);

/* An empty line. */
void page_gap(struct page *p);

/* A whole item without a lead. */
void page_line(struct page *p, unsigned indent, const char *text);

/* --- for texts that are laid out elsewhere --- */

/* One character of a hostile text, as it may be shown: its bytes go to
 * `shown`, which has room for 4. Returns how many bytes of `text` it took, 0
 * at the end. */
size_t page_character(const char *text, char *shown, size_t *shown_bytes);

/* A text as it may be shown, on one line, without layout. */
void page_plain(FILE *to, const char *text);

#endif
