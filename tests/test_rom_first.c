/* A part whose boot ROM is always first and checks the image by itself.
 *
 * What a start looks like there is common practice, no source. That any one
 * byte that is wrong is found is a property of the CRC (RFC 1952 section 8
 * has the algorithm); the images' CRCs were computed by gzip when they were
 * built. The header is that of images/rom-checking/header.h.
 */
#include "../images/rom-checking/header.h"
#include "played.h"

#define PART   FIRSTFETCH_ROOT "/models/rom-first.json"
#define HEADED FIRSTFETCH_ROOT "/images/logger-headed/logger-headed.bin"
#define WRONG                                                                 \
  FIRSTFETCH_ROOT "/images/logger-headed-wrong/logger-headed-wrong.bin"
#define PLAIN FIRSTFETCH_ROOT "/images/logger/logger.bin"

#define BASE 0x04000000u

static const char the_case[] =
    "{ \"case\": \"A start of the part\", \"part\": \"%s\",\n"
    "  \"images\": { \"app\": { \"file\": \"app.bin\", \"base\": "
    "\"0x04000000\" } },\n"
    "  \"steps\": [\n"
    "    { \"write\": \"app\", \"by\": \"preset\" },\n"
    "    { \"power\": \"on\", \"for\": \"5ms\" },\n"
    "    { \"probe\": \"attach\" },\n"
    "    { \"probe\": \"read\", \"at\": \"0xE000ED08\" },\n"
    "    { \"expect\": { \"read\": \"%s\" } } ] }\n";

static uint32_t word(const uint8_t *bytes, size_t at)
{
  return (uint32_t)bytes[at] | (uint32_t)bytes[at + 1] << 8 |
         (uint32_t)bytes[at + 2] << 16 | (uint32_t)bytes[at + 3] << 24;
}

static const struct result *start_with(struct played_bench *bench,
                                       const uint8_t *image, size_t length,
                                       const char *vector_base,
                                       struct play **play)
{
  played_file(bench, "app.bin", image, length);
  const char *path = played_text_file(
      bench, "case.json", played_format(bench, the_case, PART, vector_base));
  *play = played_prepare(played_case(bench, path), played_part(bench, PART));
  const struct result *result = play_run(*play);
  assert_int_equal(result->start_count, 1);
  return result;
}

static bool found(const struct result *r, enum finding_kind kind)
{
  for (uint32_t i = 0; i < r->finding_count; i++) {
    if (r->findings[i].kind == kind) return true;
  }
  return false;
}

/* --- it lands ------------------------------------------------------------ */

static void a_right_image_is_landed_in(void **state)
{
  struct played_bench *bench = *state;
  size_t length;
  const uint8_t *image = played_bytes(bench, HEADED, &length);
  struct play *play;
  const struct result *r =
      start_with(bench, image, length, "0x04000100", &play);
  const struct start *s = &r->starts[0];
  assert_string_equal(s->region, "rom");
  assert_string_equal(s->rule, "always-rom");
  assert_true(s->landing.landed);
  assert_string_equal(s->landing.region, "flash");
  assert_int_equal(s->landing.pc, word(image, HEADER_BYTES + 4) & ~1u);
  assert_true(s->landing.at > s->at);
  assert_true(s->rom_instructions > 0);
  assert_true(s->instructions > s->rom_instructions);
  /* the application drives its LED; the ROM, on its way, nothing */
  assert_int_equal(s->pin_count, 1);
  assert_string_equal(s->pins[0].pin, "P5");
  assert_true(s->pins[0].at > s->landing.at);
  assert_false(found(r, FINDING_ROM_RAN));
  assert_int_equal(r->verdict, VERDICT_HELD); /* the vector base is its own */
  play_free(play);
}

/* --- it refuses ---------------------------------------------------------- */

/* The right image with something changed, or another image. */
enum change { NOTHING, LENGTH_IS, FLIPS, FLIPS_LAST };

