/* firstfetch.h -- the public C interface: load, play, report.
 *
 *   struct firstfetch *ff = firstfetch_open();
 *   const struct case_script *script;
 *   const struct part *part;
 *   struct firstfetch_run *run;
 *   struct sim_error err;
 *   const char *folders[] = {"models"};
 *   struct firstfetch_search search = {folders, 1};
 *   if (firstfetch_case(ff, "traces/a.jsonc", &script, &err) != SIM_OK ||
 *       firstfetch_part(ff, &search, script->part, script->file, &part,
 *                       &err) != SIM_OK ||
 *       firstfetch_play(script, part, NULL, &run, &err) != SIM_OK) {
 *     ... sim_error_text(&err, text, sizeof text) ...
 *   }
 *   struct firstfetch_text how = {.last = true};
 *   firstfetch_write_text(run, &how, stdout);
 *   firstfetch_run_free(run);
 *   firstfetch_close(ff);
 *
 * Only the user's mistakes are errors. What goes wrong on the simulated
 * device is in the result; an expectation that failed is a verdict.
 *
 * Nothing here reads the host's clock, locale or environment: the same input
 * gives the same bytes. Two threads may work at the same time if they share
 * nothing but const data.
 *
 * Owns: struct firstfetch its scripts and parts, struct firstfetch_run its
 * result. Borrows: a run its script and part, which must outlive it.
 */
#ifndef API_FIRSTFETCH_H
#define API_FIRSTFETCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "base/status.h"
#include "base/units.h"

struct case_script; /* describe/case.h */
struct part;        /* describe/part.h */
struct lesson;      /* report/lesson.h */
struct result;      /* describe/result.h */
struct svd;         /* describe/svd.h */

/* "0.1.0" */
const char *firstfetch_version(void);

/* --- descriptions -------------------------------------------------------- */

struct firstfetch;
struct firstfetch *firstfetch_open(void);

/* Free all that was loaded. NULL is allowed. */
void firstfetch_close(struct firstfetch *ff);

/* Read a script. */
enum sim_status firstfetch_case(struct firstfetch *ff, const char *file,
                                const struct case_script **script,
                                struct sim_error *err);

/* The built-in script for an image of the user's own; it judges nothing. A
 * raw binary needs a base. */
const struct case_script *firstfetch_image_case(struct firstfetch *ff,
                                                const char *part,
                                                const char *image,
                                                bool has_base, addr_t base);

/* Where parts are looked for: folders, in this order. */
struct firstfetch_search {
  const char *const *folders;
  uint32_t count;
};

/* Read a part. A name ending in ".json" or ".jsonc" is a path, taken beside
 * the file `asked_by` if that is not NULL; any other is looked for as
 * FOLDER/NAME.json. Errors: SIM_REFERENCE if it is nowhere, at "part" of
 * `asked_by`; those of reading it. */
enum sim_status firstfetch_part(struct firstfetch *ff,
                                const struct firstfetch_search *search,
                                const char *name, const char *asked_by,
                                const struct part **part,
                                struct sim_error *err);

/* The parts of the first folder that has any: its files *.json but not
 * *.schema.json, without the ending, in ascending order of their bytes. None
 * is no error. The list lives in `ff`. */
void firstfetch_part_names(struct firstfetch *ff,
                           const struct firstfetch_search *search,
                           const char *const **names, uint32_t *count);

/* Read register names and reset values from a CMSIS-SVD file. */
enum sim_status firstfetch_svd(struct firstfetch *ff, const char *file,
                               const struct svd **svd, struct sim_error *err);

/* --- board review -------------------------------------------------------- */

struct review; /* describe/review.h */

/* Run the part's boot ROM on the script's board, from a blank part's power-on,
 * and tell what each pin meets that it drives. The review lives in `ff`.
 * Errors: those of reading the ROM's image, and of nets that the part can't
 * have. */
enum sim_status firstfetch_review(struct firstfetch *ff,
                                  const struct case_script *script,
                                  const struct part *part,
                                  const struct review **review,
                                  struct sim_error *err);

/* --- a run --------------------------------------------------------------- */

/* What executes the instructions; the result is the same. */
enum firstfetch_engine {
  FIRSTFETCH_UNICORN,
  FIRSTFETCH_OWN,
  FIRSTFETCH_BOTH /* in lockstep, slowly, up to the first difference */
};

struct firstfetch_options {
  bool no_judging; /* expectations let time pass, but are not judged */
  bool after;    /* tell what each reset would do from the end; false: don't */
  bool lesson;   /* keep what a lesson is told from */
  bool timeline; /* keep what the page and the picture are drawn from */
  FILE *trace;   /* its text is written here while the run goes, or NULL */
  FILE *vcd;     /* the same for a value change dump, or NULL */
  const struct svd *svd; /* names of registers that the part does not describe,
                            or NULL; must outlive the run */
  enum firstfetch_engine engine;
  bool semihosting; /* BKPT 0xAB calls the host, whatever the part's file says;
                       false: what it says */
};

struct firstfetch_run;

/* True to its name: images are loaded and all names of the script resolved
 * against part and images, but nothing runs. */
enum sim_status firstfetch_check(const struct case_script *script,
                                 const struct part *part,
                                 struct sim_error *err);

/* Play a script on a part to its end. `options` may be NULL. *run is set only
 * if it returns SIM_OK. Errors: those of firstfetch_check; SIM_LIMIT if the
 * two engines in lockstep disagree. */
