/* The reset table is the truth: whichever cell of it is turned over, every
 * start is what the table then says, by a second model of the same rules
 * (boot_reference.h).
 *
 * What no row of a part can be asked here: what backup registers and a
 * watchdog lose, because no register of theirs is described; and whether the
 * part pulls a reset line that the bench holds low already.
 */
#include "describe/names.h"
#include "reset_seen.h"

#define LOOP 0x04000041u /* reset vector of the images */

/* --- cells --------------------------------------------------------------- */

#define COLUMN_FLAG RESET_COLUMN_COUNT_
#define COLUMNS     (RESET_COLUMN_COUNT_ + 1)

/* A row that models/latched.json lacks, to be put behind the first brace of
 * "resets". */
static const char added_row[] =
    "\"resets\": [\n"
    "    { \"cause\": \"%s\", \"options\": \"keep\", \"latch\": \"keep\", "
    "\"straps\": \"sample\", \"alias\": \"select\", \"ram\": \"keep\", "
    "\"backup\": \"keep\", \"debug\": \"keep\", \"watchdog\": \"stop\", "
    "\"clocks\": \"reset\", \"flash_lock\": \"lock\", \"pins\": \"reset\", "
    "\"line\": \"drive\", \"flag\": true },";

struct cell {
  enum cause cause;
  unsigned column; /* enum reset_column, COLUMN_FLAG or COLUMNS: none */
};

static const char *cell_key(const struct cell *cell)
{
  return cell->column == COLUMN_FLAG
             ? "flag"
             : column_key((enum reset_column)cell->column);
}

/* As the file has it: "\"keep\"", "true". */
static const char *cell_text(struct played_bench *bench,
                             const struct cell *cell, bool yes)
{
  if (cell->column == COLUMN_FLAG) return yes ? "true" : "false";
  return played_format(bench, "\"%s\"",
                       column_word((enum reset_column)cell->column, yes));
}

/* The text with a line of it, the one around `at`, replaced. */
static const char *with_line(struct played_bench *bench, const char *text,
                             const char *at, const char *line)
{
  const char *begin = at, *end = strchr(at, '\n');
  while (begin > text && begin[-1] != '\n') {
    begin--;
  }
  return played_format(bench, "%.*s%s%s", (int)(begin - text), text, line,
                       end);
}

static const char *line_of(struct played_bench *bench, const char *text,
                           const char *marked)
{
  const char *at = strstr(text, marked);
  if (!at) fail_msg("no %s", marked);
  while (at > text && at[-1] != '\n') {
    at--;
  }
  return arena_text_n(&bench->arena, at, strcspn(at, "\n"));
}

/* A register may not show a flag that nothing sets: take the field away. */
static const char *without_field(struct played_bench *bench, const char *text,
                                 enum cause cause)
{
  const char *at =
      strstr(text, played_format(bench, "\"cause.%s\"", cause_word(cause)));
  return at ? with_line(bench, text, at, "") : text;
}

/* The part file with one cell of its reset table turned over. */
static const char *turn_over(struct played_bench *bench, const char *text,
                             const struct cell *cell)
{
  const char *row =
      played_format(bench, "\"cause\": \"%s\"", cause_word(cell->cause));
  const char *line = line_of(bench, text, row);
  const char *yes = played_format(bench, "\"%s\": %s", cell_key(cell),
                                  cell_text(bench, cell, true));
  const char *no = played_format(bench, "\"%s\": %s", cell_key(cell),
                                 cell_text(bench, cell, false));
  bool is_yes = strstr(line, yes) != NULL;
  const char *turned =
      played_replace(bench, line, is_yes ? yes : no, is_yes ? no : yes);
  text = with_line(bench, text, strstr(text, row), turned);
  if (cell->column != COLUMN_FLAG) return text;
  return without_field(bench, text, cell->cause);
}

static const char *with_row(struct played_bench *bench, const char *text,
                            enum cause cause)
{
  char row[sizeof added_row + 32];
  snprintf(row, sizeof row, added_row, cause_word(cause));
  return played_replace(bench, text, "\"resets\": [", row);
}

/* --- trials -------------------------------------------------------------- */

struct trial {
  char name[96];
  enum cause added; /* a row that the part lacks; CAUSE_COUNT_: none */
  struct cell cell; /* turned over, unless its column is COLUMNS */
  bool erased;      /* the first word of the image */
};

