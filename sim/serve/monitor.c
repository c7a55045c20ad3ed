#include "serve/monitor.h"

#include <inttypes.h>
#include <string.h>

#include "base/nearest.h"
#include "describe/names.h"
#include "report/page.h"
#include "run/plan.h"
#include "serve/monitor_tell.h"

/* How long the line is low. Assumed. */
#define LINE_LOW_FOR (20 * PS_PER_US)

/* gdb can't interrupt a monitor command. */
#define RUN_AT_MOST PS_PER_S

#define LINE_BYTES 256
#define MAX_WORDS  4

/* A command as it was given. */
struct asked {
  struct target *target;
  FILE *to;
  const char *words[MAX_WORDS]; /* behind the command; NULL: no more */
  uint32_t count;
};

static bool refuse(const struct asked *a, const char *what, const char *why)
{
  struct page page;
  page_open(&page, a->to);
  page_item(&page, 0, 2, "");
  page_say(&page, what);
  page_say(&page, " ");
  page_say(&page, why);
  page_end(&page);
  return false;
}

static bool no_words(const struct asked *a)
{
  return a->count == 0 ||
         refuse(a, a->words[0], "is too much: the command takes no word");
}

/* --- looking ------------------------------------------------------------- */

static bool do_starts(const struct asked *a)
{
  if (!no_words(a)) return false;
  monitor_tell_starts(a->target, a->to);
  return true;
}

static bool do_latch(const struct asked *a)
{
  if (!no_words(a)) return false;
  monitor_tell_latch(a->target, a->to);
  return true;
}

static bool do_state(const struct asked *a)
{
  if (!no_words(a)) return false;
  monitor_tell_state(a->target, a->to);
  return true;
}

/* --- acting -------------------------------------------------------------- */

/* A start is halted at its vector: where, and which. */
static bool bring(const struct asked *a, const struct step *step)
{
  bool halted = target_bring(a->target, step);
  monitor_tell_place(a->target, a->to);
  if (a->target->failed) return refuse(a, "the probe", a->target->failure);
  return halted || refuse(a, "the core", "could not be halted at a vector");
}

/* Index of a word in a list that ends with NULL, or PART_NONE. */
static uint32_t word_index(const char *const *words, const char *word)
{
  for (uint32_t i = 0; words[i] != NULL; i++)
    if (strcmp(words[i], word) == 0) return i;
  return PART_NONE;
}

static bool reset_by_cause(const struct asked *a, uint32_t cause)
{
  if (cause == CAUSE_POWER_ON || cause == CAUSE_BROWN_OUT)
    return refuse(a, a->words[0], "is the supply's: expected \"power\"");
  if (!a->target->machine->part->resets[cause].present)
    return refuse(a, a->words[0], "is not in this part's reset table");
  const struct step step = {.verb = VERB_RESET,
                            .reset = RESET_CAUSE,
                            .cause = (enum cause)cause,
                            .lasts = LINE_LOW_FOR};
  return bring(a, &step);
}

static bool do_reset(const struct asked *a)
{
  const char *word = a->count > 0 ? a->words[0] : "line";
  uint32_t way = word_index(reset_way_words, word);
  uint32_t cause = word_index(cause_words, word);
  if (a->count > 1) return refuse(a, a->words[1], "is a word too much");
  if (way == PART_NONE && cause == PART_NONE)
    return refuse(a, word,
                  "is no reset: expected \"line\", \"request\", "
                  "\"core\", or a cause of the reset table");
  if (way == PART_NONE) return reset_by_cause(a, cause);
  const struct step step = {.verb = VERB_PROBE,
                            .probe = PROBE_RESET,
                            .way = (enum reset_way)way,
                            .lasts = LINE_LOW_FOR};
  return bring(a, &step);
}

static bool do_reload(const struct asked *a)
{
  const struct step step = {.verb = VERB_RELOAD};
  return no_words(a) && bring(a, &step);
}

static bool switch_on(const struct asked *a)
{
  const struct step step = {.verb = VERB_POWER, .power = POWER_ON};
  if (a->target->machine->supply.on)
    return refuse(a, "the supply", "is on already");
  return bring(a, &step);
}

static bool switch_off(const struct asked *a, ps_t lasts)
{
  if (!play_script(a->target->play)->supply.removable)
    return refuse(a, "this board's supply", "can't be switched off");
  target_switch_off(a->target, lasts);
  monitor_tell_place(a->target, a->to);
  return true;
}

