#include "run/findings_host.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"

void host_story_take(struct host_story *h, const struct trace_record *r)
{
  if (r->kind == TRACE_VECTORS) {
    *h = (struct host_story){.any = false};
    return;
  }
  if (!h->any) h->first = r->b;
  h->any = true;
  if (r->kind == TRACE_RECEIVED)
    h->received[r->b]++;
  else if (r->a == LOSS_BROKEN)
    h->broken[r->b]++;
}

static void say(struct host_failure *out, const char *text)
{
  size_t used = strlen(out->text);
  snprintf(out->text + used, sizeof(out->text) - used, "%s", text);
}

static void remedy(struct host_failure *out, const char *text)
{
  if (out->remedy_count < HOST_MAX_REMEDIES)
    out->remedies[out->remedy_count++] = text;
}

/* The port that the host's line leads to, or PART_NONE. */
static uint32_t port_of_host(const struct plan *plan)
{
  const char *to = plan->script->host.to;
  if (to == NULL) return 0;
  for (uint32_t i = 0; i < part_ports(plan->part); i++)
    if (part_port(plan->part, i).receive == part_pin_named(plan->part, to))
      return i;
  return PART_NONE;
}

static bool in_rom(const struct plan *plan, const struct starts *starts)
{
  uint32_t region = starts->last_region;
  return region < plan->part->memory_count &&
         plan->part->memory[region].kind == MEMORY_ROM;
}

static void taken_port(const struct host_story *h, const struct plan *plan,
                       struct host_failure *out)
{
  uint32_t pin = part_port(plan->part, h->first).receive;
  out->kind = FINDING_PORT_TAKEN;
  say(out, " The boot ROM had heard somebody on another port first (pin ");
  say(out, pin == PART_NONE ? "none" : plan->part->pins.names[pin]);
  say(out, ") and listens there only.");
  remedy(out, "keep the neighbour silent, or in reset, until the host has "
              "said hello");
  remedy(out, "reset the part and say hello before the neighbour talks");
}

static void other_baud(struct host_failure *out)
{
  say(out, " Characters came with a stop bit that was none: the baud rates "
           "of the two ends differ by more than a character bears.");
  remedy(out, "set both ends to the same baud rate; look at the part's clock");
}

static void no_answer(const struct host_story *h, const struct plan *plan,
                      const struct starts *starts, struct host_failure *out)
{
  uint32_t port = port_of_host(plan);
  if (starts_last(starts) == NULL || !starts->open) {
    say(out, " The part does not run: it has no power, or is held in reset.");
    remedy(out, "power the part and let the reset line go");
  } else if (!in_rom(plan, starts)) {
    say(out, " The boot ROM does not run.");
    remedy(out, "bring the part into its boot ROM first");
  } else if (port == PART_NONE) {
    say(out, " Its line leads to no serial port of the part.");
    remedy(out, "cross the two lines: the host drives the part's receive pin");
  } else if (h->broken[port] > 0) {
    other_baud(out);
  } else if (h->any && h->first != port) {
    taken_port(h, plan, out);
  } else if (h->received[port] == 0) {
    say(out, " Nothing arrived at the part.");
    remedy(out, "look at the line: plug, level, another driver on the net");
  } else {
    say(out, " What arrived was no whole frame, or the answer got lost.");
    remedy(out, "look at the line from the part to the host");
  }
}

bool host_failed(const struct host_story *h, const struct plan *plan,
                 const struct starts *starts, const struct trace_record *r,
                 struct host_failure *out)
{
  enum trace_reply reply = (enum trace_reply)r->b;
  if (reply == REPLY_DONE || r->a == REQUEST_WRITE) return false;
  *out = (struct host_failure){.kind = FINDING_HOST_FAILED};
  snprintf(out->text, sizeof(out->text),
           "The host asked in vain (%s): %s, %s.",
           request_word((enum trace_request)r->a), reply_word(reply),
           reply_sentence(reply));
  if (reply == REPLY_SILENT)
    no_answer(h, plan, starts, out);
  else if (reply == REPLY_GARBLED)
    other_baud(out);
  else if (reply == REPLY_NO_HELLO || reply == REPLY_SEQUENCE)
    remedy(out, "say hello first, and wait for each answer");
  else if (reply == REPLY_DETACHED)
    remedy(out, "plug the host in: {\"send\": \"attach\"}");
  return true;
}
