/* What gdb asks of the server itself: abilities, descriptions, and the
 * commands of its `monitor`. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "serve/monitor.h"
#include "serve/gdb_registers.h"
#include "serve/session_parts.h"
#include "serve/space.h"

/* A text that is written to a stream first. */
struct text {
  FILE *to;
  char *bytes;
  size_t size;
};

static void text_open(struct text *text)
{
  text->to = open_memstream(&text->bytes, &text->size);
  if (text->to == NULL) arena_no_memory();
}

static void text_end(struct text *text)
{
  if (fclose(text->to) != 0) arena_no_memory();
}

static void tell_abilities(struct session *s, struct scan *rest)
{
  char text[128];
  (void)rest;
  snprintf(text, sizeof text,
           "PacketSize=%x;QStartNoAckMode+;qXfer:features:read+;"
           "qXfer:memory-map:read+;vContSupported+",
           PACKET_BYTES);
  session_say(s, text);
}

static void stop_acks(struct session *s, struct scan *rest)
{
  (void)rest;
  session_say(s, "OK");
  s->acks = false;
}

static void tell_attached(struct session *s, struct scan *rest)
{
  (void)rest;
  session_say(s, "1");
}

/* --- documents ----------------------------------------------------------- */

/* The part of it that was asked for: 'm', more follows, or 'l', the last. */
static void send_piece(struct session *s, const struct text *text, size_t from,
                       size_t count)
{
  size_t most = PACKET_BYTES / 2 - 1; /* each byte may be escaped */
  size_t left = from < text->size ? text->size - from : 0;
  if (count > most) count = most;
  session_begin(s);
  packet_text(&s->writer, left > count ? "m" : "l");
  for (size_t i = 0; i < count && i < left; i++)
    packet_binary(&s->writer, (uint8_t)text->bytes[from + i]);
  session_end(s);
}

/* "OFFSET,LENGTH" */
static bool scan_piece(struct session *s, struct scan *rest, uint32_t *from,
                       uint32_t *count)
{
  if (scan_number(rest, from) && scan_text(rest, ",") &&
      scan_number(rest, count) && scan_left(rest) == 0)
    return true;
  session_say(s, SESSION_MALFORMED);
  return false;
}

static void send_features(struct session *s, struct scan *rest)
{
  struct text text;
  uint32_t from, count;
  if (!scan_piece(s, rest, &from, &count)) return;
  text_open(&text);
  gdb_registers_describe(&s->target->machine->chip.core, text.to);
  text_end(&text);
  send_piece(s, &text, from, count);
  free(text.bytes);
}

/* GDB manual, "qXfer": the annex is invalid. */
static void refuse_annex(struct session *s, struct scan *rest)
{
  (void)rest;
  session_say(s, "E00");
}

static void send_map(struct session *s, struct scan *rest)
{
  struct text text;
  uint32_t from, count;
  if (!scan_piece(s, rest, &from, &count)) return;
  text_open(&text);
  space_describe(s->target->machine->part, text.to);
  text_end(&text);
  send_piece(s, &text, from, count);
  free(text.bytes);
}

/* --- monitor ------------------------------------------------------------- */

static void command(struct session *s, struct scan *rest)
{
  char line[PACKET_BYTES / 2 + 1];
  size_t length = scan_left(rest) / 2;
  struct text text;
  if (scan_left(rest) % 2 != 0 || !scan_hex(rest, (uint8_t *)line, length)) {
    session_say(s, SESSION_MALFORMED);
    return;
  }
  line[length] = '\0';
  text_open(&text);
  bool done = monitor_do(s->target, line, text.to);
  text_end(&text);
  session_print_said(s);
  session_print(s, text.bytes, text.size);
  session_say(s, done ? "OK" : SESSION_IMPOSSIBLE);
  free(text.bytes);
}

/* --- the table ----------------------------------------------------------- */

const struct session_row session_query_rows[] = {
    {"qSupported", tell_abilities},
    {"QStartNoAckMode", stop_acks},
    {"qAttached", tell_attached},
    {"qXfer:features:read:target.xml:", send_features},
    {"qXfer:features:read:", refuse_annex},
    {"qXfer:memory-map:read::", send_map},
    {"qRcmd,", command},
    {NULL, NULL},
};
