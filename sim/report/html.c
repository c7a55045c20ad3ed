#include "report/html.h"

#include <assert.h>
#include <stdarg.h>

#include "report/escape.h"
#include "report/timeline_svg.h"

void html_text(struct html *h, const char *text)
{
  escape_text(h->to, text);
}

void html_put(struct html *h, const char *format, ...)
{
  char text[512];
  va_list args;
  va_start(args, format);
  int length = vsnprintf(text, sizeof text, format, args);
  va_end(args);
  assert(length >= 0 && (size_t)length < sizeof text);
  fputs(text, h->to);
}

void html_time(struct html *h, ps_t at)
{
  char text[64];
  html_put(h, "<span class=\"nb\">%s</span>",
           units_text(text, sizeof text, UNIT_TIME, at));
}

void html_begin(struct html *h, const char *title)
{
  h->level = 1;
  fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n"
        "<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" "
        "content=\"default-src 'none'; style-src 'unsafe-inline'; "
        "script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
        "<meta name=\"viewport\" "
        "content=\"width=device-width, initial-scale=1\">\n<title>",
        h->to);
  html_text(h, title);
  fputs("</title>\n<style>\n", h->to);
  fputs(html_style, h->to);
  fputs(timeline_style, h->to);
  fputs("\n</style>\n</head>\n<body>\n"
        "<a class=\"skip\" href=\"#main\">To the report</a>\n"
        "<main id=\"main\">\n<h1>",
        h->to);
  html_text(h, title);
  fputs("</h1>\n", h->to);
}

void html_end(struct html *h)
{
  assert(h->level == 1);
  fputs("</main>\n<footer><p>Written by firstfetch. This page needs no "
        "network, and loses nothing without scripts but, of a run, the state "
        "at a chosen instant.</p></footer>\n<script>\n",
        h->to);
  fputs(html_script, h->to);
  fputs("</script>\n</body>\n</html>\n", h->to);
}

void html_section(struct html *h, const char *id, const char *heading)
{
  h->level++;
  unsigned shown = h->level > 6 ? 6 : h->level;
  html_put(h, "<section id=\"%s%s\"", h->prefix, id);
  if (h->level == 2) html_put(h, " aria-labelledby=\"%s%s-h\"", h->prefix, id);
  html_put(h, ">\n<h%u id=\"%s%s-h\">", shown, h->prefix, id);
  html_text(h, heading);
  html_put(h, "</h%u>\n", shown);
}

void html_section_end(struct html *h)
{
  assert(h->level > 1);
  h->level--;
  fputs("</section>\n", h->to);
}

void html_paragraph(struct html *h, const char *class, const char *text)
{
  if (class)
    html_put(h, "<p class=\"%s\">", class);
  else
    html_put(h, "<p>");
  html_text(h, text);
  html_put(h, "</p>\n");
}

void html_table(struct html *h, const char *caption,
                const char *const *columns)
{
  html_put(h, "<div class=\"wide\" role=\"region\" tabindex=\"0\" "
              "aria-label=\"");
  html_text(h, caption);
  html_put(h, "\"><table><caption>");
  html_text(h, caption);
  html_put(h, "</caption>\n<thead><tr>");
  for (; *columns; columns++) {
    html_put(h, "<th scope=\"col\">");
    html_text(h, *columns);
    html_put(h, "</th>");
  }
  html_put(h, "</tr></thead>\n<tbody>\n");
}

void html_table_end(struct html *h)
{
  html_put(h, "</tbody></table></div>\n");
}

void html_row(struct html *h, const char *heading, bool mark)
{
  html_put(h, "<tr%s><th scope=\"row\">", mark ? " class=\"mark\"" : "");
  html_text(h, heading);
  html_put(h, "</th>");
}

void html_row_end(struct html *h)
{
  html_put(h, "</tr>\n");
}

void html_cell(struct html *h, const char *text)
{
  html_put(h, "<td>");
  if (text) html_text(h, text);
  html_put(h, "</td>");
}

void html_cautions(struct html *h, bool contention)
{
  html_section(h, "cautions", "Cautions");
  html_put(h, "<ul class=\"caution\">\n<li>A simulation is not the board. "
              "Confirm timing, thresholds and latch behaviour in the part's "
              "own documentation and on hardware before you rely on a "
              "procedure.</li>\n");
  html_put(h,
           "<li>%sContention can destroy parts: limit the current on first "
           "power-up.</li>\n",
           contention ? "In this run two drivers disagreed on a net. " : "");
  html_put(h, "<li>Work on powered boards and on lithium cells follows the "
              "cell maker's and local safety rules, by qualified "
              "people.</li>\n</ul>\n");
  html_section_end(h);
}
