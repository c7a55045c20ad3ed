#include <inttypes.h>
#include <string.h>

#include "describe/names.h"
#include "describe/part_check.h"

/* What a role does to its field, from the columns of roles.def. */
static const struct {
  const char *reading, *writing;
} effects[ROLE_COUNT_] = {
    [ROLE_NONE] = {"NONE", "NONE"},
#define X(name, word, phase, reading, writing)                                \
  [ROLE_##name] = {#reading, #writing},
#include "describe/roles.def"
#undef X
};

static bool acts(const char *effect)
{
  return strcmp(effect, "NONE") != 0;
}

static bool can_be_written(enum access a)
{
  return a != ACCESS_RO && a != ACCESS_RC;
}

/* --- fields -------------------------------------------------------------- */

static enum sim_status check_access(const struct part_field *field,
                                    const struct json *node,
                                    struct sim_error *err)
{
  const char *reading = effects[field->role].reading;
  const char *writing = effects[field->role].writing;
  bool only_acts = acts(writing) && !acts(reading);
  bool only_shows = acts(reading) && !acts(writing);
  const struct json *value = json_get(node, "access");
  if (only_acts && !can_be_written(field->access)) {
    return json_fail(value, SIM_RANGE, err,
                     "is \"%s\"; expected an access that can write, because "
                     "\"%s\" acts on writing",
                     access_words[field->access], role_word(field->role));
  }
  if (only_shows && field->access == ACCESS_WO) {
    return json_fail(value, SIM_RANGE, err,
                     "is \"wo\"; expected an access that can read, because "
                     "\"%s\" acts on reading",
                     role_word(field->role));
  }
  return SIM_OK;
}

static enum sim_status check_keys(const struct part_field *field,
                                  const struct json *node,
                                  struct sim_error *err)
{
  const struct json *keys = json_get(node, "keys");
  bool wanted =
      field->role == ROLE_FLASH_UNLOCK || field->role == ROLE_LATCH_KEY;
  if (wanted && !keys) {
    return json_fail(node, SIM_KEY, err,
                     "has no \"keys\"; expected the values that \"%s\" wants",
                     role_word(field->role));
  }
  bool may =
      field->role == ROLE_WATCHDOG_START || field->role == ROLE_WATCHDOG_KICK;
  if (!wanted && !may && keys) {
    return json_fail_key(keys, SIM_KEY, err,
                         "stands in a field that unlocks nothing; expected "
                         "it only with the role \"flash.unlock\" or "
                         "\"latch.key\"");
  }
  for (uint32_t i = 0; i < field->key_count; i++) {
    if ((uint64_t)field->keys[i] >> field->width == 0) continue;
    return json_fail(part_nth(keys, i), SIM_RANGE, err,
                     "is 0x%" PRIx32 "; expected a value of %" PRIu32 " bits",
                     field->keys[i], field->width);
  }
  return SIM_OK;
}

/* The number of things that a role's index chooses from. */
static uint32_t things(const struct part *part, enum role role)
{
  uint32_t unit = part->memory[part_memory_of(part, MEMORY_FLASH)].unit;
  switch (role) {
  case ROLE_OPTIONS_CELL: return part->options.word_count;
  case ROLE_CLOCK_ENABLE:
  case ROLE_CLOCK_READY: return part->clock.source_count;
  case ROLE_FLASH_DATA: return unit > 4 ? unit / 4 : 1;
  case ROLE_SLEEP_WAKE_PINS:
  case ROLE_PIN_MODE:
  case ROLE_PIN_OUT:
  case ROLE_PIN_IN: return part->pins.count;
  case ROLE_SERIAL_ENABLE:
  case ROLE_SERIAL_DIVIDER:
  case ROLE_SERIAL_RECEIVED:
  case ROLE_SERIAL_SPACE:
  case ROLE_SERIAL_DRAINED:
  case ROLE_SERIAL_OVERRUN:
  case ROLE_SERIAL_BROKEN:
  case ROLE_SERIAL_DATA: return part_ports(part) > 1 ? part_ports(part) : 1;
  default: return 1;
  }
}

static bool is_of_pins(enum role role)
{
  return role == ROLE_SLEEP_WAKE_PINS || role == ROLE_PIN_MODE ||
         role == ROLE_PIN_OUT || role == ROLE_PIN_IN;
}

static enum sim_status check_index(const struct part *part,
                                   const struct part_field *field,
                                   const struct json *node,
                                   struct sim_error *err)
{
  uint32_t count = things(part, field->role);
  const struct json *index = json_get(node, "index");
  if (field->index >= count) {
    return json_fail(index ? index : json_get(node, "role"), SIM_REFERENCE,
                     err,
                     "is index %" PRIu32 " of %" PRIu32
                     "; expected one that exists for \"%s\"",
                     field->index, count, role_word(field->role));
  }
  if (is_of_pins(field->role) && field->width > count - field->index) {
    return json_fail(json_get(node, "bits"), SIM_REFERENCE, err,
                     "covers %" PRIu32 " pins from number %" PRIu32
                     "; expected no more than the part's %" PRIu32,
                     field->width, field->index, count);
  }
  return SIM_OK;
}

/* The cause whose flag the role shows, or CAUSE_COUNT_. */
static enum cause flag_of(enum role role)
{
  static const char prefix[] = "cause.";
  const char *word = role_word(role);
  if (strncmp(word, prefix, sizeof prefix - 1) != 0) return CAUSE_COUNT_;
  enum cause c = 0;
  while (c < CAUSE_COUNT_ && strcmp(word + sizeof prefix - 1, cause_word(c))) {
    c++;
  }
  return c;
}

/* A role of something that the part does not have. */
static enum sim_status check_subject(const struct part *part,
                                     const struct part_field *field,
                                     const struct json *node,
                                     struct sim_error *err)
{
  enum cause cause = flag_of(field->role);
  if (cause < CAUSE_COUNT_ && !part->resets[cause].flag) {
    return json_fail(json_get(node, "role"), SIM_REFERENCE, err,
                     "shows a flag that nothing sets; expected a row of "
                     "\"resets\" for \"%s\" with \"flag\": true",
                     cause_word(cause));
  }
  bool of_watchdog = field->role >= ROLE_WATCHDOG_START &&
                     field->role <= ROLE_WATCHDOG_FREEZE;
  bool of_sleep =
      field->role >= ROLE_SLEEP_DEEP && field->role <= ROLE_SLEEP_TIMER;
  if ((of_watchdog && !part->watchdog.present) ||
      (of_sleep && !part->deep_sleep.present)) {
    return json_fail(json_get(node, "role"), SIM_REFERENCE, err,
                     "needs \"%s\"; expected that section in the part",
                     of_watchdog ? "watchdog" : "deep_sleep");
  }
  bool of_latch = field->role == ROLE_LATCH || field->role == ROLE_LATCH_KEY;
  if (of_latch && !part_has_latch(part)) {
    return json_fail(json_get(node, "role"), SIM_REFERENCE, err,
                     "needs a latch; expected it only where \"held\" of the "
                     "blank check is \"latched\"");
  }
  return SIM_OK;
}

static enum sim_status check_field(const struct part *part,
                                   const struct part_field *field,
                                   const struct json *node,
                                   struct sim_error *err)
{
  enum sim_status status = check_access(field, node, err);
  if (status == SIM_OK) status = check_keys(field, node, err);
  if (status == SIM_OK) status = check_index(part, field, node, err);
  if (status == SIM_OK) status = check_subject(part, field, node, err);
  return status;
}

/* --- registers and blocks ------------------------------------------------ */

static enum sim_status check_register(const struct part *part,
                                      const struct part_register *reg,
                                      const struct json *node,
                                      struct sim_error *err)
{
  const struct json *fields = json_get(node, "fields");
  enum sim_status status = part_check_names(fields, "name", err);
  uint32_t taken = 0;
  for (uint32_t i = 0; i < reg->field_count && status == SIM_OK; i++) {
    const struct part_field *field = &reg->fields[i];
    const struct json *child = part_nth(fields, i);
    uint32_t mask = part_mask(field->lsb, field->width);
    if (taken & mask) return part_fail_overlap(child, err);
    taken |= mask;
    status = check_field(part, field, child, err);
  }
  return status;
}

static enum sim_status check_place(const struct part_block *block,
                                   const struct part_register *registers,
                                   uint32_t which, const struct json *nodes,
                                   struct sim_error *err)
{
  uint32_t offset = registers[which].at - block->at;
  const struct json *node = json_get(part_nth(nodes, which), "offset");
  if (offset > block->size - 4) {
    return json_fail(node, SIM_RANGE, err,
                     "is 0x%" PRIx32 "; expected at most 0x%" PRIx32
                     ", because the block is %" PRIu32 " bytes",
                     offset, block->size - 4, block->size);
  }
  for (uint32_t i = 0; i < which; i++) {
    if (registers[i].at != registers[which].at) continue;
    return json_fail(node, SIM_RANGE, err,
                     "is 0x%" PRIx32 ", as of \"%s\"; expected another place",
                     offset, registers[i].name);
  }
  return SIM_OK;
}

static enum sim_status check_block(const struct part *part,
                                   const struct part_block *block,
                                   const struct part_register *registers,
                                   const struct json *nodes,
                                   struct sim_error *err)
{
  enum sim_status status = part_check_names(nodes, "name", err);
  for (uint32_t i = 0; i < nodes->count && status == SIM_OK; i++) {
    status = check_place(block, registers, i, nodes, err);
    if (status == SIM_OK) {
      status = check_register(part, &registers[i], part_nth(nodes, i), err);
    }
  }
  return status;
}

enum sim_status part_check_registers(const struct part *part,
                                     const struct json *root,
                                     struct sim_error *err)
{
  const struct json *blocks = part_node(root, "blocks");
  enum sim_status status = part_check_names(blocks, "name", err);
  const struct part_register *registers = part->registers;
  for (uint32_t i = 0; i < part->block_count && status == SIM_OK; i++) {
    const struct json *nodes = json_get(part_nth(blocks, i), "registers");
    status = check_block(part, &part->blocks[i], registers, nodes, err);
    registers += nodes->count;
  }
  return status;
}

/* --- answers ------------------------------------------------------------- */

static enum sim_status check_answer(const struct part *part,
                                    const struct part_answer *answer,
                                    const struct json *node,
                                    struct sim_error *err)
{
  for (uint32_t i = 0; i < part->register_count; i++) {
    const struct part_register *r = &part->registers[i];
    if (r->at != answer->at) continue;
    return json_fail(json_get(node, "at"), SIM_REFERENCE, err,
                     "is 0x%08" PRIx32
                     ", which is \"%s\"; expected a register "
                     "that no block describes",
                     r->at, r->name);
  }
  return SIM_OK;
}

static bool contradict(const struct part_answer *a,
                       const struct part_answer *b)
{
  return a->at == b->at && a->when == ANSWER_ALWAYS &&
         b->when == ANSWER_ALWAYS &&
         ((a->value ^ b->value) & a->mask & b->mask) != 0;
}

enum sim_status part_check_answers(const struct part *part,
                                   const struct json *root,
                                   struct sim_error *err)
{
  const struct json *list = part_node(root, "answers");
  for (uint32_t b = 0; b < part->answer_count; b++) {
    const struct json *node = part_nth(list, b);
    enum sim_status status = check_answer(part, &part->answers[b], node, err);
    if (status != SIM_OK) return status;
    for (uint32_t a = 0; a < b; a++) {
      if (!contradict(&part->answers[a], &part->answers[b])) continue;
      return json_fail(node, SIM_RANGE, err,
                       "contradicts answers[%" PRIu32
                       "]; expected a bit always to read the same",
                       a);
    }
  }
  return SIM_OK;
}
