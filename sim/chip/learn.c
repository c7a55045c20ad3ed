#include "chip/learn.h"

#include "base/fold.h"

#include <assert.h>
#include <string.h>

#include "describe/trace_kinds.h"

/* What an access is judged with. */
struct judging {
  uint64_t step;
  struct moment now;
  struct trace *trace;
};

/* --- registers ----------------------------------------------------------- */

/* Index of the first register at `word` or above. */
static uint32_t place_of(const struct learn *l, addr_t word)
{
  uint32_t low = 0, high = l->register_count;
  while (low < high) {
    uint32_t middle = low + (high - low) / 2;
    if (l->registers[middle].at < word)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}

bool learn_has(const struct learn *l, addr_t word)
{
  uint32_t i = place_of(l, word);
  return i < l->register_count && l->registers[i].at == word;
}

static struct learn_register *register_at(struct learn *l, addr_t at)
{
  addr_t word = at & ~3u;
  assert(learn_has(l, word));
  return &l->registers[place_of(l, word)];
}

static void fix_bits(const struct learn *l, struct learn_register *r)
{
  for (uint32_t i = 0; i < l->known_count; i++) {
    const struct part_answer *a = &l->known[i].answer;
    if (a->at != r->at || a->when != ANSWER_ALWAYS) continue;
    r->fixed |= a->mask;
    r->fixed_value |= a->value;
  }
}

bool learn_add(struct learn *l, addr_t word, uint32_t reset)
{
  assert(!learn_has(l, word));
  if (l->register_count == LEARN_REGISTERS) return false;
  uint32_t i = place_of(l, word);
  struct learn_register *r = &l->registers[i];
  memmove(r + 1, r, (l->register_count - i) * sizeof(*r));
  *r = (struct learn_register){.at = word, .reset = reset, .written = reset};
  fix_bits(l, r);
  l->register_count++;
  return true;
}

/* What it reads while nothing is tried. */
static uint32_t settled(const struct learn_register *r)
{
  uint32_t value = (r->written | r->set) & ~r->cleared;
  return (value & ~r->fixed) | r->fixed_value;
}

static uint32_t shown(const struct learn *l, const struct learn_register *r)
{
  const struct learn_trial *t = &l->trial;
  uint32_t value = settled(r);
  if (!t->open || (l->polls[t->poll].at & ~3u) != r->at) return value;
  return (value & ~t->mask) | t->answer;
}

/* From now on these bits read like that. */
static void stick(struct learn_register *r, uint32_t mask, uint32_t answer)
{
  uint32_t ones = mask & answer, zeros = mask & ~answer;
  r->set = (r->set | ones) & ~zeros;
  r->cleared = (r->cleared | zeros) & ~ones;
}

/* --- what is known ------------------------------------------------------- */

/* Bits of a register that only something outside changes, with the answer
 * that the program waits for. `described`: those of the description alone.
 * True if there is an entry, which may have no bits. */
static bool outside_bits(const struct learn *l, addr_t word, bool described,
                         uint32_t *mask, uint32_t *answer)
{
  bool any = false;
  *mask = *answer = 0;
  for (uint32_t i = 0; i < l->known_count; i++) {
    const struct part_answer *a = &l->known[i].answer;
    if (a->at != word || a->when != ANSWER_OUTSIDE) continue;
    if (described && l->known[i].learned) continue;
    any = true;
    *mask |= a->mask;
    *answer |= a->value;
  }
  return any;
}

/* The answer of the poll, if it was learned; else NULL. */
static struct learn_known *learned_by(struct learn *l,
                                      const struct learn_poll *p)
{
  for (uint32_t i = 0; i < l->known_count; i++) {
    struct learn_known *k = &l->known[i];
    if (k->learned && k->answer.when == ANSWER_POLLED &&
        k->answer.at == (p->at & ~3u) && k->answer.mask == p->mask &&
        k->answer.value == p->answer)
      return k;
  }
  return NULL;
}

/* Without room it is only told, and found again when it is needed. */
static void remember(struct learn *l, const struct learn_poll *p)
{
  if (l->known_count == LEARN_ANSWERS || learned_by(l, p) != NULL) return;
  l->known[l->known_count++] = (struct learn_known){
      .answer = {p->at & ~3u, p->mask, p->answer, ANSWER_POLLED},
      .learned = true};
}

/* --- the poll ------------------------------------------------------------ */

/* Where a new poll goes: a free place, else that of the one that was read the
 * longest time ago. The one that is being tried was read last or nearly so,
 * but may be the oldest of very few. */
static struct learn_poll *free_place(struct learn *l)
{
  struct learn_poll *oldest = NULL;
  if (l->poll_count < LEARN_POLLS) return &l->polls[l->poll_count++];
  for (uint32_t i = 0; i < LEARN_POLLS; i++) {
    struct learn_poll *p = &l->polls[i];
    if (l->trial.open && l->trial.poll == i) continue;
    if (oldest == NULL || p->access < oldest->access) oldest = p;
  }
  return oldest;
}

static struct learn_poll *poll_of(struct learn *l,
                                  const struct learn_access *a)
{
  for (uint32_t i = 0; i < l->poll_count; i++) {
    struct learn_poll *p = &l->polls[i];
    if (p->at == a->at && p->pc == a->pc && p->lanes == a->lanes) return p;
  }
  struct learn_poll *p = free_place(l);
  *p = (struct learn_poll){.at = a->at, .pc = a->pc, .lanes = a->lanes};
  return p;
}

static void begin_row(const struct learn *l, struct learn_poll *p,
                      uint32_t value)
{
  p->value = value;
  p->count = p->quiet = 0;
  p->writes = l->writes;
  p->period = p->others = 0;
  p->next_known = p->next_try = 0;
}

/* The first rounds of a row may come from elsewhere: what a round takes is
 * the most of those from the fourth read on. */
static void measure(struct learn_poll *p, uint64_t period, uint64_t others)
{
  if (p->count <= 4 || period > p->period) p->period = period;
  if (p->count <= 4 || others > p->others) p->others = others;
}

/* One more read, of `value`. `tried`: the round was one with an answer to be
 * tried, and tells nothing about the others. */
static void follow_row(const struct learn *l, struct learn_poll *p,
                       uint32_t value, uint64_t step, bool tried)
{
  uint64_t others = l->accesses - p->access - 1;
  bool goes_on = p->count > 0 && ((p->value ^ value) & p->lanes) == 0 &&
                 others <= LEARN_OTHERS;
  if (!goes_on) begin_row(l, p, value);
  p->count++;
  p->quiet++;
  if (goes_on && !tried) measure(p, step - p->step, others);
}

/* What let it go before still does, and it comes back by a longer way: it
 * passes, again and again. */
static bool passes(const struct learn_poll *p)
{
  return p->mask != 0 && (p->value & p->mask) == p->answer &&
         p->period > p->tight;
}

/* Since this poll was read last another one passed: this is what the program
 * does there, and no wait. */
static bool passed_another(const struct learn *l, const struct learn_poll *p)
{
  for (uint32_t i = 0; i < l->poll_count; i++) {
    const struct learn_poll *q = &l->polls[i];
    if (q != p && q->access > p->access && passes(q)) return true;
  }
  return false;
}

/* --- trials -------------------------------------------------------------- */

static void tell_wait(const struct learn *l, const struct learn_poll *p,
                      const struct judging *j)
{
  uint32_t mask, answer;
  outside_bits(l, p->at & ~3u, false, &mask, &answer);
  trace_add(j->trace, j->now, TRACE_WAITING, p->at, p->pc);
  trace_add(j->trace, j->now, TRACE_WAITING_FOR, mask, answer);
}

/* The loop was left: what is tried now was right. */
static void keep(struct learn *l, const struct judging *j)
{
  struct learn_trial *t = &l->trial;
  struct learn_poll *p = &l->polls[t->poll];
  stick(register_at(l, p->at), t->mask, t->answer);
  t->open = false;
  p->mask = t->mask;
  p->answer = t->answer;
  p->tight = p->period;
  p->count = 0;
  if (t->known) return;
  remember(l, p);
  trace_add(j->trace, j->now, TRACE_LEARNED, p->at & ~3u, p->mask);
  trace_add(j->trace, j->now, TRACE_LEARNED_AS, p->answer, p->pc);
}

static bool out_of_patience(const struct learn_poll *p, uint64_t step)
{
  return step - p->step > p->period * LEARN_PATIENCE + LEARN_SLACK;
}

/* An access happens, `by` a poll or not; the latest is counted already.
 * Returns true if it is the poll that is tried, back in its loop: the answer
 * was wrong. */
static bool judge_trial(struct learn *l, const struct learn_poll *by,
                        const struct judging *j)
{
  if (!l->trial.open) return false;
  const struct learn_poll *p = &l->polls[l->trial.poll];
  uint64_t others = l->accesses - p->access - (by == p ? 1 : 0);
  if (others > p->others || out_of_patience(p, j->step)) {
    keep(l, j);
    return false;
  }
  if (by == p) l->trial.open = false;
  return by == p;
}

static void show(struct learn *l, const struct learn_poll *p, bool known,
                 uint32_t mask, uint32_t answer, const struct judging *j)
{
  l->trial = (struct learn_trial){.open = true,
                                  .known = known,
                                  .poll = (uint32_t)(p - l->polls),
                                  .mask = mask,
                                  .answer = answer};
  trace_add(j->trace, j->now, known ? TRACE_ANSWERED : TRACE_TRIAL,
            p->at & ~3u, mask);
}

/* The next answer known of this register that would change what it reads. */
static bool bring_back(struct learn *l, struct learn_poll *p,
                       const struct learn_register *r, const struct judging *j)
{
  while (p->next_known < l->known_count) {
    const struct part_answer *a = &l->known[p->next_known++].answer;
    uint32_t mask = a->mask & ~r->fixed;
    if (a->at != r->at || a->when != ANSWER_POLLED) continue;
    if (((settled(r) ^ a->value) & mask & p->lanes) == 0) continue;
    show(l, p, true, mask, a->value & mask, j);
    return true;
  }
  return false;
}

static bool try_next(struct learn *l, struct learn_poll *p,
                     const struct learn_register *r, const struct judging *j)
{
  uint32_t outside, unused, mask = 0;
  uint32_t value = settled(r);
  outside_bits(l, r->at, false, &outside, &unused);
  uint32_t lanes = p->lanes & ~r->fixed & ~outside;
  while (learn_candidate(p->next_try++, value, lanes, &mask))
    if (mask != 0) {
      show(l, p, false, mask, ~value & mask, j);
      return true;
    }
  return false;
}

/* A program that writes in between works: it waits for nothing. */
static void give_up(const struct learn *l, struct learn_poll *p,
                    const struct judging *j)
{
  p->given_up = true;
  p->rounds++;
  p->quiet = LEARN_WAIT;
  if (l->writes == p->writes) tell_wait(l, p, j);
}

/* The program asked for nothing and is answered again and again: a wait for
 * something outside. */
static void withdraw(struct learn *l, struct learn_poll *p,
                     struct learn_register *r, const struct judging *j)
{
  struct learn_known *k = learned_by(l, p);
  if (k == NULL) return;
  k->answer.when = ANSWER_OUTSIDE;
  r->set &= ~p->mask;
  r->cleared &= ~p->mask;
  r->written = (r->written & ~p->mask) | (~p->answer & p->mask);
  trace_add(j->trace, j->now, TRACE_WITHDRAWN, r->at, p->mask);
  p->mask = 0;
  p->value = settled(r);
  p->given_up = true;
  p->quiet = LEARN_WAIT;
  tell_wait(l, p, j);
}

/* What is to be done at this read of a poll, nothing being tried. */
static void consider(struct learn *l, struct learn_poll *p,
                     struct learn_register *r, const struct judging *j)
{
  uint32_t mask, answer;
  bool waits = p->given_up;
  if (!waits && passes(p)) {
    if (p->quiet == LEARN_PASSES) withdraw(l, p, r, j);
    return;
  }
  if (!waits && p->count >= 2 && bring_back(l, p, r, j)) return;
  waits = waits || outside_bits(l, r->at, true, &mask, &answer);
  if (waits) {
    if (p->quiet == LEARN_WAIT) tell_wait(l, p, j);
    return;
  }
  bool works = l->writes != p->writes;
  if (p->count < (works ? LEARN_WORKING : LEARN_READS)) return;
  if (passed_another(l, p)) return;
  if (!try_next(l, p, r, j)) give_up(l, p, j);
}

/* --- accesses ------------------------------------------------------------ */

uint32_t learn_read(struct learn *l, const struct learn_access *a,
                    struct moment now, struct trace *tr)
{
  const struct judging j = {a->step, now, tr};
  struct learn_register *r = register_at(l, a->at);
  struct learn_poll *p = poll_of(l, a);
  l->accesses++;
  bool tried = judge_trial(l, p, &j);
  follow_row(l, p, settled(r), a->step, tried);
  if (!l->trial.open) consider(l, p, r, &j);
  p->step = a->step;
  p->access = l->accesses;
  return shown(l, r);
}

/* It asked its block for something: polls there may now be answered. */
static void stir_polls(struct learn *l, addr_t at)
{
  for (uint32_t i = 0; i < l->poll_count; i++) {
    struct learn_poll *p = &l->polls[i];
    if ((p->at ^ at) >= LEARN_BLOCK) continue;
    p->quiet = 0;
    if (!p->given_up || p->rounds >= LEARN_ROUNDS) continue;
    p->given_up = false;
    p->count = 0;
  }
}

void learn_write(struct learn *l, const struct learn_access *a, uint32_t value,
                 struct moment now, struct trace *tr)
{
  struct learn_register *r = register_at(l, a->at);
  learn_other(l, true, a->step, now, tr);
  r->written = (r->written & ~a->lanes) | (value & a->lanes);
  r->cleared &= ~a->lanes;
  stir_polls(l, a->at);
}

void learn_other(struct learn *l, bool write, uint64_t step, struct moment now,
                 struct trace *tr)
{
  const struct judging j = {step, now, tr};
  l->accesses++;
  l->writes += write;
  judge_trial(l, NULL, &j);
}

void learn_settle(struct learn *l, uint64_t step, bool idle, struct moment now,
                  struct trace *tr)
{
  const struct judging j = {step, now, tr};
  if (!l->trial.open) return;
  if (idle || out_of_patience(&l->polls[l->trial.poll], step)) keep(l, &j);
}

/* --- beginning and end --------------------------------------------------- */

void learn_init(struct learn *l, const struct part_answer *answers,
                uint32_t answer_count)
{
  assert(answer_count < LEARN_ANSWERS);
  memset(l, 0, sizeof(*l));
  for (uint32_t i = 0; i < answer_count; i++)
    l->known[i].answer = answers[i];
  l->known_count = answer_count;
}

void learn_reset(struct learn *l, bool registers)
{
  l->trial.open = false;
  for (uint32_t i = 0; i < l->poll_count; i++)
    l->polls[i].count = l->polls[i].quiet = 0;
  for (uint32_t i = 0; registers && i < l->register_count; i++) {
    struct learn_register *r = &l->registers[i];
    r->written = r->reset;
    r->set = r->cleared = 0;
  }
}

void learn_fold(const struct learn *l, uint64_t step, struct fold *f)
{
  const uint32_t counts[] = {l->register_count, l->poll_count, l->known_count};
  fold_add(f, counts, sizeof(counts));
  fold_add(f, l->registers, l->register_count * sizeof(l->registers[0]));
  fold_add(f, l->known, l->known_count * sizeof(l->known[0]));
  fold_add(f, &l->trial, sizeof(l->trial));
  for (uint32_t i = 0; i < l->poll_count; i++) {
    struct learn_poll seen;
    memcpy(&seen, &l->polls[i], sizeof(seen));
    seen.writes -= l->writes;
    seen.access -= l->accesses;
    seen.step -= step;
    fold_add(f, &seen, sizeof(seen));
  }
}