static bool read_time(const struct asked *a, const char *word, ps_t *time)
{
  return units_parse(word, UNIT_TIME, time) ||
         refuse(a, word, "is no time: expected one such as 20us");
}

static bool do_power(const struct asked *a)
{
  uint32_t way =
      a->count > 0 ? word_index(power_words, a->words[0]) : PART_NONE;
  uint32_t next = way == PART_NONE ? 0 : 1;
  ps_t lasts = 0;
  if (a->count > next && !read_time(a, a->words[next], &lasts)) return false;
  if (a->count > next + 1 || (way == POWER_ON && a->count > 1))
    return refuse(a, a->words[a->count - 1], "is a word too much");
  if (way == POWER_ON) return switch_on(a);
  return switch_off(a, lasts) && (way == POWER_OFF || switch_on(a));
}

/* A pin by its own name or a strap's. */
static bool find_pin(const struct asked *a, uint32_t *pin)
{
  static const struct sim_place nowhere;
  struct sim_error err;
  return plan_pin(play_plan(a->target->play), a->words[0], &nowhere, pin,
                  &err) == SIM_OK ||
         refuse(a, a->words[0], "is no pin and no strap of this part");
}

static bool do_drive(const struct asked *a)
{
  struct machine *m = a->target->machine;
  uint32_t pin;
  if (a->count != 2)
    return refuse(a, "drive", "needs a pin and a level, such as P2 high");
  uint32_t level = word_index(drive_words, a->words[1]);
  if (level == PART_NONE)
    return refuse(a, a->words[1],
                  "is no level: expected \"low\", \"high\" or "
                  "\"release\"");
  if (!find_pin(a, &pin)) return false;
  nets_drive(&m->nets, pin, (enum drive_level)level,
             chip_moment(&m->chip, m->now));
  return true;
}

static bool do_run(const struct asked *a)
{
  ps_t lasts;
  if (a->count != 1) return refuse(a, "run", "needs one time, such as 3ms");
  if (!read_time(a, a->words[0], &lasts)) return false;
  if (lasts > RUN_AT_MOST)
    return refuse(a, a->words[0], "is too long: expected 1s at most");
  target_run(a->target, lasts);
  monitor_tell_place(a->target, a->to);
  return true;
}

/* --- the table ----------------------------------------------------------- */

static bool do_help(const struct asked *a);

static const struct command {
  const char *word, *follows, *sentence;
  bool (*act)(const struct asked *a);
} commands[] = {
#define X(function, word, follows, sentence)                                  \
  {word, follows, sentence, do_##function},
#include "serve/monitor.def"
#undef X
};
#define COMMAND_COUNT (sizeof commands / sizeof commands[0])

static bool do_help(const struct asked *a)
{
  struct page page;
  char lead[LINE_BYTES];
  if (!no_words(a)) return false;
  page_open(&page, a->to);
  for (size_t i = 0; i < COMMAND_COUNT; i++) {
    snprintf(lead, sizeof lead, "%s%s%s", commands[i].word,
             commands[i].follows[0] != '\0' ? " " : "", commands[i].follows);
    page_item(&page, 0, 24, lead);
    page_say(&page, commands[i].sentence);
    page_end(&page);
  }
  return true;
}

static bool no_command(const struct asked *a, const char *word)
{
  const char *words[COMMAND_COUNT];
  char why[LINE_BYTES];
  for (size_t i = 0; i < COMMAND_COUNT; i++)
    words[i] = commands[i].word;
  const char *meant = nearest_word(word, words, COMMAND_COUNT);
  snprintf(why, sizeof why, "is no command; %s%s",
           meant != NULL ? "did you mean " : "help lists them",
           meant != NULL ? meant : "");
  return refuse(a, word, why);
}

bool monitor_do(struct target *t, const char *line, FILE *to)
{
  char text[LINE_BYTES], *rest = text;
  struct asked a = {.target = t, .to = to};
  if (strlen(line) >= sizeof text)
    return refuse(&a, "the line", "is too long");
  strcpy(text, line);
  const char *word = strtok_r(rest, " \t\r\n", &rest);
  if (word == NULL) word = "help";
  const char *next;
  while ((next = strtok_r(NULL, " \t\r\n", &rest)) != NULL) {
    if (a.count == MAX_WORDS) return refuse(&a, next, "is a word too much");
    a.words[a.count++] = next;
  }
  for (size_t i = 0; i < COMMAND_COUNT; i++)
    if (strcmp(commands[i].word, word) == 0) return commands[i].act(&a);
  return no_command(&a, word);
}
