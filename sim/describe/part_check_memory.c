#include <inttypes.h>

#include "describe/names.h"
#include "describe/part_check.h"

/* --- regions ------------------------------------------------------------- */

static bool is_power_of_two(uint32_t number)
{
  return number > 0 && (number & (number - 1)) == 0;
}

/* Keys that only one kind of memory has, and perhaps must have. */
static enum sim_status check_kind(const struct part_memory *m,
                                  const struct json *node,
                                  struct sim_error *err)
{
  static const struct {
    const char *key;
    enum memory_kind kind;
    bool needed;
  } rows[] = {{"page", MEMORY_FLASH, false},
              {"unit", MEMORY_FLASH, false},
              {"image", MEMORY_ROM, true},
              {"preset", MEMORY_INFO, false}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct json *value = json_get(node, rows[i].key);
    bool wanted = m->kind == rows[i].kind;
    if (wanted && rows[i].needed && !value) {
      return json_fail(node, SIM_KEY, err,
                       "has no \"%s\"; expected one for a region of kind "
                       "\"%s\"",
                       rows[i].key, memory_kind_word(m->kind));
    }
    if (!wanted && value) {
      return json_fail_key(value, SIM_KEY, err,
                           "stands in a region of kind \"%s\"; expected it "
                           "only in one of kind \"%s\"",
                           memory_kind_word(m->kind),
                           memory_kind_word(rows[i].kind));
    }
  }
  return SIM_OK;
}

static enum sim_status check_flash_geometry(const struct part_memory *m,
                                            bool ecc, const struct json *node,
                                            struct sim_error *err)
{
  if (!is_power_of_two(m->page) || m->size % m->page != 0) {
    return json_fail(json_get(node, "page"), SIM_RANGE, err,
                     "is %" PRIu32 " bytes; expected a power of two that "
                     "divides the size",
                     m->page);
  }
  if (!is_power_of_two(m->unit) || m->unit > m->page) {
    return json_fail(json_get(node, "unit"), SIM_RANGE, err,
                     "is %" PRIu32 " bytes; expected a power of two no "
                     "larger than the page",
                     m->unit);
  }
  if (ecc && m->unit < 8) {
    const struct json *unit = json_get(node, "unit");
    return json_fail(unit ? unit : node, SIM_RANGE, err,
                     "programs %" PRIu32 " bytes at once; expected at least 8 "
                     "with \"ecc\"",
                     m->unit);
  }
  return SIM_OK;
}

/* Where a preset stands in its region, and that it says something. */
static enum sim_status check_presets(const struct part_memory *m,
                                     const struct json *node,
                                     struct sim_error *err)
{
  for (uint32_t i = 0; i < m->preset_count; i++) {
    const struct part_preset *p = &m->presets[i];
    const struct json *preset = part_nth(json_get(node, "preset"), i);
    if ((p->words == NULL) == (p->file == NULL)) {
      return json_fail(preset, SIM_KEY, err,
                       "has %s; expected either \"words\" or \"file\"",
                       p->file ? "both" : "neither");
    }
    uint32_t offset = p->at - m->at;
    if (offset >= m->size || p->word_count > (m->size - offset) / 4) {
      return json_fail(json_get(preset, "at"), SIM_RANGE, err,
                       "is 0x%08" PRIx32 " with %" PRIu32
                       " words; expected all inside \"%s\" (0x%08" PRIx32
                       ", %" PRIu32 " bytes)",
                       p->at, p->word_count, m->name, m->at, m->size);
    }
  }
  return SIM_OK;
}

static enum sim_status check_kinds_present(const struct part *part,
                                           const struct json *list,
                                           struct sim_error *err)
{
  static const enum memory_kind needed[] = {MEMORY_FLASH, MEMORY_RAM};
  for (size_t i = 0; i < 2; i++) {
    if (part_memory_of(part, needed[i]) != PART_NONE) continue;
    return json_fail(list, SIM_KEY, err,
                     "has no region of kind \"%s\"; expected at least one",
                     memory_kind_word(needed[i]));
  }
  return SIM_OK;
}

/* --- addresses ---------------------------------------------------------- */

/* A span of addresses, and the value that says where it begins. */
struct span {
  uint64_t at, end; /* the first address behind it */
  const struct json *node;
};

/* What a description may use ends here: behind it is the system space of the
 * core (ARM DDI 0419E, B3.1). */
#define SPACE_END UINT64_C(0xe0000000)

static enum sim_status check_overlap(const struct span *spans, size_t count,
                                     struct sim_error *err)
{
  for (size_t b = 0; b < count; b++) {
    if (spans[b].end > SPACE_END) {
      return json_fail(spans[b].node, SIM_RANGE, err,
                       "brings the end to 0x%08" PRIx64
                       "; expected at most 0x%08" PRIx64,
                       spans[b].end, SPACE_END);
    }
    for (size_t a = 0; a < b; a++) {
      if (spans[a].at >= spans[b].end || spans[b].at >= spans[a].end) continue;
      char path[128];
      json_path(spans[a].node, path, sizeof path);
      return json_fail(spans[b].node, SIM_RANGE, err,
                       "overlaps what %s places at 0x%08" PRIx64
                       " to 0x%08" PRIx64 "; expected free addresses",
                       path[0] ? path : "a start", spans[a].at,
                       spans[a].end - 1);
    }
  }
  return SIM_OK;
}

/* The largest region that can be seen at address 0. */
static uint32_t alias_size(const struct part *part)
{
  uint32_t size = 0;
  for (uint32_t i = 0; i < part->rule_count; i++) {
    uint32_t region = part->memory[part->rules[i].memory].size;
    if (region > size) size = region;
  }
  return size;
}

static enum sim_status check_spans(const struct part *part,
                                   const struct json *root,
                                   struct sim_error *err)
{
  struct span spans[1 + PART_MAX_MEMORY + PART_MAX_BLOCKS];
  size_t count = 0;
  const struct json *memory = part_node(root, "memory");
  const struct json *blocks = part_node(root, "blocks");
  if (part_has_alias(part)) {
    spans[count++] =
        (struct span){0, alias_size(part), part_place(root, "start_rules")};
  }
  for (uint32_t i = 0; i < part->memory_count; i++) {
    uint64_t at = part->memory[i].at;
    spans[count++] = (struct span){at, at + part->memory[i].size,
                                   json_get(part_nth(memory, i), "at")};
  }
  for (uint32_t i = 0; i < part->block_count; i++) {
    uint64_t at = part->blocks[i].at;
    spans[count++] = (struct span){at, at + part->blocks[i].size,
                                   json_get(part_nth(blocks, i), "at")};
  }
  return check_overlap(spans, count, err);
}

/* ------------------------------------------------------------------------- */

enum sim_status part_check_memory(const struct part *part,
                                  const struct json *root,
                                  struct sim_error *err)
{
  const struct json *list = part_node(root, "memory");
  enum sim_status status = part_check_names(list, "name", err);
  if (status == SIM_OK) status = check_kinds_present(part, list, err);
  for (uint32_t i = 0; i < part->memory_count && status == SIM_OK; i++) {
    const struct part_memory *m = &part->memory[i];
    const struct json *node = part_nth(list, i);
    status = check_kind(m, node, err);
    if (status == SIM_OK && m->kind == MEMORY_FLASH) {
      status = check_flash_geometry(m, part->flash.ecc, node, err);
    }
    if (status == SIM_OK) status = check_presets(m, node, err);
  }
  if (status == SIM_OK) status = check_spans(part, root, err);
  return status;
}
