#include "serve/gdb_registers.h"

#include <inttypes.h>

enum { EVERY, V7M, FLOATING };

static const struct row {
  const char *name, *type;
  uint16_t number; /* of core.h; of the lower half, if it has two */
  uint8_t words;
  uint8_t needs;
} rows[] = {
    {"r0", "uint32", 0, 1, EVERY},
    {"r1", "uint32", 1, 1, EVERY},
    {"r2", "uint32", 2, 1, EVERY},
    {"r3", "uint32", 3, 1, EVERY},
    {"r4", "uint32", 4, 1, EVERY},
    {"r5", "uint32", 5, 1, EVERY},
    {"r6", "uint32", 6, 1, EVERY},
    {"r7", "uint32", 7, 1, EVERY},
    {"r8", "uint32", 8, 1, EVERY},
    {"r9", "uint32", 9, 1, EVERY},
    {"r10", "uint32", 10, 1, EVERY},
    {"r11", "uint32", 11, 1, EVERY},
    {"r12", "uint32", 12, 1, EVERY},
    {"sp", "data_ptr", 13, 1, EVERY},
    {"lr", "code_ptr", 14, 1, EVERY},
    {"pc", "code_ptr", 15, 1, EVERY},
    {"xpsr", "uint32", CORE_XPSR, 1, EVERY},
    {"msp", "data_ptr", CORE_MSP, 1, EVERY},
    {"psp", "data_ptr", CORE_PSP, 1, EVERY},
    {"primask", "uint32", CORE_PRIMASK, 1, EVERY},
    {"control", "uint32", CORE_CONTROL, 1, EVERY},
    {"basepri", "uint32", CORE_BASEPRI, 1, V7M},
    {"faultmask", "uint32", CORE_FAULTMASK, 1, V7M},
    {"d0", "ieee_double", CORE_S0, 2, FLOATING},
    {"d1", "ieee_double", CORE_S0 + 2, 2, FLOATING},
    {"d2", "ieee_double", CORE_S0 + 4, 2, FLOATING},
    {"d3", "ieee_double", CORE_S0 + 6, 2, FLOATING},
    {"d4", "ieee_double", CORE_S0 + 8, 2, FLOATING},
    {"d5", "ieee_double", CORE_S0 + 10, 2, FLOATING},
    {"d6", "ieee_double", CORE_S0 + 12, 2, FLOATING},
    {"d7", "ieee_double", CORE_S0 + 14, 2, FLOATING},
    {"d8", "ieee_double", CORE_S0 + 16, 2, FLOATING},
    {"d9", "ieee_double", CORE_S0 + 18, 2, FLOATING},
    {"d10", "ieee_double", CORE_S0 + 20, 2, FLOATING},
    {"d11", "ieee_double", CORE_S0 + 22, 2, FLOATING},
    {"d12", "ieee_double", CORE_S0 + 24, 2, FLOATING},
    {"d13", "ieee_double", CORE_S0 + 26, 2, FLOATING},
    {"d14", "ieee_double", CORE_S0 + 28, 2, FLOATING},
    {"d15", "ieee_double", CORE_S0 + 30, 2, FLOATING},
    {"fpscr", "uint32", CORE_FPSCR, 1, FLOATING},
};
#define ROW_COUNT (sizeof rows / sizeof rows[0])

/* Where each feature begins, by register. */
static const struct feature {
  const char *name;
  uint16_t first;
} features[] = {
    {"org.gnu.gdb.arm.m-profile", 0},
    {"org.gnu.gdb.arm.m-system", CORE_MSP},
    {"org.gnu.gdb.arm.vfp", CORE_S0},
};
#define FEATURE_COUNT (sizeof features / sizeof features[0])

static bool has(const struct core *c, uint8_t needs)
{
  return needs == FLOATING ? core_has_fpu(c)
                           : needs == EVERY || core_is_v7m(c);
}

/* The row of the register with this number on this core, or NULL. */
static const struct row *find(const struct core *c, uint32_t number)
{
  for (size_t i = 0; i < ROW_COUNT; i++)
    if (has(c, rows[i].needs) && number-- == 0) return &rows[i];
  return NULL;
}

uint32_t gdb_registers_size(const struct core *c, uint32_t number)
{
  const struct row *row = find(c, number);
  return row == NULL ? 0 : row->words * 4u;
}

void gdb_registers_read(const struct core *c, uint32_t number, uint8_t *bytes)
{
  const struct row *row = find(c, number);
  for (uint32_t i = 0; i < row->words * 4u; i++)
    bytes[i] = (uint8_t)(core_register(c, row->number + i / 4) >> i % 4 * 8);
}

void gdb_registers_write(struct core *c, uint32_t number, const uint8_t *bytes)
{
  const struct row *row = find(c, number);
  for (uint32_t i = 0; i < row->words; i++) {
    const uint8_t *b = bytes + 4 * i;
    core_set_register(c, row->number + i,
                      b[0] | (uint32_t)b[1] << 8 | (uint32_t)b[2] << 16 |
                          (uint32_t)b[3] << 24);
  }
}

static void begin_feature(const struct row *row, FILE *to)
{
  for (size_t i = 0; i < FEATURE_COUNT; i++)
    if (features[i].first == row->number)
      fprintf(to, "%s<feature name=\"%s\">\n", i > 0 ? "</feature>\n" : "",
              features[i].name);
}

void gdb_registers_describe(const struct core *c, FILE *to)
{
  fputs("<?xml version=\"1.0\"?>\n"
        "<!DOCTYPE target SYSTEM \"gdb-target.dtd\">\n"
        "<target version=\"1.0\">\n<architecture>arm</architecture>\n",
        to);
  for (size_t i = 0; i < ROW_COUNT; i++) {
    if (!has(c, rows[i].needs)) continue;
    begin_feature(&rows[i], to);
    fprintf(to, "<reg name=\"%s\" bitsize=\"%u\" type=\"%s\"/>\n",
            rows[i].name, rows[i].words * 32u, rows[i].type);
  }
  fputs("</feature>\n</target>\n", to);
}
