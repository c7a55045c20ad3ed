#include "report/escape.h"

#include "report/page.h"

void escape_bytes(FILE *to, const char *shown, size_t bytes)
{
  for (size_t i = 0; i < bytes; i++) {
    switch (shown[i]) {
    case '&': fputs("&amp;", to); break;
    case '<': fputs("&lt;", to); break;
    case '>': fputs("&gt;", to); break;
    case '"': fputs("&quot;", to); break;
    case '\'': fputs("&#39;", to); break;
    default: fputc(shown[i], to); break;
    }
  }
}

void escape_text(FILE *to, const char *text)
{
  char shown[4];
  size_t bytes, taken;
  for (; (taken = page_character(text, shown, &bytes)) > 0; text += taken) {
    escape_bytes(to, shown, bytes);
  }
}