enum sim_status firstfetch_play(const struct case_script *script,
                                const struct part *part,
                                const struct firstfetch_options *options,
                                struct firstfetch_run **run,
                                struct sim_error *err);

/* NULL is allowed. */
void firstfetch_run_free(struct firstfetch_run *run);

const struct result *firstfetch_result(const struct firstfetch_run *run);

/* --- gdb ------------------------------------------------------------------
 */

/* A case played up to some step, and the part as gdb debugs it from there on
 * (serve/session.h), by the GDB Remote Serial Protocol. How the bytes travel
 * is the caller's business. */
struct firstfetch_server;

/* Play the first `steps` of the script, attach and halt. The console is told
 * where, and later whatever gdb has no words for. Of the options, `svd`,
 * `engine` and `semihosting` count; NULL: none. Errors: those of
 * firstfetch_check. */
enum sim_status firstfetch_serve(const struct case_script *script,
                                 const struct part *part,
                                 const struct firstfetch_options *options,
                                 uint32_t steps, FILE *console,
                                 struct firstfetch_server **server,
                                 struct sim_error *err);
void firstfetch_server_free(struct firstfetch_server *server); /* NULL too */

/* gdb is there: what it shall receive goes to `send`. One at a time. */
typedef void (*firstfetch_send)(void *context, const uint8_t *bytes,
                                size_t size);
void firstfetch_server_connect(struct firstfetch_server *server,
                               firstfetch_send send, void *context);
void firstfetch_server_disconnect(struct firstfetch_server *server);

/* Bytes of gdb's. */
void firstfetch_server_take(struct firstfetch_server *server,
                            const uint8_t *bytes, size_t size);

/* True while simulated time is to pass: then let some pass, and look for bytes
 * in between. Else wait for them. */
bool firstfetch_server_runs(const struct firstfetch_server *server);
void firstfetch_server_pass(struct firstfetch_server *server);

/* gdb has detached, or wants the server to end. */
bool firstfetch_server_is_over(const struct firstfetch_server *server);
bool firstfetch_server_is_killed(const struct firstfetch_server *server);

/* --- reports: errors stay in the stream ---------------------------------- */

/* For whom findings and start rules are explained. */
enum firstfetch_words {
  FIRSTFETCH_NEWCOMER,
  FIRSTFETCH_EXPERT,
  FIRSTFETCH_BOTH_WORDINGS
};

struct firstfetch_text {
  bool full;   /* all that is known of each start, and its instructions */
  bool last;   /* no other text report follows this one */
  bool colour; /* for a terminal */
  enum firstfetch_words words;
};
void firstfetch_write_text(const struct firstfetch_run *run,
                           const struct firstfetch_text *how, FILE *to);

/* One line: case, part, verdict. */
void firstfetch_write_verdict(const struct firstfetch_run *run, bool colour,
                              FILE *to);

/* What was learned about registers that nothing describes, as JSON to be
 * pasted into the part's file. */
void firstfetch_write_learned(const struct firstfetch_run *run, FILE *to);

/* Runs of one script on several parts: 1 to FIRSTFETCH_MAX_BESIDE. */
#define FIRSTFETCH_MAX_BESIDE 64
void firstfetch_write_side_by_side(const struct firstfetch_run *const *runs,
                                   uint32_t count, FILE *to);

/* A picture of what held when, SVG. The run must have been played with
 * `timeline`. */
void firstfetch_write_svg(const struct firstfetch_run *run, FILE *to);

/* A run that was played with `lesson` as one: what is told and asked, in the
 * run; and as a page whose answers are hidden. */
const struct lesson *firstfetch_lesson(const struct firstfetch_run *run);
void firstfetch_write_lesson(const struct firstfetch_run *run, FILE *to);

/* A page, HTML, is written case by case; the runs must have been played with
 * `timeline`, and may be freed after they were added. `title` is that of the
 * case where there is one. */
struct firstfetch_html;
struct firstfetch_html *firstfetch_html_open(FILE *to, uint32_t cases,
                                             const char *title);
/* One case on 1 to FIRSTFETCH_MAX_BESIDE parts. */
void firstfetch_html_add(struct firstfetch_html *page,
                         const struct firstfetch_run *const *runs,
                         uint32_t count);
/* Write what follows the last case. */
void firstfetch_html_end(struct firstfetch_html *page);
void firstfetch_html_close(struct firstfetch_html *page); /* NULL too */

/* A document collects runs, which may be freed before it is written. */
struct firstfetch_json;
struct firstfetch_json *firstfetch_json_open(void);
/* From now on runs come with the instructions of their starts. */
void firstfetch_json_with_code(struct firstfetch_json *document);
void firstfetch_json_add(struct firstfetch_json *document,
                         const struct firstfetch_run *run);
/* False if the stream has an error. */
bool firstfetch_json_write(const struct firstfetch_json *document, FILE *to);
void firstfetch_json_close(struct firstfetch_json *document); /* NULL too */

/* The same for verdicts as JUnit-style XML; nothing can be added behind the
 * write. */
struct firstfetch_junit;
struct firstfetch_junit *firstfetch_junit_open(void);
void firstfetch_junit_add(struct firstfetch_junit *document,
                          const struct firstfetch_run *run);
bool firstfetch_junit_write(struct firstfetch_junit *document, FILE *to);
void firstfetch_junit_close(struct firstfetch_junit *document); /* NULL too */

#endif
