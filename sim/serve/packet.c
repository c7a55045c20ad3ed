#include "serve/packet.h"

#include <assert.h>
#include <string.h>

#include "serve/scan.h"

#define ESCAPE    '}'
#define ESCAPED   0x20u
#define INTERRUPT 0x03u

void packet_reader_init(struct packet_reader *r)
{
  r->state = PACKET_BETWEEN;
  r->size = 0;
}

static void begin(struct packet_reader *r)
{
  r->state = PACKET_DATA;
  r->escaped = r->too_long = r->bad = false;
  r->sum = 0;
  r->travelled = r->size = 0;
}

static enum packet_event take_between(struct packet_reader *r, uint8_t byte)
{
  switch (byte) {
  case '$': begin(r); return PACKET_NOTHING;
  case '+': return PACKET_ACK;
  case '-': return PACKET_AGAIN;
  case INTERRUPT: return PACKET_INTERRUPT;
  default: return PACKET_NOISE;
  }
}

static void keep(struct packet_reader *r, uint8_t byte)
{
  if (++r->travelled > PACKET_BYTES) r->too_long = true;
  r->sum = (uint8_t)(r->sum + byte);
  if (r->too_long) return;
  if (byte == ESCAPE && !r->escaped) {
    r->escaped = true;
    return;
  }
  r->data[r->size++] = r->escaped ? byte ^ ESCAPED : byte;
  r->escaped = false;
}

static void take_data(struct packet_reader *r, uint8_t byte)
{
  if (byte == '$')
    begin(r);
  else if (byte == '#')
    r->state = PACKET_SUM_1;
  else
    keep(r, byte);
}

static void take_digit(struct packet_reader *r, uint8_t byte)
{
  unsigned digit = scan_digit(byte);
  if (digit > 15) r->bad = true;
  r->told = (uint8_t)((unsigned)r->told << 4 | (digit & 15u));
}

/* An escape that ends the data escapes nothing. */
static enum packet_event end(struct packet_reader *r)
{
  r->state = PACKET_BETWEEN;
  if (r->bad || r->told != r->sum) return PACKET_BAD_SUM;
  if (r->too_long) return PACKET_TOO_LONG;
  r->data[r->size] = '\0';
  return PACKET_COMPLETE;
}

enum packet_event packet_take(struct packet_reader *r, uint8_t byte)
{
  switch (r->state) {
  case PACKET_BETWEEN: return take_between(r, byte);
  case PACKET_DATA: take_data(r, byte); break;
  case PACKET_SUM_1:
    r->told = 0;
    take_digit(r, byte);
    r->state = PACKET_SUM_2;
    break;
  case PACKET_SUM_2: take_digit(r, byte); return end(r);
  }
  return PACKET_NOTHING;
}

/* --- answers ------------------------------------------------------------- */

static const char digits[] = "0123456789abcdef";

void packet_begin(struct packet_writer *w)
{
  w->sum = 0;
  w->size = 0;
  w->bytes[w->size++] = '$';
}

size_t packet_room(const struct packet_writer *w)
{
  return PACKET_BYTES + 1 - w->size;
}

static void put(struct packet_writer *w, uint8_t byte)
{
  assert(packet_room(w) > 0);
  w->bytes[w->size++] = byte;
  w->sum = (uint8_t)(w->sum + byte);
}

void packet_text(struct packet_writer *w, const char *text)
{
  for (; *text != '\0'; text++)
    put(w, (uint8_t)*text);
}

void packet_hex(struct packet_writer *w, const uint8_t *bytes, size_t count)
{
  for (size_t i = 0; i < count; i++) {
    put(w, (uint8_t)digits[bytes[i] >> 4]);
    put(w, (uint8_t)digits[bytes[i] & 15u]);
  }
}

void packet_binary(struct packet_writer *w, uint8_t byte)
{
  bool mark = byte != '\0' && strchr("#$}*", byte) != NULL;
  if (mark) put(w, ESCAPE);
  put(w, mark ? byte ^ ESCAPED : byte);
}

void packet_end(struct packet_writer *w)
{
  w->bytes[w->size++] = '#';
  w->bytes[w->size++] = (uint8_t)digits[w->sum >> 4];
  w->bytes[w->size++] = (uint8_t)digits[w->sum & 15u];
}
