#include "run/machine.h"

#include <string.h>

#include "base/fold.h"

#include <inttypes.h>

#include "base/file.h"
#include "run/engine.h"

/* Records a run may add before it is stopped as a runaway: far above any
 * script's need, some seconds of host time. Assumed. */
#define TRACE_LIMIT 20000000u

static enum sim_status rom_error(struct sim_error *err, const char *file,
                                 const struct part *part, uint32_t region,
                                 const struct image_segment *s)
{
  struct sim_place place = {.file = file};
  const struct part_memory *m = &part->memory[region];
  return sim_fail(err, SIM_RANGE, &place,
                  "has bytes at 0x%08" PRIx32 "..0x%08" PRIx32
                  "; expected all inside \"%s\" (0x%08" PRIx32 ", %" PRIu32
                  " bytes)",
                  s->at, s->at + s->size - 1, m->name, m->at, m->size);
}

static enum sim_status load_rom(struct machine *m, struct arena *arena,
                                uint32_t region, const struct image **out,
                                struct sim_error *err)
{
  const struct part_memory *memory = &m->part->memory[region];
  const char *file = file_beside(arena, m->part->file, memory->image);
  enum sim_status status = image_read(arena, file, false, 0, out, err);
  if (status != SIM_OK) return status;
  for (uint32_t i = 0; i < (*out)->segment_count; i++) {
    const struct image_segment *s = &(*out)->segments[i];
    uint32_t offset;
    if (memory_find(&m->chip.memory, s->at, s->size, &offset) != region)
      return rom_error(err, file, m->part, region, s);
    chip_preset(&m->chip, region, offset, s->bytes, s->size, 0);
  }
  return SIM_OK;
}

static enum sim_status load_roms(struct machine *m, struct arena *arena,
                                 const struct image *rom[PART_MAX_MEMORY],
                                 struct sim_error *err)
{
  for (uint32_t i = 0; i < m->part->memory_count; i++) {
    rom[i] = NULL;
    if (m->part->memory[i].image == NULL) continue;
    enum sim_status status = load_rom(m, arena, i, &rom[i], err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

static enum sim_status preset_file(struct machine *m, struct arena *arena,
                                   uint32_t region,
                                   const struct part_preset *p,
                                   struct sim_error *err)
{
  const struct part_memory *memory = &m->part->memory[region];
  const char *file = file_beside(arena, m->part->file, p->file);
  uint32_t offset = p->at - memory->at;
  uint8_t *bytes;
  size_t length;
  enum sim_status status =
      file_read(arena, file, memory->size - offset, &bytes, &length, err);
  if (status != SIM_OK) return status;
  chip_preset(&m->chip, region, offset, bytes, (uint32_t)length, 0);
  return SIM_OK;
}

static void preset_words(struct machine *m, uint32_t region,
                         const struct part_preset *p)
{
  uint32_t offset = p->at - m->part->memory[region].at;
  for (uint32_t i = 0; i < p->word_count; i++) {
    uint32_t word = p->words[i];
    const uint8_t bytes[4] = {(uint8_t)word, (uint8_t)(word >> 8),
                              (uint8_t)(word >> 16), (uint8_t)(word >> 24)};
    chip_preset(&m->chip, region, offset + 4 * i, bytes, 4, 0);
  }
}

/* What the factory wrote. */
static enum sim_status load_information(struct machine *m, struct arena *arena,
                                        struct sim_error *err)
{
  for (uint32_t i = 0; i < m->part->memory_count; i++)
    for (uint32_t k = 0; k < m->part->memory[i].preset_count; k++) {
      const struct part_preset *p = &m->part->memory[i].presets[k];
      preset_words(m, i, p);
      if (p->file == NULL) continue;
      enum sim_status status = preset_file(m, arena, i, p, err);
      if (status != SIM_OK) return status;
    }
  return SIM_OK;
}

static void wire_line(struct machine *m)
{
  const struct case_reset_line *l = &m->script->reset_line;
  const struct line_wiring wiring = {.pull_mohm = l->pull_mohm,
                                     .capacitor_pf = l->capacitor_pf,
                                     .push_pull = l->push_pull,
                                     .host_mohm = l->host_mohm};
  chip_wire_line(&m->chip, &wiring);
}

enum sim_status machine_init(struct machine *m, struct arena *arena,
                             const struct case_script *script,
                             const struct part *part, enum cpu_engine engine,
                             const struct image *rom[PART_MAX_MEMORY],
                             struct sim_error *err)
{
  *m = (struct machine){.part = part,
                        .script = script,
                        .away_at = PS_NEVER,
                        .instruction_limit = ENGINE_INSTRUCTIONS};
  enum sim_status status = cpu_open(&m->cpu, engine, &part->core, err);
  if (status != SIM_OK) return status;
  trace_init(&m->trace, TRACE_LIMIT);
  chip_init(&m->chip, part, &m->trace, m->cpu);
  wire_line(m);
  supply_init(&m->supply, &script->supply);
  m->probe.no_line = script->no_reset_line;
  status = nets_init(&m->nets, script, part, &m->chip.pins, &m->trace, err);
  if (status == SIM_OK) status = host_init(&m->host, script, part, err);
  if (status == SIM_OK)
    status = neighbours_init(&m->neighbours, script, part, err);
  if (status == SIM_OK) status = load_roms(m, arena, rom, err);
  if (status == SIM_OK) status = load_information(m, arena, err);
  if (status != SIM_OK) machine_free(m);
  return status;
}

void machine_renew_limits(struct machine *m, uint64_t instructions)
{
  m->trace.full = false;
  m->trace.added_limit = m->trace.added + TRACE_LIMIT;
  m->instruction_limit = m->chip.core.instructions + instructions;
}

void machine_free(struct machine *m)
{
  chip_free(&m->chip);
  trace_free(&m->trace);
  cpu_close(m->cpu);
}

void machine_fold(const struct machine *m, struct fold *f)
{
  ps_t now = m->now, away = fold_from_now(m->away_at, now);
  chip_fold(&m->chip, now, f);
  supply_fold(&m->supply, now, f);
  nets_fold(&m->nets, f);
  host_fold(&m->host, now, f);
  neighbours_fold(&m->neighbours, now, f);
  fold_add(f, &m->probe, sizeof(m->probe));
  fold_add(f, &away, sizeof(away));
  fold_add(f, &m->expecting, sizeof(m->expecting));
}