static const struct refused_row {
  const char *name;
  const char *image;
  enum change change;
  size_t at;      /* FLIPS: of a byte */
  uint32_t value; /* of the length; or which bits */
  bool is_read;   /* its CRC is computed */
} refused_rows[] = {
    {"an image whose CRC is wrong", WRONG, NOTHING, 0, 0, true},
    {"an image without a header", PLAIN, NOTHING, 0, 0, false},
    {"another magic word", HEADED, FLIPS, 0, 0x01, false},
    {"a length of 0", HEADED, LENGTH_IS, 0, 0, false},
    {"a length of less than two vectors", HEADED, LENGTH_IS, 0, 4, false},
    {"a length that is no multiple of 4", HEADED, LENGTH_IS, 0, 486, false},
    {"a shorter length", HEADED, LENGTH_IS, 0, 484, true},
    {"a longer length", HEADED, LENGTH_IS, 0, 492, true},
    {"a length beyond the flash", HEADED, LENGTH_IS, 0, 0x13f04, false},
    {"a length of nearly 4 GiB", HEADED, LENGTH_IS, 0, 0xfffffffc, false},
    {"another CRC", HEADED, FLIPS, HEADER_CRC + 3, 0x80, true},
    {"the first byte changed", HEADED, FLIPS, HEADER_BYTES, 0x01, true},
    {"a byte in the middle changed", HEADED, FLIPS, HEADER_BYTES + 0x100, 0x40,
     true},
    {"the last byte changed", HEADED, FLIPS_LAST, 0, 0x80, true},
};

static void apply(const struct refused_row *row, uint8_t *image, size_t length)
{
  switch (row->change) {
  case NOTHING: break;
  case LENGTH_IS:
    for (unsigned i = 0; i < 4; i++) {
      image[HEADER_LENGTH + i] = (uint8_t)(row->value >> (8 * i));
    }
    break;
  case FLIPS: image[row->at] ^= (uint8_t)row->value; break;
  case FLIPS_LAST: image[length - 1] ^= (uint8_t)row->value; break;
  }
}

/* Long before the CRC of the image can be there, and far behind all else that
 * the ROM looks at. */
#define CRC_CYCLES 3000

static void an_image_is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct refused_row *row = bench->row;
  size_t length;
  uint8_t *image = played_bytes(bench, row->image, &length);
  apply(row, image, length);
  struct play *play;
  const struct result *r =
      start_with(bench, image, length, "0x00000000", &play);
  const struct start *s = &r->starts[0];
  assert_string_equal(s->region, "rom");
  assert_false(s->landing.landed);
  assert_int_equal(s->instructions, s->rom_instructions);
  assert_int_equal(s->pin_count, 1); /* the serial port's, for the host */
  assert_string_equal(s->pins[0].pin, "P9");
  assert_true(s->pins[0].high);
  ps_t cycle = PS_PER_S / 16000000; /* as the part's file says */
  assert_int_equal((s->pins[0].at - s->at) / cycle > CRC_CYCLES, row->is_read);
  assert_true(found(r, FINDING_ROM_RAN));
  assert_int_equal(r->verdict, VERDICT_HELD); /* no vector base was set */
  play_free(play);
}

/* --- what is told -------------------------------------------------------- */

static void a_blank_part_waits_for_the_host(void **state)
{
  struct played_bench *bench = *state;
  const char *path = played_text_file(
      bench, "case.json",
      "{ \"case\": \"Blank\", \"part\": \"" PART "\", \"steps\": [\n"
      "  { \"power\": \"on\" },\n"
      "  { \"expect\": { \"region\": \"rom\", \"outcome\": \"waiting\" } } ] "
      "}\n");
  struct play *play =
      played_prepare(played_case(bench, path), played_part(bench, PART));
  const struct result *r = play_run(play);
  assert_int_equal(r->verdict, VERDICT_HELD);
  assert_true(r->starts[0].waits_for_host);
  assert_false(r->starts[0].landing.landed);
  assert_false(r->starts[0].has_latch);
  play_free(play);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(refused_rows) + 2] = {
      PLAYED_TEST(a_right_image_is_landed_in),
      PLAYED_TEST(a_blank_part_waits_for_the_host)};
  PLAYED_ADD(tests + 2, an_image_is_refused, refused_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
