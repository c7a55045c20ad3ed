/* bench_demo PROGRAM BARE_ENGINE -- what the simulator adds to its engine.
 *
 * The demo is run as a process, in turn with a process that opens the bare
 * library behind the engine and executes as many instructions from the same
 * memories. Printed: both times, from start to exit, and their ratio. It
 * prints times of the host: no two runs are equal, and it judges none.
 */
#include <fcntl.h>
#include <inttypes.h>
#include <spawn.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cjson/cJSON.h>

#define RUNS       20
#define MAX_STARTS 16
#define CASE       "traces/still-boots-rom.jsonc"

extern char **environ;

static void stop(const char *what)
{
  fprintf(stderr, "bench_demo: %s\n", what);
  exit(2);
}

/* --- processes ----------------------------------------------------------- */

/* Its standard output goes to `to`. */
static void run(char *const *words, const char *to)
{
  posix_spawn_file_actions_t actions;
  pid_t child;
  int status;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, to,
                                   O_WRONLY | O_CREAT | O_TRUNC, 0600);
  if (posix_spawn(&child, words[0], &actions, NULL, words, environ) != 0) {
    stop(words[0]);
  }
  posix_spawn_file_actions_destroy(&actions);
  if (waitpid(child, &status, 0) != child || status != 0) stop(words[0]);
}

/* What it prints. */
static void output_of(char *const *words, char *text, size_t size)
{
  char path[] = "/tmp/firstfetch-bench-XXXXXX";
  int handle = mkstemp(path);
  if (handle < 0) stop(path);
  run(words, path);
  ssize_t length = read(handle, text, size - 1);
  if (length < 0) stop(path);
  text[length] = '\0';
  close(handle);
  unlink(path);
}

static int64_t now_us(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (int64_t)now.tv_sec * 1000000 + now.tv_nsec / 1000;
}

static int64_t duration_us(char *const *words)
{
  int64_t begin = now_us();
  run(words, "/dev/null");
  return now_us() - begin;
}

/* --- the same instructions ----------------------------------------------- */

struct bare {
  char *words[MAX_STARTS + 5];
  size_t count;
  unsigned starts;
  uint64_t instructions;
};

static void add_word(struct bare *bare, const char *word)
{
  bare->words[bare->count++] = strdup(word);
}

/* One word, "REGION:COUNT", a start of the demo. */
static void add_start(struct bare *bare, const cJSON *start)
{
  const cJSON *region = cJSON_GetObjectItemCaseSensitive(start, "region");
  const cJSON *count = cJSON_GetObjectItemCaseSensitive(start, "instructions");
  char word[64];
  if (!cJSON_IsString(region) || !cJSON_IsNumber(count) ||
      bare->starts == MAX_STARTS) {
    stop("the demo's starts are not as expected");
  }
  snprintf(word, sizeof word, "%s:%d", region->valuestring, count->valueint);
  add_word(bare, word);
  bare->starts++;
  bare->instructions += (uint64_t)count->valueint;
}

static void add_starts(struct bare *bare, char *program)
{
  static char json[1 << 18];
  char *const demo[] = {program, "run", CASE, "--json", "-", NULL};
  const cJSON *start;
  output_of(demo, json, sizeof json);
  cJSON *result = cJSON_Parse(json);
  if (!result) stop("the demo's JSON can't be read");
  cJSON_ArrayForEach(start, cJSON_GetObjectItemCaseSensitive(result, "starts"))
  {
    add_start(bare, start);
  }
  cJSON_Delete(result);
}

/* Does the bare engine execute what the demo did? */
static void check_count(struct bare *bare)
{
  char text[32];
  char *counting[MAX_STARTS + 6] = {bare->words[0], "--count"};
  memcpy(counting + 2, bare->words + 1, bare->count * sizeof *counting);
  output_of(counting, text, sizeof text);
  if (strtoull(text, NULL, 10) != bare->instructions) {
    stop("the bare engine executes another number of instructions");
  }
}

/* --- times --------------------------------------------------------------- */

static int by_size(const void *a, const void *b)
{
  int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
  return (x > y) - (x < y);
}

static void print_line(const char *name, int64_t least, int64_t median,
                       int64_t unit)
{
  printf("  %-12s %6" PRId64 ".%02" PRId64 " %6" PRId64 ".%02" PRId64 "\n",
         name, least / unit, least % unit * 100 / unit, median / unit,
         median % unit * 100 / unit);
}

static void measure(char *const *demo, char *const *bare)
{
  int64_t demo_us[RUNS], bare_us[RUNS];
  for (int i = 0; i < RUNS; i++) {
    demo_us[i] = duration_us(demo);
    bare_us[i] = duration_us(bare);
  }
  qsort(demo_us, RUNS, sizeof *demo_us, by_size);
  qsort(bare_us, RUNS, sizeof *bare_us, by_size);
  int64_t demo_median = (demo_us[RUNS / 2 - 1] + demo_us[RUNS / 2]) / 2;
  int64_t bare_median = (bare_us[RUNS / 2 - 1] + bare_us[RUNS / 2]) / 2;
  printf("  %-12s %9s %9s\n", "", "least", "median");
  print_line("demo, ms", demo_us[0], demo_median, 1000);
  print_line("bare, ms", bare_us[0], bare_median, 1000);
  print_line("ratio", demo_us[0] * 100 / bare_us[0],
             demo_median * 100 / bare_median, 100);
}

int main(int argc, char **argv)
{
  struct bare bare = {0};
  if (argc != 3) stop("expected PROGRAM BARE_ENGINE");
  char *const demo[] = {argv[1], "run", CASE, NULL};
  add_word(&bare, argv[2]);
  add_word(&bare, "images/rom/rom.bin");
  add_word(&bare, "images/logger/logger.bin");
  add_starts(&bare, argv[1]);
  check_count(&bare);
  printf("whole process, %d runs each in turn; %u starts, %" PRIu64
         " instructions\n",
         RUNS, bare.starts, bare.instructions);
  measure(demo, bare.words);
  while (bare.count > 0) {
    free(bare.words[--bare.count]);
  }
  return 0;
}
