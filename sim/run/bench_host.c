#include "run/bench_host.h"

#include <assert.h>
#include <string.h>

#include "base/crc32.h"
#include "describe/trace_kinds.h"
#include "run/bench_parts.h"
#include "run/engine.h"

static bool host_is_idle(void *context)
{
  const struct machine *m = context;
  return !host_busy(&m->host);
}

/* Until the answer has come, or the host has given up. */
static bool finish(struct machine *m)
{
  engine_pass(m, ENGINE_END, host_is_idle, m);
  return !host_busy(&m->host) && m->host.reply == REPLY_DONE;
}

static void put_number(uint8_t *at, uint32_t value, uint32_t octets)
{
  for (uint32_t i = 0; i < octets; i++)
    at[i] = (uint8_t)(value >> 8 * i);
}

static bool ask(struct machine *m, enum protocol_request request,
                uint32_t detail, const uint8_t *arguments, uint32_t size)
{
  host_ask(&m->host, request, detail, arguments, size);
  return finish(m);
}

void bench_host_plug(struct machine *m, bool plug)
{
  enum trace_request what = plug ? REQUEST_ATTACH : REQUEST_DETACH;
  host_plug(&m->host, &m->nets, plug, bench_now(m));
  trace_add(&m->trace, bench_now(m), TRACE_HOST, what, 0);
  bench_pass(m, 0);
}

static bool hello(struct machine *m)
{
  return ask(m, PROTOCOL_HELLO, 0, NULL, 0);
}

void bench_host_hello(struct machine *m)
{
  hello(m);
}

static bool wipe(struct machine *m, addr_t at, uint32_t pages)
{
  uint8_t arguments[6];
  put_number(arguments, at, 4);
  put_number(arguments + 4, pages, 2);
  return ask(m, PROTOCOL_WIPE, at, arguments, sizeof(arguments));
}

static const struct part_memory *memory_at(const struct machine *m, addr_t at)
{
  uint32_t offset;
  uint32_t region = memory_find(&m->chip.memory, at, 1, &offset);
  return region == PART_NONE ? NULL : &m->part->memory[region];
}

void bench_host_wipe(struct machine *m, addr_t at, uint32_t pages)
{
  const struct part_memory *flash = memory_at(m, at);
  if (pages == PROTOCOL_ALL_PAGES || flash == NULL || flash->page == 0) {
    wipe(m, at, pages);
    return;
  }
  for (uint32_t i = 0; i < pages; i++)
    if (!wipe(m, at + i * flash->page, 1)) return;
}

/* --- images -------------------------------------------------------------- */

/* What the image has at `at`; erased where it has nothing. */
static void take_bytes(const struct image *image, addr_t at, uint32_t size,
                       uint8_t *bytes)
{
  memset(bytes, 0xff, size);
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    for (uint32_t k = 0; k < size; k++)
      if (at + k - s->at < s->size) bytes[k] = s->bytes[at + k - s->at];
  }
}

static bool put(struct machine *m, const struct image *image, addr_t at,
                uint32_t size)
{
  uint8_t arguments[4 + PROTOCOL_MOST_DATA];
  put_number(arguments, at, 4);
  take_bytes(image, at, size, arguments + 4);
  return ask(m, PROTOCOL_PUT, at, arguments, 4 + size);
}

typedef bool (*run_work)(struct machine *m, const struct image *image,
                         addr_t at, uint32_t size);

static bool wipe_page(struct machine *m, const struct image *image, addr_t at,
                      uint32_t size)
{
  (void)image, (void)size;
  return wipe(m, at, 1);
}

/* Blocks of `unit` that the image touches, ascending, once each; as many at a
 * time as stand in a row and fit `most`. */
static bool each_run(struct machine *m, const struct image *image, bool pages,
                     run_work work)
{
  uint64_t done_to = 0;
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    const struct part_memory *flash = memory_at(m, s->at);
    uint32_t block = pages ? flash->page : flash->unit;
    uint32_t most = block > PROTOCOL_MOST_DATA
                        ? block
                        : PROTOCOL_MOST_DATA - PROTOCOL_MOST_DATA % block;
    uint64_t at = s->at - s->at % block, end = (uint64_t)s->at + s->size;
    end += (block - end % block) % block;
    if (at < done_to) at = done_to;
    for (; at < end; at += most) {
      uint32_t size = end - at < most ? (uint32_t)(end - at) : most;
      if (!work(m, image, (addr_t)at, size)) return false;
    }
    done_to = end;
  }
  return true;
}

static bool compare(struct machine *m, const struct image *image)
{
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    uint8_t arguments[12];
    put_number(arguments, s->at, 4);
    put_number(arguments + 4, s->size, 4);
    put_number(arguments + 8, crc32_iso_hdlc(s->bytes, s->size), 4);
    if (!ask(m, PROTOCOL_COMPARE, s->at, arguments, sizeof(arguments)))
      return false;
  }
  return true;
}

void bench_host_put(struct machine *m, const struct image *image)
{
  each_run(m, image, false, put);
}

void bench_host_compare(struct machine *m, const struct image *image)
{
  compare(m, image);
}

static bool wipe_for(struct machine *m, const struct image *image,
                     enum erase_extent erase)
{
  if (erase == ERASE_NONE) return true;
  if (erase == ERASE_ALL)
    return wipe(m, image->segments[0].at, PROTOCOL_ALL_PAGES);
  return each_run(m, image, true, wipe_page);
}

void bench_host_write(struct machine *m, const struct image *image,
                      enum erase_extent erase)
{
  if (hello(m) && wipe_for(m, image, erase) &&
      each_run(m, image, false, put) && compare(m, image))
    for (uint32_t i = 0; i < image->segment_count; i++)
      trace_add(&m->trace, bench_now(m), TRACE_WRITE, image->segments[i].at,
                image->segments[i].size);
  trace_add(&m->trace, bench_now(m), TRACE_HOST_END, REQUEST_WRITE,
            m->host.reply);
}

/* --- the other requests -------------------------------------------------- */

void bench_host_get(struct machine *m, addr_t at)
{
  uint8_t arguments[5];
  uint32_t size = 0;
  put_number(arguments, at, 4);
  arguments[4] = 4;
  if (!ask(m, PROTOCOL_GET, at, arguments, sizeof(arguments))) return;
  const uint8_t *data = host_result(&m->host, &size);
  if (data == NULL || size != 4) return;
  uint32_t word = (uint32_t)data[0] | (uint32_t)data[1] << 8 |
                  (uint32_t)data[2] << 16 | (uint32_t)data[3] << 24;
  trace_add(&m->trace, bench_now(m), TRACE_READ, at, word);
}

void bench_host_launch(struct machine *m, addr_t vectors)
{
  uint8_t arguments[4];
  put_number(arguments, vectors, 4);
  chip_expect_table(&m->chip, vectors);
  ask(m, PROTOCOL_LAUNCH, vectors, arguments, sizeof(arguments));
}

void bench_host_say(struct machine *m, const struct case_octets *octets)
{
  host_say(&m->host, octets->at, octets->count);
  finish(m);
}
