/* Whatever comes over the line, the boot ROM neither crashes nor loses
 * anything: after it a hello is answered, and flash is what it was.
 *
 * Seeded: the same octets on every machine.
 */
#include "host_fixture.h"

#include "chip_fixture.h"

#define ROUNDS 60

struct hostile {
  struct play *play;
  uint64_t seed;
  uint8_t before[1 << 16];
};

static void begin(struct hostile *h, struct played_bench *bench, uint64_t seed)
{
  *h = (struct hostile){.play = host_waiting(bench, "latched"), .seed = seed};
  uint32_t size;
  const uint8_t *flash = host_flash(h->play, &size);
  assert_true(size <= sizeof h->before);
  memcpy(h->before, flash, size);
}

static uint32_t any(struct hostile *h, uint32_t below)
{
  return fixture_random(&h->seed) % below;
}

static void nothing_is_lost(struct hostile *h)
{
  uint32_t size;
  const uint8_t *flash = host_flash(h->play, &size);
  assert_memory_equal(flash, h->before, size);
  assert_int_equal(play_machine(h->play)->chip.core.mode, CORE_RUNNING);
}

/* The first frame after octets at random may be taken for their end. */
static void it_still_answers(struct hostile *h)
{
  nothing_is_lost(h);
  if (host_greet(h->play, 100) != REPLY_DONE)
    assert_int_equal(host_greet(h->play, 100), REPLY_DONE);
}

static void octets_at_random(void **state)
{
  struct hostile h;
  begin(&h, *state, 11);
  for (unsigned round = 0; round < ROUNDS; round++) {
    uint8_t octets[200];
    uint32_t count = 1 + any(&h, sizeof octets);
    for (uint32_t i = 0; i < count; i++) {
      uint32_t pick = any(&h, 8);
      octets[i] = pick == 0   ? FRAME_FLAG
                  : pick == 1 ? FRAME_ESCAPE
                              : (uint8_t)any(&h, 256);
    }
    host_say_octets(h.play, octets, count);
    if (round % 4 == 0) it_still_answers(&h);
  }
  it_still_answers(&h);
  play_free(h.play);
}

/* Requests that would change flash, if they were whole. */
static uint32_t put_request(struct hostile *h, uint8_t *octets)
{
  uint8_t content[PROTOCOL_MOST_CONTENT] = {
      any(h, 2) ? PROTOCOL_CODE(PROTOCOL_PUT) : PROTOCOL_CODE(PROTOCOL_WIPE),
      101,
      0,
      0,
      0,
      4,
      1,
      0};
  uint32_t size = 8;
  if (content[0] == PROTOCOL_CODE(PROTOCOL_PUT)) {
    size = 6 + 4 * (1 + any(h, 32));
    for (uint32_t i = 6; i < size; i++)
      content[i] = (uint8_t)any(h, 256);
  }
  return (uint32_t)frame_put(content, size, octets);
}

/* Flip a bit, drop an octet, double one, cut the end off, abort. */
static uint32_t damage(struct hostile *h, uint8_t *octets, uint32_t count)
{
  uint32_t at = 1 + any(h, count - 2);
  switch (any(h, 5)) {
  case 0: octets[at] ^= (uint8_t)(1u << any(h, 8)); return count;
  case 1:
    memmove(octets + at, octets + at + 1, count - at - 1);
    return count - 1;
  case 2: memmove(octets + at + 1, octets + at, count - at); return count + 1;
  case 3: return at;
  default:
    octets[count - 1] = FRAME_ESCAPE;
    octets[count] = FRAME_FLAG;
    return count + 1;
  }
}

static void frames_that_are_damaged(void **state)
{
  struct hostile h;
  begin(&h, *state, 22);
  for (unsigned round = 0; round < ROUNDS; round++) {
    uint8_t octets[FRAME_MAX_OCTETS + 2];
    assert_int_equal(host_greet(h.play, 100), REPLY_DONE);
    uint32_t count = damage(&h, octets, put_request(&h, octets));
    assert_true(host_say_octets(h.play, octets, count) >= REPLY_SILENT);
    nothing_is_lost(&h);
    /* ends what may be left open */
    const uint8_t flag = FRAME_FLAG;
    host_say_octets(h.play, &flag, 1);
    nothing_is_lost(&h);
  }
  it_still_answers(&h);
  play_free(h.play);
}

/* Whole frames, right in turn, with any code, length and arguments: each is
 * answered, and one that is not done has changed nothing. */
static void whole_frames_with_any_content(void **state)
{
  struct hostile h;
  begin(&h, *state, 33);
  uint8_t sequence = 100;
  assert_int_equal(host_greet(h.play, sequence), REPLY_DONE);
  for (unsigned round = 0; round < ROUNDS; round++) {
    uint8_t content[PROTOCOL_MOST_CONTENT];
    uint32_t size = 2 + any(&h, sizeof content - 1);
    for (uint32_t i = 0; i < size; i++)
      content[i] = (uint8_t)any(&h, 256);
    content[0] = any(&h, 4) ? (uint8_t)PROTOCOL_CODE(any(&h, 6)) : content[0];
    content[1] = ++sequence;
    enum trace_reply reply = host_say_frame(h.play, content, size);
    assert_true(reply < REPLY_SILENT);
    if (content[0] == PROTOCOL_CODE(PROTOCOL_HELLO)) sequence = content[1];
    nothing_is_lost(&h);
  }
  it_still_answers(&h);
  play_free(h.play);
}

/* A frame that is left open is dropped after a silence of 20 ms. */
static void silence_ends_a_frame(void **state)
{
  struct hostile h;
  begin(&h, *state, 44);
  static const uint8_t half[] = {FRAME_FLAG, 0xc4, 101, 0, 0};
  struct machine *m = play_machine(h.play);
  host_say_octets(h.play, half, sizeof half);
  engine_pass(m, engine_later(m, 40 * PS_PER_MS), NULL, NULL);
  assert_int_equal(host_greet(h.play, 100), REPLY_DONE);
  nothing_is_lost(&h);
  play_free(h.play);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      PLAYED_TEST(octets_at_random),
      PLAYED_TEST(frames_that_are_damaged),
      PLAYED_TEST(whole_frames_with_any_content),
      PLAYED_TEST(silence_ends_a_frame),
  };
  return cmocka_run_group_tests(singles, NULL, NULL);
}
