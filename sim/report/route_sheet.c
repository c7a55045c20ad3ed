/* A work instruction in Markdown. What comes from files may hold anything:
 * characters that mean something there are written as what they are. */
#include <inttypes.h>
#include <string.h>

#include "base/file.h"
#include "report/page.h"
#include "report/route_report.h"
#include "report/route_words.h"

static void put(FILE *to, const char *text)
{
  char shown[4];
  size_t bytes, took;
  for (; (took = page_character(text, shown, &bytes)) > 0; text += took) {
    if (bytes == 1 && strchr("\\`*_{}[]<>#|~&", shown[0]) != NULL)
      fputc('\\', to);
    fwrite(shown, 1, bytes, to);
  }
}

static void put_time(FILE *to, ps_t time)
{
  char text[64];
  fputs(units_text(text, sizeof(text), UNIT_TIME, time), to);
}

static void put_head(FILE *to, const struct route_result *r)
{
  const struct case_image *image = &r->script->images[r->script->route->image];
  fputs("# ", to);
  put(to, r->script->title);
  fputs("\n\nPart: ", to);
  put(to, r->part->name);
  fputs("\n\nImage: ", to);
  put(to, image->name);
  fputs(", file ", to);
  put(to, file_name(image->path));
  fputs("\n\nResult: ", to);
  put(to, r->goal);
  fputs("\n\n", to);
}

static void put_states(FILE *to, const struct route_procedure *p)
{
  fputs("For parts that arrive as:\n\n", to);
  for (uint32_t i = 0; i < p->time_count; i++) {
    fputs("- ", to);
    put(to, p->times[i].state);
    fputs(" (", to);
    put_time(to, p->times[i].simulated);
    fputs(" on the part)\n", to);
  }
  fputs("\n", to);
}

static void put_cautions(FILE *to, const struct route_result *r)
{
  fputs("## Before you begin\n\n"
        "- Contention can destroy parts: limit the current on first "
        "power-up.\n"
        "- Work on powered boards and on lithium cells follows the cell "
        "maker's and local\n  safety rules, by qualified people.\n"
        "- This procedure was found by simulation, which is not the board: "
        "confirm timing,\n  thresholds and latch behaviour in the part's own "
        "documentation and on hardware\n  before relying on it.\n",
        to);
  for (uint32_t i = 0; i < r->note_count; i++) {
    fputs("- Before the first step, ", to);
    put(to, r->notes[i].state);
    fputs(": ", to);
    put(to, r->notes[i].text);
    fputs(".\n", to);
  }
  fputs("\n", to);
}

static void put_steps(FILE *to, const struct route_result *r,
                      const struct route_procedure *p)
{
  fputs("## Steps\n\nLet at least ", to);
  put_time(to, r->pause);
  fprintf(to, " pass between steps.\n%s\n\n", route_if_a_step_fails);
  for (uint32_t i = 0; i < p->move_count; i++) {
    fprintf(to, "%" PRIu32 ". ", i + 1);
    put(to, p->moves[i].detail);
    fputs("\n", to);
  }
  if (p->move_count == 0) fputs("Nothing needs to be done.\n", to);
}

static void put_checks(FILE *to, const struct route_result *r)
{
  fputs("\n## Check\n\nProbe, host and jumpers are off. The unit must show: ",
        to);
  put(to, r->goal);
  fputs(".\n", to);
  if (r->field_count == 0) return;
  fputs("\nIn simulation it did so again after each of:", to);
  for (uint32_t i = 0; i < r->field_count; i++) {
    fputs(i > 0 ? ", " : " ", to);
    put(to, r->field[i]);
  }
  fputs(".\n", to);
}

void route_sheet(FILE *to, const struct route_result *r,
                 const struct route_procedure *p)
{
  put_head(to, r);
  put_states(to, p);
  put_cautions(to, r);
  put_steps(to, r, p);
  put_checks(to, r);
}
