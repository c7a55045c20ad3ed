#include "report/xml.h"

#include <stddef.h>
#include <string.h>

#include "report/escape.h"
#include "report/page.h"

/* XML 1.0 has no U+FFFE and no U+FFFF (production 2, Char). */
static int is_no_character(const char *shown, size_t bytes)
{
  return bytes == 3 && (memcmp(shown, "\xEF\xBF\xBE", 3) == 0 ||
                        memcmp(shown, "\xEF\xBF\xBF", 3) == 0);
}

void xml_text(FILE *to, const char *text)
{
  char shown[4];
  size_t bytes, taken;
  while ((taken = page_character(text, shown, &bytes)) > 0) {
    if (*text == '\n') {
      fputs("&#10;", to);
    } else if (is_no_character(shown, bytes)) {
      fputc('?', to);
    } else {
      escape_bytes(to, shown, bytes);
    }
    text += taken;
  }
}

void xml_attribute(FILE *to, const char *name, const char *text)
{
  fprintf(to, " %s=\"", name);
  xml_text(to, text);
  fputc('"', to);
}
