/* result_fixture.h -- hand-made results for the tests of reports.
 *
 * The first follows the demonstration case of the user's guide: a blank part,
 * written with the boot ROM held, that a pin reset sends back to the ROM. No
 * simulator was asked; every number in it is chosen here.
 */
#ifndef TESTS_RESULT_FIXTURE_H
#define TESTS_RESULT_FIXTURE_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "describe/result.h"

static struct start fixture_starts[] = {
    {.number = 1,
     .at = 612500000,
     .cause = CAUSE_POWER_ON,
     .step = 0,
     .has_latch = true,
     .rule = "latch-blank",
     .region = "rom",
     .sp = 0x20001000,
     .pc = 0x06000140,
     .symbol = "rom_entry",
     .alias_word = 0x20001000,
     .outcome = OUTCOME_RESET,
     .doing = OUTCOME_WAITING,
     .waits_on = 0x44020004,
     .waits_pc = 0x0600019a,
     .waits_name = "SERIAL.STATE",
     .waits_for_host = true,
     .instructions = 4210,
     .rom_instructions = 4210,
     .cycles = 47000,
     .pins = {{"P9", 629875000, true}, {"P4", 632625000, false}},
     .pin_count = 2,
     .ended = 3000000000},
    {.number = 2,
     .at = 3220000000,
     .cause = CAUSE_PIN,
     .step = 2,
     .has_latch = true,
     .rule = "latch-blank",
     .region = "rom",
     .sp = 0x20001000,
     .pc = 0x06000140,
     .symbol = "rom_entry",
     .alias_word = 0x20001000,
     .outcome = OUTCOME_RESET,
     .doing = OUTCOME_HALTED,
     .stop_pc = 0x06000140,
     .ended = 60000000000},
    {.number = 3,
     .at = 60020500000,
     .cause = CAUSE_PIN,
     .step = 5,
     .has_latch = true,
     .stale = true,
     .rule = "latch-blank",
     .region = "rom",
     .sp = 0x20001000,
     .pc = 0x06000140,
     .symbol = "rom_entry",
     .alias_word = 0x20001000,
     .outcome = OUTCOME_RESET,
     .stop_pc = 0x06000198,
     .instructions = 5000,
     .rom_instructions = 5000,
     .cycles = 24000,
     .pins = {{"P9", 60037875000, true}},
     .pin_count = 1,
     .ended = 63020500000},
    {.number = 4,
     .at = 63026250000,
     .cause = CAUSE_OPTION_RELOAD,
     .step = 7,
     .has_latch = true,
     .latch_programmed = true,
     .rule = "otherwise",
     .region = "flash",
     .sp = 0x20001800,
     .pc = 0x040000c0,
     .symbol = "reset_entry",
     .alias_word = 0x20001800,
     .outcome = OUTCOME_SLEEPING,
     .reached = {"main", "log_sample"},
     .reached_at = {63038000000, 63051000000},
     .reached_count = 2,
     .instructions = 900,
     .cycles = 1300,
     .ended = 66026250000},
};

static struct finding fixture_findings[] = {
    {.kind = FINDING_STALE_LATCH,
     .start = 3,
     .text = "The latch still says blank although the first words are "
             "programmed: it was sampled at start 1, and neither a write nor "
             "a pin reset samples it again.",
     .remedies = {"option reload",
                  "power-on with the rail below 0.40 V for 20 us"},
     .remedy_count = 2},
    {.kind = FINDING_ROM_RAN, .text = "The boot ROM ran in 2 of 4 starts."},
};

static struct judgement fixture_judgements[] = {
    {.step = 1,
     .line = 13,
     .held = true,
     .asked = "region rom, rule latch-blank, outcome waiting within 3 ms"},
    {.step = 6,
     .line = 18,
     .label = "after the pin reset",
     .asked = "region flash, latch programmed, stale no within 3 ms",
     .seen = "region rom, latch blank, stale yes"},
    {.step = RESULT_NO_STEP,
     .line = 9,
     .held = true,
     .asked = "never: contention"},
};

static const struct result fixture_latched = {
    .title = "A pin reset does not refresh the blank latch",
    .case_file = "/somewhere/else/traces/still-boots-rom.jsonc",
    .part = "latched",
    .about = "Blank check held in a latch that software can't touch.",
    .verdict = VERDICT_FAILED,
    .starts = fixture_starts,
    .start_count = 4,
    .findings = fixture_findings,
    .finding_count = 2,
    .judgements = fixture_judgements,
    .judgement_count = 3,
    .held = 2,
    .failed = 1,
    .assumed = 12,
    .end = 66026250000,
};

static struct start fixture_checked_starts[] = {
    {.number = 1,
     .at = 612500000,
     .cause = CAUSE_POWER_ON,
     .step = 0,
     .has_latch = true,
     .rule = "flash-blank",
     .region = "rom",
     .pc = 0x06000140,
     .outcome = OUTCOME_WAITING,
     .waits_on = 0x44020004,
     .instructions = 4210,
     .rom_instructions = 4210},
    {.number = 2,
     .at = 3220000000,
     .cause = CAUSE_PIN,
     .step = 2,
     .has_latch = true,
     .rule = "flash-blank",
     .region = "rom",
     .pc = 0x06000140,
     .outcome = OUTCOME_HALTED},
    {.number = 3,
     .at = 60020500000,
     .cause = CAUSE_PIN,
     .step = 5,
     .has_latch = true,
     .latch_programmed = true,
     .rule = "otherwise",
     .region = "flash",
     .pc = 0x040000c0,
     .outcome = OUTCOME_RUNNING},
};

/* The same case on a part that checks afresh: it starts the image. */
static const struct result fixture_checked = {
    .title = "A pin reset does not refresh the blank latch",
    .case_file = "still-boots-rom.jsonc",
    .part = "checked",
    .about = "Blank check at every reset.",
    .verdict = VERDICT_HELD,
    .starts = fixture_checked_starts,
    .start_count = 3,
    .held = 3,
    .assumed = 1,
};

/* What `write` puts into a stream; to be freed. */
static inline char *fixture_capture(void (*write)(FILE *to,
                                                  const void *context),
                                    const void *context)
{
  char *text = NULL;
  size_t size = 0;
  FILE *to = open_memstream(&text, &size);
  if (!to) abort();
  write(to, context);
  if (fclose(to) != 0) abort();
  char *copy = strdup(text);
  free(text);
  if (!copy) abort();
  return copy;
}

/* A cmocka check that shows the text where it fails. */
#define assert_contains(text, part)                                           \
  do {                                                                        \
    if (!strstr((text), (part))) fail_msg("%s\nis not in:\n%s", part, text);  \
  } while (0)

#endif
