#include "board/host.h"

#include "base/fold.h"

#include <assert.h>
#include <string.h>

_Static_assert(REQUEST_LAUNCH == (int)PROTOCOL_LAUNCH &&
                   REQUEST_BYTES == (int)PROTOCOL_REQUESTS,
               "requests.def begins with the protocol's requests");
_Static_assert(REPLY_NO_HELLO == (int)PROTOCOL_NO_HELLO &&
                   REPLY_SILENT == (int)PROTOCOL_STATUSES,
               "replies.def begins with the protocol's statuses");
_Static_assert(PROTOCOL_MOST_CONTENT + 2 <= FRAME_MAX, "a request fits");

static enum sim_status find_pin(const struct case_script *script,
                                const struct part *part, const char *path,
                                const char *name, uint32_t otherwise,
                                uint32_t *pin, struct sim_error *err)
{
  struct sim_place place = {script->file, path, script->host.line, 0};
  *pin = name != NULL ? part_pin_named(part, name) : otherwise;
  if (*pin != PART_NONE) return SIM_OK;
  if (name == NULL)
    return sim_fail(err, SIM_REFERENCE, &place,
                    "is left out, and part %s has no serial port; expected "
                    "the name of a pin",
                    part->name);
  return sim_fail(err, SIM_REFERENCE, &place,
                  "is \"%s\", which part %s has no pin of; expected the name "
                  "of one",
                  name, part->name);
}

enum sim_status host_init(struct host *h, const struct case_script *script,
                          const struct part *part, struct sim_error *err)
{
  const struct case_host *setup = &script->host;
  *h = (struct host){.setup = setup, .to = PART_NONE, .from = PART_NONE};
  character_out_init(&h->out);
  character_in_init(&h->in);
  frame_in_init(&h->heard);
  if (!setup->present) return SIM_OK;
  h->bit = PS_PER_S / setup->baud;
  enum sim_status status = find_pin(script, part, "board.host.to", setup->to,
                                    part->pins.serial_receive, &h->to, err);
  if (status != SIM_OK) return status;
  return find_pin(script, part, "board.host.from", setup->from,
                  part->pins.serial_transmit, &h->from, err);
}

/* --- its line ------------------------------------------------------------ */

static void drive(struct host *h, struct nets *n, struct moment now)
{
  nets_drive_bit(n, h->to, character_level(&h->out), now);
}

void host_plug(struct host *h, struct nets *n, bool plug, struct moment now)
{
  if (h->plugged == plug) return;
  host_quiet(h, n, now);
  h->plugged = plug;
  nets_drive(n, h->to, plug ? DRIVE_HIGH : DRIVE_RELEASE, now);
}

void host_quiet(struct host *h, struct nets *n, struct moment now)
{
  bool low = !character_level(&h->out);
  h->state = HOST_IDLE;
  character_out_init(&h->out);
  character_in_init(&h->in);
  if (low) drive(h, n, now);
}

/* --- to ask -------------------------------------------------------------- */

static void begin(struct host *h, enum trace_request request, uint32_t detail)
{
  assert(h->state == HOST_IDLE);
  h->request = request;
  h->detail = detail;
  h->next_octet = 0;
  h->heard_any = false;
  frame_in_init(&h->heard);
  h->state = HOST_SENDING;
}

void host_ask(struct host *h, enum protocol_request request, uint32_t detail,
              const uint8_t *arguments, uint32_t size)
{
  uint8_t content[PROTOCOL_MOST_CONTENT];
  assert(size <= sizeof(content) - PROTOCOL_REQUEST_HEAD);
  h->framed = true;
  h->code = (uint8_t)PROTOCOL_CODE(request);
  h->sequence++;
  content[0] = h->code;
  content[1] = h->sequence;
  if (size > 0) memcpy(content + PROTOCOL_REQUEST_HEAD, arguments, size);
  h->count =
      (uint32_t)frame_put(content, PROTOCOL_REQUEST_HEAD + size, h->frame);
  h->said = NULL;
  h->tries = h->setup->retries;
  begin(h, (enum trace_request)request, detail);
}

