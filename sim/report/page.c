#include "report/page.h"

#include <assert.h>
#include <inttypes.h>
#include <stdarg.h>
#include <string.h>

#include "base/utf8.h"
#include "report/escape.h"

void page_open(struct page *p, FILE *to)
{
  memset(p, 0, sizeof *p);
  p->to = to;
}

void page_open_markup(struct page *p, FILE *to, enum page_form form)
{
  page_open(p, to);
  p->form = form;
}

/* C0, DEL and C1: what a terminal would obey. */
static bool is_control(uint32_t code)
{
  return code < 0x20 || (code >= 0x7F && code < 0xA0);
}

size_t page_character(const char *text, char *shown, size_t *shown_bytes)
{
  if (!*text) return 0;
  uint32_t code;
  size_t length = utf8_read(text, strnlen(text, 4), &code);
  if (length == 0 || is_control(code)) {
    *shown = '?';
    *shown_bytes = 1;
    return length ? length : 1;
  }
  memcpy(shown, text, length);
  *shown_bytes = length;
  return length;
}

void page_plain(FILE *to, const char *text)
{
  char shown[4];
  size_t bytes, taken;
  while ((taken = page_character(text, shown, &bytes)) > 0) {
    fwrite(shown, 1, bytes, to);
    text += taken;
  }
}

static void pad_to(struct page *p, unsigned column)
{
  while (p->column < column) {
    fputc(' ', p->to);
    p->column++;
  }
}

/* --- markup --- */

static const struct {
  const char *before, *between, *bare, *after; /* lead, words */
} forms[] = {
    [PAGE_ROWS] = {"<dt>", "</dt><dd>", "<dd>", "</dd>\n"},
    [PAGE_PARAGRAPHS] = {"<p>", " ", "<p>", "</p>\n"},
    [PAGE_INLINE] = {"", " ", "", ""},
};

static void begin_markup(struct page *p, const char *lead)
{
  if (*lead == '\0') {
    fputs(forms[p->form].bare, p->to);
    return;
  }
  fputs(forms[p->form].before, p->to);
  escape_text(p->to, lead);
  fputs(forms[p->form].between, p->to);
}

/* --- lines --- */

/* Write the word that was being said, on a new line if it must. */
static void put_word(struct page *p)
{
  if (p->word_bytes == 0) return;
  if (p->form != PAGE_TEXT) {
    if (p->space) fputc(' ', p->to);
    escape_bytes(p->to, p->word, p->word_bytes);
    p->word_bytes = 0;
    p->space = false;
    p->said = true;
    return;
  }
  unsigned needed = p->column + (p->space ? 1 : 0) + p->word_columns;
  if (p->space && needed > PAGE_COLUMNS) {
    fputc('\n', p->to);
    p->column = 0;
    pad_to(p, p->hang);
  } else if (p->space) {
    pad_to(p, p->column + 1);
  }
  fwrite(p->word, 1, p->word_bytes, p->to);
  p->column += p->word_columns;
  p->word_bytes = 0;
  p->word_columns = 0;
  p->space = false;
  p->said = true;
}

void page_item(struct page *p, unsigned indent, unsigned hang,
               const char *lead)
{
  assert(p->column == 0 && p->word_bytes == 0);
  if (p->form != PAGE_TEXT) {
    begin_markup(p, lead);
    return;
  }
  p->hang = hang;
  pad_to(p, indent);
  char shown[4];
  size_t bytes, taken;
  for (; (taken = page_character(lead, shown, &bytes)) > 0; lead += taken) {
    fwrite(shown, 1, bytes, p->to);
    p->column++;
  }
  if (p->column == indent) return;
  /* A lead that reaches the words' column is told from them by a space. */
  p->space = p->column >= hang;
  pad_to(p, hang);
}

static void add_character(struct page *p, const char *shown, size_t bytes)
{
  if (p->word_bytes + bytes > sizeof p->word) put_word(p);
  memcpy(p->word + p->word_bytes, shown, bytes);
  p->word_bytes += bytes;
  p->word_columns++;
}

void page_say(struct page *p, const char *text)
{
  char shown[4];
  size_t bytes, taken;
  for (; (taken = page_character(text, shown, &bytes)) > 0; text += taken) {
    if (shown[0] == ' ') {
      put_word(p);
      p->space = p->said;
    } else {
      add_character(p, shown, bytes);
    }
  }
}

void page_together(struct page *p, const char *text)
{
  char shown[4];
  size_t bytes, taken;
  for (; (taken = page_character(text, shown, &bytes)) > 0; text += taken) {
    if (p->form != PAGE_TEXT && shown[0] == ' ')
      add_character(p, "\xC2\xA0", 2);
    else
      add_character(p, shown, bytes);
  }
}

/* Select Graphic Rendition of ECMA-48, 8.3.117 (from memory). */
static void add_rendition(struct page *p, const char *code)
{
  char text[16];
  int length = snprintf(text, sizeof text, "\x1b[%sm", code);
  assert(p->word_bytes + (size_t)length <= sizeof p->word);
  memcpy(p->word + p->word_bytes, text, (size_t)length);
  p->word_bytes += (size_t)length;
}

void page_tint(struct page *p, enum page_tint tint, const char *text)
{
  static const char *const codes[] = {
      [PAGE_GOOD] = "32", [PAGE_BAD] = "31", [PAGE_NOTE] = "1"};
  if (p->colour) add_rendition(p, codes[tint]);
  page_together(p, text);
  if (p->colour) add_rendition(p, "0");
}

void page_format(struct page *p, const char *format, ...)
{
  char text[128];
  va_list args;
  va_start(args, format);
  int length = vsnprintf(text, sizeof text, format, args);
  va_end(args);
  assert(length >= 0 && (size_t)length < sizeof text);
  page_say(p, text);
}

void page_address(struct page *p, uint32_t address)
{
  page_format(p, "0x%08" PRIx32, address);
}

void page_end(struct page *p)
{
  put_word(p);
  fputs(p->form == PAGE_TEXT ? "\n" : forms[p->form].after, p->to);
  p->column = 0;
  p->hang = 0;
  p->space = false;
  p->said = false;
}

void page_gap(struct page *p)
{
  assert(p->column == 0 && p->word_bytes == 0);
  if (p->form == PAGE_TEXT) fputc('\n', p->to);
}

void page_line(struct page *p, unsigned indent, const char *text)
{
  page_item(p, indent, indent, "");
  page_say(p, text);
  page_end(p);
}
