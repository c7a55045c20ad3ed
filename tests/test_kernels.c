/* Compiled code computes on the simulated core what it should.
 *
 * CRC-32/ISO-HDLC, SHA-256 and a sort, built at -Os, -O2 and -O3
 * (images/kernels), run on each core that their instruction set is for. The
 * references: the check value of the CRC (RFC 1952 names the algorithm; the
 * value is in the catalogues of CRCs, from memory, and gzip gives it); the
 * digests of FIPS 180-4's examples; and the host, whose compiler builds the
 * same functions for another processor, for inputs without a pattern.
 */
#include <stdlib.h>
#include <string.h>

#include "../images/common/crc32.h"
#include "../images/kernels/kernel.h"
#include "../images/kernels/sha256.h"
#include "../images/kernels/sort.h"
#include "base/arena.h"
#include "bench_core.h"
#include "chip_fixture.h"
#include "image/image.h"

/* No kernel takes as long. */
#define MOST_CYCLES 2000000

#define KERNELS FIRSTFETCH_ROOT "/images/kernels/"

/* Which instruction sets were built, and what runs them: one row a core. */
static const struct core_row {
  const char *built_for; /* folder */
  enum core_kind kind;
  const char *called;
} cores[] = {
    {"cortex-m0", CORE_KIND_M0, "M0"},
    {"cortex-m0", CORE_KIND_M0PLUS, "M0+"},
    {"cortex-m3", CORE_KIND_M3, "M3"},
    {"cortex-m4", CORE_KIND_M4, "M4"},
    {"cortex-m4f", CORE_KIND_M4F, "M4F"},
};

static const char *const levels[] = {"Os", "O2", "O3"};

/* --- one run ------------------------------------------------------------- */

struct run {
  struct arena arena;
  const struct image *image;
  struct bench *bench;
};

static addr_t symbol(const struct run *r, const char *name)
{
  const struct image_symbol *s = image_symbol_named(r->image, name);
  assert_non_null(s);
  return s->at;
}

static void begin(struct run *r, const char *kernel, const char *level,
                  const struct core_row *core)
{
  char path[256];
  struct sim_error err = {0};
  snprintf(path, sizeof path, KERNELS "%s/%s-%s.elf", core->built_for, kernel,
           level);
  arena_init(&r->arena);
  r->image = NULL;
  image_read(&r->arena, path, false, 0, &r->image, &err);
  assert_string_equal(err.message, "");
  r->bench = bench_new(core->kind, 1);
  for (uint32_t i = 0; i < r->image->segment_count; i++) {
    const struct image_segment *s = &r->image->segments[i];
    bench_put(r->bench, s->at, s->bytes, s->size);
  }
}

static void end(struct run *r)
{
  bench_free(r->bench);
  arena_free(&r->arena);
}

/* Until it spins where it is done; it never stops for another reason. */
static void compute(struct run *r, const void *input, size_t bytes,
                    uint32_t length)
{
  struct bench *b = r->bench;
  addr_t done = symbol(r, "kernel_done");
  assert_true(bytes <= KERNEL_INPUT_WORDS * sizeof(uint32_t));
  bench_put(b, symbol(r, "kernel_input"), input, bytes);
  bench_word(b, symbol(r, "kernel_length"), length);
  bench_reset(b);
  while (b->core.cycle < MOST_CYCLES && b->core.r[15] != done) {
    assert_int_equal(bench_run(b, 1000), CORE_STOP_DEADLINE);
  }
  assert_int_equal(b->core.r[15], done);
  assert_null(bench_find(b, TRACE_EXCEPTION, 0));
}

static void take(const struct run *r, const char *from, uint32_t *words,
                 uint32_t count)
{
  addr_t at = symbol(r, from);
  for (uint32_t i = 0; i < count; i++) {
    words[i] = bench_peek(r->bench, at + 4 * i);
  }
}

/* --- what is computed ---------------------------------------------------- */

/* One run of a kernel on an input; compares with `expected` words. */
static void expect_words(const char *kernel, const char *result,
                         const char *level, const struct core_row *core,
                         const void *input, size_t bytes, uint32_t length,
                         const uint32_t *expected, uint32_t count)
{
  struct run r;
  uint32_t words[KERNEL_INPUT_WORDS];
  begin(&r, kernel, level, core);
  compute(&r, input, bytes, length);
  take(&r, result, words, count);
  for (uint32_t i = 0; i < count; i++) {
    if (words[i] != expected[i]) {
      fail_msg("%s-%s on %s: word %u is 0x%08x; expected 0x%08x", kernel,
               level, core->called, i, words[i], expected[i]);
    }
  }
  end(&r);
}

/* On every core, at every level. */
static void everywhere(const char *kernel, const char *result,
                       const void *input, size_t bytes, uint32_t length,
                       const uint32_t *expected, uint32_t count)
{
  for (size_t c = 0; c < ROWS_COUNT(cores); c++) {
    for (size_t l = 0; l < ROWS_COUNT(levels); l++) {
      expect_words(kernel, result, levels[l], &cores[c], input, bytes, length,
                   expected, count);
    }
  }
}

