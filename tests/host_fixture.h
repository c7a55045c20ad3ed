/* host_fixture.h -- a part whose boot ROM waits for the host, and what the
 * tests ask it.
 */
#ifndef TESTS_HOST_FIXTURE_H
#define TESTS_HOST_FIXTURE_H

#include "base/frame.h"
#include "board/protocol.h"
#include "played.h"
#include "run/bench_host.h"
#include "run/engine.h"

#define HOST_FLASH 0x04000000u

/* A host that gives up soon; more keys may follow. */
#define HOST_QUICK "\"timeout\": \"3ms\", \"retries\": 0"

/* %s: part; image; host's keys; strap; more steps. On `strapped` the strap has
 * to be low for its boot ROM to start. */
static const char host_case[] =
    "{ \"case\": \"The boot ROM and a host\", \"part\": \"%s\",\n"
    "  \"images\": { \"app\": \"%s\" },\n"
    "  \"board\": { \"supply\": { \"source\": \"3.0V\" },\n"
    "    \"host\": { %s } },\n"
    "  \"steps\": [ %s { \"power\": \"on\" },\n"
    "    { \"expect\": { \"region\": \"rom\", \"outcome\": \"waiting\",\n"
    "      \"within\": \"5ms\" } }%s ] }\n";

/* Ready to run. */
static inline struct play *host_prepare(struct played_bench *bench,
                                        const char *part, const char *image,
                                        const char *keys, const char *steps)
{
  const char *strap = strcmp(part, "strapped") == 0
                          ? "{ \"drive\": \"P12\", \"level\": \"low\" },"
                          : "";
  const char *path = played_text_file(
      bench, "case.json",
      played_format(
          bench, host_case, part,
          played_format(bench, FIRSTFETCH_ROOT "/images/%s.elf", image), keys,
          strap, steps));
  const char *model =
      played_format(bench, FIRSTFETCH_ROOT "/models/%s.json", part);
  return played_prepare(played_case(bench, path), played_part(bench, model));
}

/* Play it; everything that it expects must hold. */
static inline const struct result *host_play(struct play *play)
{
  const struct result *result = play_run(play);
  for (uint32_t i = 0; i < result->judgement_count; i++)
    if (!result->judgements[i].held)
      fail_msg("line %u: asked %s, seen %s", result->judgements[i].line,
               result->judgements[i].asked, result->judgements[i].seen);
  return result;
}

/* The boot ROM waits, on a bench that nobody has talked on yet. */
static inline struct play *host_waiting(struct played_bench *bench,
                                        const char *part)
{
  struct play *play =
      host_prepare(bench, part, "logger/logger", HOST_QUICK, "");
  host_play(play);
  return play;
}

static inline enum trace_reply
host_say_octets(struct play *play, const uint8_t *octets, uint32_t count)
{
  const struct case_octets said = {octets, count};
  bench_host_say(play_machine(play), &said);
  return play_machine(play)->host.reply;
}

/* A good frame with this content. */
static inline enum trace_reply
host_say_frame(struct play *play, const uint8_t *content, uint32_t size)
{
  uint8_t octets[FRAME_MAX_OCTETS];
  uint32_t count = (uint32_t)frame_put(content, size, octets);
  return host_say_octets(play, octets, count);
}

/* Say hello with this sequence. */
static inline enum trace_reply host_greet(struct play *play, uint8_t sequence)
{
  const uint8_t hello[] = {PROTOCOL_CODE(PROTOCOL_HELLO), sequence};
  return host_say_frame(play, hello, sizeof hello);
}

static inline const uint8_t *host_flash(const struct play *play,
                                        uint32_t *size)
{
  const struct part *part = play_part(play);
  uint32_t region = part_memory_of(part, MEMORY_FLASH);
  *size = part->memory[region].size;
  return play_machine((struct play *)play)->chip.memory.bytes[region];
}

static inline bool host_found(const struct result *r, enum finding_kind kind)
{
  for (uint32_t i = 0; i < r->finding_count; i++)
    if (r->findings[i].kind == kind) return true;
  return false;
}

#endif
