#include "base/frame.h"

#include <assert.h>

#define POLYNOMIAL 0x8408u

uint16_t frame_fcs(uint16_t fcs, const uint8_t *octets, size_t size)
{
  uint32_t rest = fcs;
  for (size_t i = 0; i < size; i++) {
    rest ^= octets[i];
    for (int bit = 0; bit < 8; bit++)
      rest = rest & 1u ? rest >> 1 ^ POLYNOMIAL : rest >> 1;
  }
  return (uint16_t)rest;
}

static size_t put(uint8_t *at, uint8_t octet)
{
  if (octet != FRAME_FLAG && octet != FRAME_ESCAPE) {
    at[0] = octet;
    return 1;
  }
  at[0] = FRAME_ESCAPE;
  at[1] = octet ^ FRAME_FLIP;
  return 2;
}

size_t frame_put(const uint8_t *content, size_t size,
                 uint8_t octets[FRAME_MAX_OCTETS])
{
  assert(size + 2 <= FRAME_MAX);
  uint16_t fcs = frame_fcs(FRAME_FCS_FIRST, content, size) ^ 0xffffu;
  size_t length = 0;
  octets[length++] = FRAME_FLAG;
  for (size_t i = 0; i < size; i++)
    length += put(octets + length, content[i]);
  length += put(octets + length, (uint8_t)(fcs & 0xffu));
  length += put(octets + length, (uint8_t)(fcs >> 8));
  octets[length++] = FRAME_FLAG;
  return length;
}

void frame_in_init(struct frame_in *f)
{
  *f = (struct frame_in){.open = false};
}

static bool is_good(const struct frame_in *f)
{
  return !f->spoilt && !f->escaped && f->count > 2 &&
         frame_fcs(FRAME_FCS_FIRST, f->octets, f->count) == FRAME_FCS_GOOD;
}

/* The flag that ends a frame begins the next one. */
static enum frame_news take_flag(struct frame_in *f)
{
  bool empty = !f->open || (f->count == 0 && !f->spoilt && !f->escaped);
  bool good = is_good(f);
  f->open = true;
  f->escaped = f->spoilt = false;
  if (empty || !good) f->count = 0;
  return empty ? FRAME_MORE : good ? FRAME_GOOD : FRAME_BAD;
}

enum frame_news frame_take(struct frame_in *f, uint8_t octet)
{
  if (f->ended) f->count = 0;
  f->ended = false;
  if (octet == FRAME_FLAG) {
    enum frame_news news = take_flag(f);
    f->ended = news == FRAME_GOOD;
    return news;
  }
  if (!f->open) return FRAME_MORE;
  if (octet == FRAME_ESCAPE && !f->escaped) {
    f->escaped = true;
    return FRAME_MORE;
  }
  uint8_t plain = f->escaped ? octet ^ FRAME_FLIP : octet;
  f->escaped = false;
  if (f->count < FRAME_MAX)
    f->octets[f->count++] = plain;
  else
    f->spoilt = true;
  return FRAME_MORE;
}

void frame_spoil(struct frame_in *f)
{
  f->spoilt = true;
}
