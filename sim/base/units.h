/* units.h -- the integer types of the simulation, and quantities as text.
 *
 * No floating point decides or prints anything: time is whole picoseconds,
 * voltage whole microvolts. A type says its unit; where a plain integer is
 * used, the name ends in the unit.
 *
 * The limit of simulated time is 106 days (2^63 ps); beyond it a reader or
 * the engine reports an error, never a wrapped number.
 */
#ifndef BASE_UNITS_H
#define BASE_UNITS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef int64_t ps_t;    /* picoseconds since the script began */
typedef int64_t cycle_t; /* core clock edges since the script began */
typedef uint32_t addr_t; /* an address as the core sees it */
typedef int64_t uv_t;    /* microvolts */

/* Wide intermediate for products of two 64-bit quantities. */
__extension__ typedef __int128 wide_t;

#define PS_NEVER    INT64_MAX
#define CYCLE_NEVER INT64_MAX

#define PS_PER_NS 1000LL
#define PS_PER_US 1000000LL
#define PS_PER_MS 1000000000LL
#define PS_PER_S  1000000000000LL

/* One "now": the instant, and how many core clock edges have gone by. */
struct moment {
  ps_t at;
  cycle_t cycle;
};

/* What a quantity measures; the integer kept is in the unit at the right. */
enum unit {
  UNIT_TIME,        /* ps       "20us" "1.5ms" "300ns" "7ps" "2s" */
  UNIT_VOLTAGE,     /* uV       "3.3V" "250mV" "10uV" */
  UNIT_RESISTANCE,  /* milliohm "40ohm" "4.7kohm" "1Mohm" "50mohm" */
  UNIT_CAPACITANCE, /* pF       "22uF" "100nF" "47pF" "1F" "10mF" */
  UNIT_CURRENT,     /* nA       "3mA" "2.5uA" "10nA" "1A" */
  UNIT_FREQUENCY,   /* Hz       "8MHz" "32.768kHz" "400Hz" "1GHz" */
  UNIT_BYTES,       /* bytes    "64KiB" "16B" "1MiB" */
  UNIT_CYCLES,      /* cycles   "12 cycles" "1 cycle" */
  UNIT_COUNT_
};

/* Parse "NUMBER[ ]SUFFIX": decimal digits, at most one point with digits on
 * both sides, then a suffix of the unit; one space between them is allowed.
 * Signs, exponents, fractions that are no whole number of the kept unit, and
 * numbers of more than 25 digits are refused.
 * Returns false and leaves *out alone if the text is anything else or does
 * not fit 63 bits. */
bool units_parse(const char *text, enum unit unit, int64_t *out);

/* What units_parse accepts, for error messages: `a time such as "20us"`. */
const char *units_expected(enum unit unit);

/* The suffixes of the unit that units_parse accepts, from index 0 on; NULL
 * behind the last one. */
const char *units_suffix(enum unit unit, unsigned index);

/* Write `value` in the largest suffix that keeps a whole part other than 0,
 * with up to three decimals (truncated toward zero, trailing zeros dropped):
 * "612.5 us", "-3.3 V", "20 us", "0 s", "12 cycles", "1 cycle". For reading,
 * not for reading back: what three decimals cannot say is lost. Integer
 * arithmetic only; the same text on every machine. Always terminates buf;
 * returns buf. */
const char *units_text(char *buf, size_t size, enum unit unit, int64_t value);

#endif