void host_say(struct host *h, const uint8_t *octets, uint32_t count)
{
  h->framed = false;
  h->said = octets;
  h->count = count;
  h->tries = 0;
  begin(h, REQUEST_BYTES, count);
}

const uint8_t *host_result(const struct host *h, uint32_t *size)
{
  if (h->reply >= REPLY_SILENT) return NULL;
  *size = h->heard.count - 2 - PROTOCOL_REPLY_HEAD;
  return h->heard.octets + PROTOCOL_REPLY_HEAD;
}

/* --- time passes --------------------------------------------------------- */

static void end(struct host *h, enum trace_reply reply, struct moment now,
                struct trace *tr)
{
  h->reply = reply;
  h->state = HOST_IDLE;
  h->gives_up_at = PS_NEVER;
  trace_add(tr, now, TRACE_HOST_END, h->request, reply);
}

/* Sends the next octet, or begins to listen. True: the line changed. */
static bool go_on_sending(struct host *h, struct moment now, struct trace *tr)
{
  if (h->next_octet == 0)
    trace_add(tr, now, TRACE_HOST, h->request, h->detail);
  if (h->next_octet == h->count) {
    h->state = HOST_LISTENING;
    h->gives_up_at = now.at + h->setup->timeout;
    return false;
  }
  const uint8_t *octets = h->said != NULL ? h->said : h->frame;
  character_send(&h->out, octets[h->next_octet++], h->bit, now.at);
  return true;
}

static bool advance_out(struct host *h, struct moment now, struct trace *tr)
{
  bool changed = character_out_advance(&h->out, now.at);
  if (h->state != HOST_SENDING || h->out.busy) return changed;
  if (h->plugged) return go_on_sending(h, now, tr) || changed;
  end(h, REPLY_DETACHED, now, tr);
  return changed;
}

/* Is the frame the answer that it waits for? */
static bool is_answer(const struct host *h)
{
  const uint8_t *octets = h->heard.octets;
  if (h->heard.count < PROTOCOL_REPLY_HEAD + 2 ||
      octets[2] >= PROTOCOL_STATUSES)
    return false;
  return !h->framed ||
         (octets[0] == h->code + PROTOCOL_REPLY && octets[1] == h->sequence);
}

static void hear(struct host *h, bool high, struct moment now,
                 struct trace *tr)
{
  enum character_news news = character_hear(&h->in, high, h->bit, now.at);
  if (news == CHARACTER_NONE || h->state != HOST_LISTENING) return;
  h->heard_any = true;
  if (news == CHARACTER_BROKEN)
    frame_spoil(&h->heard);
  else if (frame_take(&h->heard, character_byte(&h->in)) == FRAME_GOOD &&
           is_answer(h))
    end(h, (enum trace_reply)h->heard.octets[2], now, tr);
}

static void watch_time(struct host *h, struct moment now, struct trace *tr)
{
  if (h->state != HOST_LISTENING || h->gives_up_at > now.at) return;
  if (h->tries == 0) {
    end(h, h->heard_any ? REPLY_GARBLED : REPLY_SILENT, now, tr);
    return;
  }
  h->tries--;
  h->next_octet = 0;
  h->state = HOST_SENDING;
}

ps_t host_next(const struct host *h)
{
  ps_t next = h->out.next < h->in.next ? h->out.next : h->in.next;
  bool listens = h->state == HOST_LISTENING;
  return listens && h->gives_up_at < next ? h->gives_up_at : next;
}

bool host_advance(struct host *h, struct nets *n, struct moment now,
                  struct trace *tr)
{
  if (h->plugged) hear(h, nets_level(n, h->from), now, tr);
  watch_time(h, now, tr);
  bool changed = advance_out(h, now, tr);
  if (changed && h->plugged) drive(h, n, now);
  return changed;
}

void host_fold(const struct host *h, ps_t now, struct fold *f)
{
  struct host seen;
  memcpy(&seen, h, sizeof(seen));
  character_out_fold(&h->out, now, f);
  character_in_fold(&h->in, now, f);
  memset(&seen.out, 0, sizeof(seen.out));
  memset(&seen.in, 0, sizeof(seen.in));
  seen.gives_up_at = fold_to_come(h->gives_up_at, now);
  fold_add(f, &seen, sizeof(seen));
}