/* A vector table whose only handler is a loop, and the loop. */
static struct reset_image make_image(struct played_bench *bench, bool erased)
{
  struct reset_image image = {.vectors = {0x20001000, LOOP}};
  if (erased) image.vectors[0] = 0xffffffff;
  uint32_t words[17] = {image.vectors[0], LOOP, LOOP, LOOP};
  words[16] = 0xe7fee7fe; /* two times `b .` */
  image.path = played_file(bench, "image.bin", words, sizeof words);
  return image;
}

static void read_rom(struct played_bench *bench, uint32_t rom[2])
{
  size_t length;
  const uint8_t *bytes =
      played_bytes(bench, FIRSTFETCH_ROOT "/images/rom/rom.bin", &length);
  assert_true(length >= 8);
  memcpy(rom, bytes, 8);
}

static bool same_expected(const struct reset_script *a,
                          const struct reset_script *b)
{
  assert_int_equal(a->count, b->count);
  for (uint32_t i = 0; i < a->count; i++) {
    if (!reference_same(&a->expected[i], &b->expected[i])) return false;
  }
  return true;
}

/* Whether the cell can be seen at all in such a script; see the head. */
static bool shows(const struct trial *trial)
{
  const struct cell *cell = &trial->cell;
  switch (cell->column) {
  case RESET_BACKUP:
  case RESET_WATCHDOG:
  case COLUMNS: return false;
  case RESET_LINE: return cell->cause != CAUSE_PIN;
  case RESET_LATCH: return !trial->erased;
  case RESET_RAM: return cell->cause != CAUSE_POWER_ON; /* no voltage */
  default: return true;
  }
}

static void play_and_compare(struct played_bench *bench,
                             const struct part *part,
                             const struct reset_script *script)
{
  struct reset_seen *seen = arena_get(&bench->arena, sizeof *seen);
  const char *path =
      played_file(bench, "script.json", script->text, script->length);
  struct play *play = played_prepare(played_case(bench, path), part);
  trace_listen(play_trace(play), TRACE_ALL, reset_see, seen);
  const struct result *result = play_run(play);
  assert_null(result->stopped);
  reset_same(part, script, result, seen);
  play_free(play);
}

static void every_start_is_what_the_table_says(void **state)
{
  struct played_bench *bench = *state;
  const struct trial *trial = bench->row;
  uint32_t rom[2];
  read_rom(bench, rom);
  struct reset_image image = make_image(bench, trial->erased);

  const char *text = played_part_text(bench, PLAYED_LATCHED);
  if (trial->added != CAUSE_COUNT_) {
    text = with_row(bench, text, trial->added);
  }
  const struct part *before =
      played_part(bench, played_text_file(bench, "before.json", text));
  if (trial->cell.column != COLUMNS) {
    text = turn_over(bench, text, &trial->cell);
  }
  const struct part *part =
      played_part(bench, played_text_file(bench, "part.json", text));

  bool no_lockup = trial->added == CAUSE_LOCKUP;
  struct reset_script *plain = arena_get(&bench->arena, sizeof *plain);
  struct reset_script *script = arena_get(&bench->arena, sizeof *script);
  reset_script_make(plain, bench, before, rom, &image, no_lockup);
  reset_script_make(script, bench, part, rom, &image, no_lockup);
  assert_int_equal(same_expected(plain, script), !shows(trial));

  play_and_compare(bench, part, script);
}

/* --- cells that no part can have ----------------------------------------- */

static const struct refused_row {
  const char *name;
  unsigned column;   /* of the row "power_on" */
  const char *error; /* behind the file's name */
} refused_rows[] = {
    {"a power-on that keeps options is refused", RESET_OPTIONS,
     ":27:39: resets[0].options: is \"keep\"; expected \"load\", because "
     "nothing of this outlives a loss of power"},
    {"a power-on that keeps the latch is refused", RESET_LATCH,
     ":27:56: resets[0].latch: is \"keep\"; expected \"sample\", because "
     "\"held\" is \"latched\""},
    {"a power-on that keeps straps is refused", RESET_STRAPS,
     ":27:76: resets[0].straps: is \"keep\"; expected \"sample\", because "
     "nothing of this outlives a loss of power"},
    {"a power-on that keeps the alias is refused", RESET_ALIAS,
     ":27:95: resets[0].alias: is \"keep\"; expected \"select\", because "
     "nothing of this outlives a loss of power"},
    {"a power-on that keeps debug is refused", RESET_DEBUG,
     ":27:147: resets[0].debug: is \"keep\"; expected \"lose\", because "
     "nothing of this outlives a loss of power"},
    {"a power-on that keeps the watchdog is refused", RESET_WATCHDOG,
     ":27:167: resets[0].watchdog: is \"keep\"; expected \"stop\", because "
     "nothing of this outlives a loss of power"},
    {"a power-on that keeps clocks is refused", RESET_CLOCKS,
     ":27:185: resets[0].clocks: is \"keep\"; expected \"reset\", because "
     "nothing of this outlives a loss of power"},
    {"a power-on that keeps flash open is refused", RESET_FLASH_LOCK,
     ":27:208: resets[0].flash_lock: is \"keep\"; expected \"lock\", because "
     "nothing of this outlives a loss of power"},
    {"a power-on that keeps pins is refused", RESET_PINS,
     ":27:224: resets[0].pins: is \"keep\"; expected \"reset\", because "
     "nothing of this outlives a loss of power"},
};