/* --- published values ---------------------------------------------------- */

static const struct published_row {
  const char *name;
  const char *kernel;
  const char *message;
  uint32_t words[8];
  uint32_t count;
} published_rows[] = {
    {"the check value of CRC-32", "crc32", "123456789", {0xcbf43926}, 1},
    {"the CRC of nothing", "crc32", "", {0}, 1},
    /* FIPS 180-4's example file for SHA-256: one block, two blocks */
    {"SHA-256 of abc",
     "sha256",
     "abc",
     {0xba7816bf, 0x8f01cfea, 0x414140de, 0x5dae2223, 0xb00361a3, 0x96177a9c,
      0xb410ff61, 0xf20015ad},
     8},
    {"SHA-256 of the message of 448 bits",
     "sha256",
     "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
     {0x248d6a61, 0xd20638b8, 0xe5c02693, 0x0c3e6039, 0xa33ce459, 0x64ff2167,
      0xf6ecedd4, 0x19db06c1},
     8},
    /* from memory; sha256sum gives it */
    {"SHA-256 of nothing",
     "sha256",
     "",
     {0xe3b0c442, 0x98fc1c14, 0x9afbf4c8, 0x996fb924, 0x27ae41e4, 0x649b934c,
      0xa495991b, 0x7852b855},
     8},
};

static void the_published_value(void **state)
{
  const struct published_row *row = *state;
  uint32_t length = (uint32_t)strlen(row->message);
  everywhere(row->kernel, "kernel_result", row->message, length, length,
             row->words, row->count);
}

/* --- against the host ---------------------------------------------------- */

static void fill(uint8_t *bytes, size_t length, uint64_t *state)
{
  for (size_t i = 0; i < length; i++) {
    bytes[i] = (uint8_t)fixture_random(state);
  }
}

/* Lengths around the edges of a block and of its padding. */
static const uint32_t lengths[] = {1, 3, 55, 56, 63, 64, 65, 119, 128, 1000};

static void the_host_computes_the_same_crc(void **state)
{
  (void)state;
  uint64_t random = 1;
  for (size_t i = 0; i < ROWS_COUNT(lengths); i++) {
    uint8_t bytes[1000];
    fill(bytes, lengths[i], &random);
    uint32_t expected = crc32(bytes, lengths[i]);
    everywhere("crc32", "kernel_result", bytes, lengths[i], lengths[i],
               &expected, 1);
  }
}

static void the_host_computes_the_same_digest(void **state)
{
  (void)state;
  uint64_t random = 2;
  for (size_t i = 0; i < ROWS_COUNT(lengths); i++) {
    uint8_t bytes[1000];
    uint32_t expected[SHA256_WORDS];
    fill(bytes, lengths[i], &random);
    sha256(bytes, lengths[i], expected);
    everywhere("sha256", "kernel_result", bytes, lengths[i], lengths[i],
               expected, SHA256_WORDS);
  }
}

static int by_value(const void *left, const void *right)
{
  uint32_t a = *(const uint32_t *)left, b = *(const uint32_t *)right;
  return (a > b) - (a < b);
}

/* The reference is the host's qsort, not the same function. */
static void sorts_to(uint32_t *words, uint32_t count)
{
  uint32_t sorted[KERNEL_INPUT_WORDS], by_us[KERNEL_INPUT_WORDS];
  memcpy(sorted, words, count * sizeof *words);
  memcpy(by_us, words, count * sizeof *words);
  qsort(sorted, count, sizeof *sorted, by_value);
  sort(by_us, count);
  assert_memory_equal(by_us, sorted, count * sizeof *sorted);
  everywhere("sort", "kernel_input", words, count * sizeof *words, count,
             sorted, count);
}

static void lists_are_sorted(void **state)
{
  (void)state;
  uint64_t random = 3;
  uint32_t words[KERNEL_INPUT_WORDS];
  for (uint32_t count = 1; count <= KERNEL_INPUT_WORDS; count *= 4) {
    for (uint32_t i = 0; i < count; i++) {
      words[i] = fixture_random(&random);
    }
    sorts_to(words, count);
  }
}

static void lists_with_a_pattern_are_sorted(void **state)
{
  (void)state;
  uint32_t words[60];
  for (uint32_t i = 0; i < ROWS_COUNT(words); i++) {
    words[i] = i % 3 == 0 ? UINT32_MAX : i % 3 == 1 ? i / 7 : 0;
  }
  sorts_to(words, ROWS_COUNT(words));
  qsort(words, ROWS_COUNT(words), sizeof words[0], by_value);
  sorts_to(words, ROWS_COUNT(words));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(published_rows) + 4] = {
      cmocka_unit_test(the_host_computes_the_same_crc),
      cmocka_unit_test(the_host_computes_the_same_digest),
      cmocka_unit_test(lists_are_sorted),
      cmocka_unit_test(lists_with_a_pattern_are_sorted)};
  ROWS_ADD(tests + 4, the_published_value, published_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
