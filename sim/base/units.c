#include "base/units.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

/* Prefixes: SI Brochure, 9th edition, Table 7 (with "u" for micro); binary
 * ones: IEC 80000-13. The first row of a unit is how its zero is written. */
static const struct suffix {
  enum unit unit;
  const char *text;
  int64_t scale; /* kept units in one of these */
} suffixes[] = {
    {UNIT_TIME, "s", 1000000000000},
    {UNIT_TIME, "ms", 1000000000},
    {UNIT_TIME, "us", 1000000},
    {UNIT_TIME, "ns", 1000},
    {UNIT_TIME, "ps", 1},
    {UNIT_VOLTAGE, "V", 1000000},
    {UNIT_VOLTAGE, "mV", 1000},
    {UNIT_VOLTAGE, "uV", 1},
    {UNIT_RESISTANCE, "ohm", 1000},
    {UNIT_RESISTANCE, "Mohm", 1000000000},
    {UNIT_RESISTANCE, "kohm", 1000000},
    {UNIT_RESISTANCE, "mohm", 1},
    {UNIT_CAPACITANCE, "F", 1000000000000},
    {UNIT_CAPACITANCE, "mF", 1000000000},
    {UNIT_CAPACITANCE, "uF", 1000000},
    {UNIT_CAPACITANCE, "nF", 1000},
    {UNIT_CAPACITANCE, "pF", 1},
    {UNIT_CURRENT, "A", 1000000000},
    {UNIT_CURRENT, "mA", 1000000},
    {UNIT_CURRENT, "uA", 1000},
    {UNIT_CURRENT, "nA", 1},
    {UNIT_FREQUENCY, "Hz", 1},
    {UNIT_FREQUENCY, "GHz", 1000000000},
    {UNIT_FREQUENCY, "MHz", 1000000},
    {UNIT_FREQUENCY, "kHz", 1000},
    {UNIT_BYTES, "B", 1},
    {UNIT_BYTES, "MiB", 1024 * 1024},
    {UNIT_BYTES, "KiB", 1024},
    {UNIT_CYCLES, "cycles", 1},
    {UNIT_CYCLES, "cycle", 1}, /* written for exactly one */
};

#define SUFFIX_COUNT (sizeof suffixes / sizeof suffixes[0])

static const char *const expected[UNIT_COUNT_] = {
    [UNIT_TIME] = "a time such as \"20us\"",
    [UNIT_VOLTAGE] = "a voltage such as \"3.3V\"",
    [UNIT_RESISTANCE] = "a resistance such as \"4.7kohm\"",
    [UNIT_CAPACITANCE] = "a capacitance such as \"22uF\"",
    [UNIT_CURRENT] = "a current such as \"3mA\"",
    [UNIT_FREQUENCY] = "a frequency such as \"8MHz\"",
    [UNIT_BYTES] = "a size such as \"64KiB\"",
    [UNIT_CYCLES] = "a number of cycles such as \"12 cycles\"",
};

/* A decimal number: digits / 10^decimals. */
struct decimal {
  wide_t digits;
  unsigned decimals;
};

/* Bounds that keep the products inside 128 bits: the largest scale, or ten to
 * the power of MAX_DECIMALS, times these. Longer numbers are refused. */
#define MAX_DIGITS   ((wide_t)1000000000000 * 10000000000000)
#define MAX_DECIMALS 30

static bool is_digit(char c)
{
  return c >= '0' && c <= '9';
}

/* Digits at *text, at least one; moves *text behind them. Zeros at the end
 * of a fraction count for nothing, so they wait until another digit comes. */
static bool read_digits(const char **text, struct decimal *d, bool fraction)
{
  if (!is_digit(**text)) return false;
  unsigned zeros = 0;
  for (; is_digit(**text); (*text)++) {
    if (fraction && **text == '0') {
      zeros++;
      continue;
    }
    for (; zeros > 0 && d->digits <= MAX_DIGITS; zeros--) {
      d->digits *= 10;
      d->decimals++;
    }
    d->digits = d->digits * 10 + (**text - '0');
    if (fraction) d->decimals++;
    if (d->digits > MAX_DIGITS || d->decimals > MAX_DECIMALS) return false;
  }
  return true;
}

static bool read_decimal(const char **text, struct decimal *d)
{
  *d = (struct decimal){0, 0};
  if (!read_digits(text, d, false)) return false;
  if (**text != '.') return true;
  (*text)++;
  return read_digits(text, d, true);
}

/* Kept units in one of `text`; 0 if it is no suffix of the unit. */
static int64_t scale_of(enum unit unit, const char *text)
{
  for (size_t i = 0; i < SUFFIX_COUNT; i++) {
    if (suffixes[i].unit != unit) continue;
    if (strcmp(text, suffixes[i].text) == 0) return suffixes[i].scale;
  }
  return 0;
}

bool units_parse(const char *text, enum unit unit, int64_t *out)
{
  assert(unit < UNIT_COUNT_);
  struct decimal d;
  if (!read_decimal(&text, &d)) return false;
  if (*text == ' ') text++;
  int64_t scale = scale_of(unit, text);
  if (scale == 0) return false;

  wide_t divisor = 1;
  for (unsigned i = 0; i < d.decimals; i++) {
    divisor *= 10;
  }
  wide_t scaled = d.digits * scale;
  if (scaled % divisor != 0 || scaled / divisor > INT64_MAX) return false;
  *out = (int64_t)(scaled / divisor);
  return true;
}

const char *units_expected(enum unit unit)
{
  assert(unit < UNIT_COUNT_);
  return expected[unit];
}

const char *units_suffix(enum unit unit, unsigned index)
{
  assert(unit < UNIT_COUNT_);
  for (size_t i = 0; i < SUFFIX_COUNT; i++) {
    if (suffixes[i].unit == unit && index-- == 0) return suffixes[i].text;
  }
  return NULL;
}

/* The largest that is no larger than `size`, and of equal ones the first;
 * but for 0 the first of the unit. */
static const struct suffix *suffix_for(enum unit unit, wide_t size)
{
  const struct suffix *best = NULL;
  for (size_t i = 0; i < SUFFIX_COUNT; i++) {
    const struct suffix *s = &suffixes[i];
    if (s->unit != unit) continue;
    if (!best ||
        (s->scale <= size && (best->scale > size || s->scale > best->scale))) {
      best = s;
    }
  }
  return best;
}

/* ".5" of 1500 in thousands; "" where nothing is left in three decimals. */
static const char *decimals_text(char *buf, size_t size, wide_t magnitude,
                                 int64_t scale)
{
  unsigned thousandths = (unsigned)(magnitude % scale * 1000 / scale);
  buf[0] = '\0';
  if (thousandths == 0) return buf;
  int length = snprintf(buf, size, ".%03u", thousandths);
  while (buf[length - 1] == '0') {
    buf[--length] = '\0';
  }
  return buf;
}

const char *units_text(char *buf, size_t size, enum unit unit, int64_t value)
{
  assert(unit < UNIT_COUNT_);
  wide_t magnitude = value < 0 ? -(wide_t)value : value;
  const struct suffix *suffix = suffix_for(unit, magnitude);
  bool one_cycle = unit == UNIT_CYCLES && magnitude == 1;
  char decimals[16];
  snprintf(buf, size, "%s%" PRIu64 "%s %s", value < 0 ? "-" : "",
           (uint64_t)(magnitude / suffix->scale),
           decimals_text(decimals, sizeof decimals, magnitude, suffix->scale),
           one_cycle ? "cycle" : suffix->text);
  return buf;
}