static void an_impossible_cell_is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct refused_row *row = bench->row;
  const struct cell cell = {CAUSE_POWER_ON, row->column};
  const char *text =
      turn_over(bench, played_part_text(bench, PLAYED_LATCHED), &cell);
  const char *path = played_text_file(bench, "part.json", text);
  const struct part *part = NULL;
  struct sim_error err = {0};
  assert_int_equal(part_read(&bench->arena, path, &part, &err), SIM_RANGE);
  assert_null(part);
  char told[1200];
  sim_error_text(&err, told, sizeof told);
  assert_memory_equal(told, path, strlen(path));
  assert_string_equal(told + strlen(path), row->error);
}

/* ------------------------------------------------------------------------- */

static bool is_refused(const struct cell *cell)
{
  for (size_t i = 0; i < ROWS_COUNT(refused_rows); i++) {
    if (cell->cause != CAUSE_POWER_ON) return false;
    if (refused_rows[i].column == cell->column) return true;
  }
  return false;
}

#define TRIALS (2 * (9 * COLUMNS + 3))

struct trials {
  struct trial list[TRIALS];
  size_t count;
};

static void add_trial(struct trials *t, enum cause added, struct cell cell)
{
  for (int erased = 0; erased < 2; erased++) {
    struct trial *trial = &t->list[t->count++];
    *trial =
        (struct trial){.added = added, .cell = cell, .erased = erased != 0};
    snprintf(trial->name, sizeof trial->name, "%s: %s, first word %s",
             added == CAUSE_COUNT_ && cell.column == COLUMNS
                 ? "the table as it is"
                 : cause_word(cell.cause),
             cell.column == COLUMNS ? "nothing turned over" : cell_key(&cell),
             erased ? "erased" : "programmed");
  }
}

static void add_row(struct trials *t, enum cause added, enum cause cause)
{
  for (unsigned column = 0; column < COLUMNS; column++) {
    struct cell cell = {cause, column};
    if (!is_refused(&cell)) add_trial(t, added, cell);
  }
}

/* The rows of the file, then those that it lacks, each in a part of its own:
 * where a lockup resets, erased flash would be a loop of resets. */
static void add_trials(struct trials *t, struct played_bench *bench)
{
  const struct part *part = played_part(bench, PLAYED_LATCHED);
  add_trial(t, CAUSE_COUNT_, (struct cell){CAUSE_POWER_ON, COLUMNS});
  for (enum cause cause = 0; cause < CAUSE_COUNT_; cause++) {
    bool present = part->resets[cause].present;
    if (!present) add_trial(t, cause, (struct cell){cause, COLUMNS});
    add_row(t, present ? CAUSE_COUNT_ : cause, cause);
  }
}

int main(void)
{
  static struct trials trials;
  struct CMUnitTest tests[TRIALS + ROWS_COUNT(refused_rows)];
  void *bench = NULL;
  if (played_setup(&bench) != 0) return 1;
  add_trials(&trials, bench);
  if (played_cleanup(&bench) != 0) return 1;
  size_t n = PLAYED_ADD(tests, an_impossible_cell_is_refused, refused_rows);
  for (size_t i = 0; i < trials.count; i++) {
    struct trial *trial = &trials.list[i];
    tests[n++] =
        (struct CMUnitTest){trial->name, every_start_is_what_the_table_says,
                            played_setup, played_cleanup, trial};
  }
  return _cmocka_run_group_tests("reset table", tests, n, NULL, NULL);
}
