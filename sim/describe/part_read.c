#include <assert.h>
#include <stdlib.h>

#include "base/json.h"
#include "describe/part.h"
#include "describe/part_check.h"
#include "describe/part_shape.h"
#include "describe/shape.h"

/* More than the tables allow: 16 regions, 9 causes, 16 clocks' quantities,
 * 256 option fields, 8 straps, 32 rules, and some 30 single quantities. A
 * default takes the place of what is left out. */
#define MAX_VALUES 512

/* The callback of shape_read for every value that has a source. */
static void keep_value(struct shape_reader *r, const struct json *value,
                       struct provenance from)
{
  struct part *part = r->user;
  char path[256];
  assert(part->value_count < MAX_VALUES && r->section > 0);
  enum part_section section = (enum part_section)(r->section - 1);
  part->values[part->value_count++] = (struct part_value){
      arena_text(r->arena, json_path(value, path, sizeof path)),
      value->file[0] != '\0' ? value->line : 0, section, from};
  if (from.source == SOURCE_ASSUMED) part->assumed[section]++;
}

/* Without start rules a start begins in the first flash. */
static void give_rule(struct part *p)
{
  uint32_t flash = part_memory_of(p, MEMORY_FLASH);
  if (p->rule_count > 0 || flash == PART_NONE) return;
  p->rules[p->rule_count++] =
      (struct part_rule){.name = "otherwise", .memory = flash};
  p->assumed[SECTION_BOOT]++;
}

/* Assumed, and part of what is assumed of the region. */
static void give_geometry(struct part *p)
{
  for (uint32_t i = 0; i < p->memory_count; i++) {
    struct part_memory *m = &p->memory[i];
    if (m->kind != MEMORY_FLASH) continue;
    if (m->page == 0) m->page = 1024;
    if (m->unit == 0) m->unit = 4;
  }
}

static int by_address(const void *left, const void *right)
{
  const struct part_register *a = left, *b = right;
  return a->at < b->at ? -1 : a->at > b->at;
}

enum sim_status part_from_json(struct arena *arena, const char *file,
                               const struct json *root,
                               const struct part **part, struct sim_error *err)
{
  struct part *p = arena_get(arena, sizeof *p);
  p->file = arena_text(arena, file);
  p->pins.serial_transmit = p->pins.serial_receive = PART_NONE;
  p->pins.more_transmit = p->pins.more_receive = PART_NONE;
  p->registers = arena_array(arena, PART_MAX_REGISTER, sizeof *p->registers);
  p->values = arena_array(arena, MAX_VALUES, sizeof *p->values);
  struct shape_reader reader = {
      .arena = arena, .err = err, .user = p, .sourced = keep_value};

  enum sim_status status = shape_read(&reader, &part_shape, root, p);
  give_rule(p);
  give_geometry(p);
  if (status == SIM_OK) status = part_check(p, root, err);
  if (status != SIM_OK) return status;
  qsort(p->registers, p->register_count, sizeof *p->registers, by_address);
  *part = p;
  return SIM_OK;
}

enum sim_status part_read(struct arena *arena, const char *file,
                          const struct part **part, struct sim_error *err)
{
  const struct json *root;
  enum sim_status status = json_read(arena, file, &root, err);
  if (status != SIM_OK) return status;
  return part_from_json(arena, file, root, part, err);
}
