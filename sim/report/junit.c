#include "report/junit.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/file.h"
#include "describe/names.h"
#include "report/rows.h"
#include "report/xml.h"

static const char *kind_word(enum judgement_kind kind)
{
  static const char *const words[] = {[JUDGED_EXPECTATION] = "expectation",
                                      [JUDGED_NEVER] = "never",
                                      [JUDGED_MEASURE] = "measure"};
  return words[kind];
}

/* "0.030909208334": seconds, all twelve digits behind the point. */
static void put_seconds(FILE *to, ps_t time)
{
  fprintf(to, " time=\"%" PRId64 ".%012" PRId64 "\"",
          (int64_t)(time / PS_PER_S), (int64_t)(time % PS_PER_S));
}

/* --- properties ---------------------------------------------------------- */

static void begin_property(FILE *to, const char *name, uint32_t number)
{
  fprintf(to, "      <property name=\"%s", name);
  if (number > 0) fprintf(to, " %" PRIu32, number);
  fputs("\" value=\"", to);
}

static void end_property(FILE *to)
{
  fputs("\"/>\n", to);
}

static void put_property(FILE *to, const char *name, const char *value)
{
  begin_property(to, name, 0);
  xml_text(to, value);
  end_property(to);
}

static void put_number(FILE *to, const char *name, uint64_t value)
{
  begin_property(to, name, 0);
  fprintf(to, "%" PRIu64, value);
  end_property(to);
}

/* "at_ps 360083334; cause power_on; latch blank; stale no; region rom; ..." */
static void put_start(FILE *to, const struct start *s)
{
  begin_property(to, "start", s->number);
  fprintf(to, "at_ps %" PRId64 "; cause %s", s->at, rows_why(s));
  if (s->has_latch) {
    fprintf(to, "; latch %s; stale %s", latch_word(s->latch_programmed),
            s->stale ? "yes" : "no");
  }
  if (s->rule) {
    fputs("; rule ", to);
    xml_text(to, s->rule);
  }
  fputs("; region ", to);
  xml_text(to, s->region);
  fprintf(to, "; pc 0x%08" PRIx32 "; outcome %s; rom_instructions %" PRIu64,
          s->pc, outcome_word(s->outcome), s->rom_instructions);
  if (s->landing.landed) {
    fputs("; landing ", to);
    xml_text(to, s->landing.region);
  }
  end_property(to);
}

static void put_finding(FILE *to, const struct finding *f, uint32_t number)
{
  begin_property(to, "finding", number);
  fputs(finding_word(f->kind), to);
  if (f->start > 0) fprintf(to, ", start %" PRIu32, f->start);
  fputs(": ", to);
  xml_text(to, f->text);
  end_property(to);
}

static void put_properties(FILE *to, const struct result *r)
{
  static const char *const verdicts[] = {[VERDICT_NONE] = "none",
                                         [VERDICT_HELD] = "held",
                                         [VERDICT_FAILED] = "failed"};
  fputs("    <properties>\n", to);
  put_property(to, "part", r->part);
  put_property(to, "verdict", verdicts[r->verdict]);
  put_number(to, "assumed", r->assumed);
  put_number(to, "end_ps", (uint64_t)r->end);
  for (uint32_t i = 0; i < r->start_count; i++) {
    put_start(to, &r->starts[i]);
  }
  for (uint32_t i = 0; i < r->finding_count; i++) {
    put_finding(to, &r->findings[i], i + 1);
  }
  fputs("    </properties>\n", to);
}

/* --- tests --------------------------------------------------------------- */

/* "still-boots-rom.latched": what readers show as a tree. */
static void put_class(FILE *to, const struct result *r)
{
  fputs(" classname=\"", to);
  if (r->case_file) {
    const char *name = file_name(r->case_file);
    char stem[256];
    snprintf(stem, sizeof stem, "%.*s", (int)strcspn(name, "."), name);
    xml_text(to, stem);
  } else {
    fputs("built-in", to);
  }
  fputc('.', to);
  xml_text(to, r->part);
  fputc('"', to);
}

static void put_test(FILE *to, const struct result *r,
                     const struct judgement *j)
{
  fputs("    <testcase", to);
  put_class(to, r);
  fputs(" name=\"", to);
  if (j->step != RESULT_NO_STEP) fprintf(to, "steps[%" PRIu32 "] ", j->step);
  if (j->label) {
    xml_text(to, j->label);
    fputs(": ", to);
  }
  xml_text(to, j->asked);
  fputs("\"", to);
  if (j->held) {
    fputs("/>\n", to);
    return;
  }
  fprintf(to, ">\n      <failure type=\"%s\"", kind_word(j->kind));
  xml_attribute(to, "message", j->seen ? j->seen : "nothing was seen");
  fprintf(to, ">line %" PRIu32, j->line);
  fputs(": asked ", to);
  xml_text(to, j->asked);
  fputs("; seen ", to);
  xml_text(to, j->seen ? j->seen : "nothing");
  fputs("</failure>\n    </testcase>\n", to);
}

/* A run that a limit ended has not shown what it should. */
static void put_stopped(FILE *to, const struct result *r)
{
  fputs("    <testcase", to);
  put_class(to, r);
  fputs(" name=\"the run comes to its end\">\n      <error type=\"stopped\"",
        to);
  xml_attribute(to, "message", r->stopped);
  fputs("/>\n    </testcase>\n", to);
}

/* --- the document -------------------------------------------------------- */

void junit_begin(struct junit *document)
{
  memset(document, 0, sizeof *document);
  document->suites = open_memstream(&document->text, &document->size);
  if (!document->suites) arena_no_memory();
}

void junit_add(struct junit *document, const struct result *r)
{
  FILE *to = document->suites;
  uint32_t errors = r->stopped ? 1 : 0;
  uint32_t tests = r->judgement_count + errors;
  fputs("  <testsuite name=\"", to);
  xml_text(to, r->title);
  fputs(" on ", to);
  xml_text(to, r->part);
  fprintf(to,
          "\" tests=\"%" PRIu32 "\" failures=\"%" PRIu32 "\" errors=\"%" PRIu32
          "\" skipped=\"0\"",
          tests, r->failed, errors);
  put_seconds(to, r->end);
  fputs(">\n", to);
  put_properties(to, r);
  for (uint32_t i = 0; i < r->judgement_count; i++) {
    put_test(to, r, &r->judgements[i]);
  }
  if (r->stopped) put_stopped(to, r);
  fputs("  </testsuite>\n", to);
  document->tests += tests;
  document->failures += r->failed;
  document->errors += errors;
}

bool junit_write(struct junit *document, FILE *to)
{
  if (fclose(document->suites) != 0) arena_no_memory();
  document->suites = NULL;
  fprintf(to,
          "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
          "<testsuites name=\"firstfetch\" tests=\"%" PRIu32
          "\" failures=\"%" PRIu32 "\" errors=\"%" PRIu32 "\">\n",
          document->tests, document->failures, document->errors);
  fwrite(document->text, 1, document->size, to);
  fputs("</testsuites>\n", to);
  return !ferror(to);
}

void junit_free(struct junit *document)
{
  if (document->suites) fclose(document->suites);
  free(document->text);
  memset(document, 0, sizeof *document);
}
