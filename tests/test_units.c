/* Quantities as text. What the prefixes stand for: SI Brochure, 9th edition,
 * Table 7 (milli 1e-3, micro 1e-6, nano 1e-9, pico 1e-12, kilo 1e3, mega 1e6,
 * giga 1e9); kibi 1024 and mebi 1024^2: IEC 80000-13. From memory. */
#include <string.h>

#include "base/units.h"
#include "rows.h"

static const struct read_row {
  const char *name;
  const char *text;
  enum unit unit;
  int64_t value;
} read_rows[] = {
    {"a second is 1e12 ps", "1s", UNIT_TIME, 1000000000000},
    {"a millisecond is 1e9 ps", "1ms", UNIT_TIME, 1000000000},
    {"a microsecond is 1e6 ps", "1us", UNIT_TIME, 1000000},
    {"a nanosecond is 1e3 ps", "1ns", UNIT_TIME, 1000},
    {"a picosecond is the kept unit", "7ps", UNIT_TIME, 7},
    {"a volt is 1e6 uV", "3V", UNIT_VOLTAGE, 3000000},
    {"a millivolt is 1e3 uV", "250mV", UNIT_VOLTAGE, 250000},
    {"a microvolt is the kept unit", "10uV", UNIT_VOLTAGE, 10},
    {"an ohm is 1e3 mohm", "40ohm", UNIT_RESISTANCE, 40000},
    {"mohm is milli", "50mohm", UNIT_RESISTANCE, 50},
    {"Mohm is mega", "1Mohm", UNIT_RESISTANCE, 1000000000},
    {"kohm takes decimals", "4.7kohm", UNIT_RESISTANCE, 4700000},
    {"a farad is 1e12 pF", "1F", UNIT_CAPACITANCE, 1000000000000},
    {"a millifarad is 1e9 pF", "10mF", UNIT_CAPACITANCE, 10000000000},
    {"a microfarad is 1e6 pF", "22uF", UNIT_CAPACITANCE, 22000000},
    {"a nanofarad is 1e3 pF", "100nF", UNIT_CAPACITANCE, 100000},
    {"a picofarad is the kept unit", "47pF", UNIT_CAPACITANCE, 47},
    {"an ampere is 1e9 nA", "1A", UNIT_CURRENT, 1000000000},
    {"a milliampere is 1e6 nA", "3mA", UNIT_CURRENT, 3000000},
    {"a microampere is 1e3 nA", "2.5uA", UNIT_CURRENT, 2500},
    {"a nanoampere is the kept unit", "10nA", UNIT_CURRENT, 10},
    {"a gigahertz is 1e9 Hz", "1GHz", UNIT_FREQUENCY, 1000000000},
    {"a megahertz is 1e6 Hz", "7MHz", UNIT_FREQUENCY, 7000000},
    {"a watch crystal is exact", "32.768kHz", UNIT_FREQUENCY, 32768},
    {"a hertz is the kept unit", "400Hz", UNIT_FREQUENCY, 400},
    {"a mebibyte is 1024 squared", "1MiB", UNIT_BYTES, 1048576},
    {"a kibibyte is 1024", "64KiB", UNIT_BYTES, 65536},
    {"half a kibibyte is whole bytes", "0.5KiB", UNIT_BYTES, 512},
    {"the smallest part of a MiB is a byte", "0.00000095367431640625MiB",
     UNIT_BYTES, 1},
    {"cycles are counted", "12 cycles", UNIT_CYCLES, 12},
    {"one cycle has its own word", "1 cycle", UNIT_CYCLES, 1},
    {"the space may be left out", "12cycles", UNIT_CYCLES, 12},
    {"one space is allowed before any suffix", "20 us", UNIT_TIME, 20000000},
    {"zero is a quantity", "0s", UNIT_TIME, 0},
    {"zeros in front do not count", "007us", UNIT_TIME, 7000000},
    {"zeros behind do not count", "1.500ms", UNIT_TIME, 1500000000},
    {"nor do they make a fraction", "7.000000000000000000000000000000000ps",
     UNIT_TIME, 7},
    {"a fraction of whole units is exact", "0.000000000001s", UNIT_TIME, 1},
    {"the largest that fits 63 bits", "9223372036854775807ps", UNIT_TIME,
     INT64_MAX},
    {"the same in seconds", "9223372.036854775807s", UNIT_TIME, INT64_MAX},
};

static const struct refuse_row {
  const char *name;
  const char *text;
  enum unit unit;
} refuse_rows[] = {
    {"an empty text is no quantity", "", UNIT_TIME},
    {"a suffix alone is no quantity", "us", UNIT_TIME},
    {"a number alone is no quantity", "20", UNIT_TIME},
    {"a space does not replace the suffix", "20 ", UNIT_TIME},
    {"two spaces are one too many", "20  us", UNIT_TIME},
    {"a tab is no space", "20\tus", UNIT_TIME},
    {"space in front is refused", " 20us", UNIT_TIME},
    {"space behind is refused", "20us ", UNIT_TIME},
    {"more behind the suffix is refused", "20usx", UNIT_TIME},
    {"a sign is refused", "-1us", UNIT_TIME},
    {"a plus is refused", "+1us", UNIT_TIME},
    {"an exponent is refused", "1e3us", UNIT_TIME},
    {"hexadecimal is refused", "0x10us", UNIT_TIME},
    {"a comma is no point", "1,5us", UNIT_TIME},
    {"two points are refused", "1.5.0us", UNIT_TIME},
    {"a point needs digits before it", ".5us", UNIT_TIME},
    {"a point needs digits behind it", "5.us", UNIT_TIME},
    {"digits are not grouped", "1_000us", UNIT_TIME},
    {"half a picosecond is refused", "0.5ps", UNIT_TIME},
    {"a fraction below the kept unit is refused", "1.0000000000001s",
     UNIT_TIME},
    {"half a cycle is refused", "0.5 cycles", UNIT_CYCLES},
    {"half a byte is refused", "0.00048828125KiB", UNIT_BYTES},
    {"a suffix of another unit is refused", "3V", UNIT_TIME},
    {"suffixes are case sensitive", "3MS", UNIT_TIME},
    {"kilo is a small k", "8KHz", UNIT_FREQUENCY},
    {"decimal kilobytes are refused", "64kB", UNIT_BYTES},
    {"one more than fits 63 bits", "9223372036854775808ps", UNIT_TIME},
    {"the same in seconds", "9223372.036854775808s", UNIT_TIME},
    {"107 days are beyond the limit of time", "9244800s", UNIT_TIME},
    {"what would wrap 64 bits is refused", "18446744073709551617ps",
     UNIT_TIME},
    {"what would wrap 128 bits is refused",
     "340282366920938463463374607431768211457ps", UNIT_TIME},
    {"a fraction that would wrap 128 bits is refused",
     "0.000000000000000000000000000000000000000000000000000000001s",
     UNIT_TIME},
};

static const struct text_row {
  const char *name;
  enum unit unit;
  int64_t value;
  const char *text;
} text_rows[] = {
    {"the largest suffix with a whole digit", UNIT_TIME, 612500000,
     "612.5 us"},
    {"a whole number has no point", UNIT_TIME, 20000000, "20 us"},
    {"exactly one of a suffix uses it", UNIT_TIME, 1000000000, "1 ms"},
    {"one less uses the next", UNIT_TIME, 999999999, "999.999 us"},
    {"what three decimals cannot say is cut", UNIT_TIME, 1999999999999,
     "1.999 s"},
    {"zeros inside the decimals stay", UNIT_TIME, 1005000, "1.005 us"},
    {"zeros behind are dropped", UNIT_TIME, 1050000, "1.05 us"},
    {"decimals of nothing are dropped", UNIT_TIME, 1000000999999, "1 s"},
    {"zero time is in seconds", UNIT_TIME, 0, "0 s"},
    {"zero voltage is in volts", UNIT_VOLTAGE, 0, "0 V"},
    {"zero resistance is in ohms", UNIT_RESISTANCE, 0, "0 ohm"},
    {"zero bytes are in bytes", UNIT_BYTES, 0, "0 B"},
    {"zero frequency is in hertz", UNIT_FREQUENCY, 0, "0 Hz"},
    {"no cycle is plural", UNIT_CYCLES, 0, "0 cycles"},
    {"one cycle is singular", UNIT_CYCLES, 1, "1 cycle"},
    {"more are plural", UNIT_CYCLES, 12, "12 cycles"},
    {"volts", UNIT_VOLTAGE, 3300000, "3.3 V"},
    {"below a volt in millivolts", UNIT_VOLTAGE, 400000, "400 mV"},
    {"below zero", UNIT_VOLTAGE, -3300000, "-3.3 V"},
    {"cut toward zero below zero too", UNIT_VOLTAGE, -1999999, "-1.999 V"},
    {"ohms are between mohm and kohm", UNIT_RESISTANCE, 40000, "40 ohm"},
    {"megohms", UNIT_RESISTANCE, 1500000000, "1.5 Mohm"},
    {"microfarads", UNIT_CAPACITANCE, 22000000, "22 uF"},
    {"nanoamperes", UNIT_CURRENT, 999, "999 nA"},
    {"kilohertz", UNIT_FREQUENCY, 32768, "32.768 kHz"},
    {"kibibytes by 1024", UNIT_BYTES, 1536, "1.5 KiB"},
    {"1023 bytes are bytes", UNIT_BYTES, 1023, "1023 B"},
    {"the largest value", UNIT_TIME, INT64_MAX, "9223372.036 s"},
    {"the smallest value", UNIT_TIME, INT64_MIN, "-9223372.036 s"},
    {"the largest count", UNIT_CYCLES, INT64_MAX,
     "9223372036854775807 cycles"},
};

static void read_row(void **state)
{
  const struct read_row *r = *state;
  int64_t value = -1;
  assert_true(units_parse(r->text, r->unit, &value));
  assert_true(value == r->value);
}

static void refuse_row(void **state)
{
  const struct refuse_row *r = *state;
  int64_t value = -99;
  assert_false(units_parse(r->text, r->unit, &value));
  assert_true(value == -99);
}

static void text_row(void **state)
{
  const struct text_row *r = *state;
  char buf[64];
  assert_ptr_equal(units_text(buf, sizeof buf, r->unit, r->value), buf);
  assert_string_equal(buf, r->text);
}

/* The example inside every expectation is itself accepted. */
static void expectations_show_what_is_accepted(void **state)
{
  (void)state;
  for (int unit = 0; unit < UNIT_COUNT_; unit++) {
    const char *quote = strchr(units_expected((enum unit)unit), '"');
    char example[32];
    int64_t value;
    assert_non_null(quote);
    assert_int_equal(sscanf(quote, "\"%31[^\"]\"", example), 1);
    assert_true(units_parse(example, (enum unit)unit, &value));
  }
}

static void every_suffix_is_accepted_by_its_unit_alone(void **state)
{
  (void)state;
  unsigned count = 0;
  for (int of = 0; of < UNIT_COUNT_; of++) {
    const char *suffix;
    for (unsigned i = 0; (suffix = units_suffix((enum unit)of, i)); i++) {
      char text[32];
      snprintf(text, sizeof text, "1%s", suffix);
      for (int as = 0; as < UNIT_COUNT_; as++) {
        int64_t value;
        assert_int_equal(units_parse(text, (enum unit)as, &value), as == of);
      }
      count++;
    }
  }
  /* Those of the rows above, no more: 5 + 3 + 4 + 5 + 4 + 4 + 3 + 2. */
  assert_int_equal(count, 30);
}

static void text_is_cut_to_the_buffer(void **state)
{
  (void)state;
  char buf[8];
  memset(buf, '#', sizeof buf);
  units_text(buf, 4, UNIT_TIME, 612500000);
  assert_string_equal(buf, "612");
  assert_int_equal(buf[4], '#');
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(expectations_show_what_is_accepted),
      cmocka_unit_test(every_suffix_is_accepted_by_its_unit_alone),
      cmocka_unit_test(text_is_cut_to_the_buffer),
  };
  struct CMUnitTest tests[ROWS_COUNT(read_rows) + ROWS_COUNT(refuse_rows) +
                          ROWS_COUNT(text_rows)];
  size_t n = ROWS_ADD(tests, read_row, read_rows);
  n += ROWS_ADD(tests + n, refuse_row, refuse_rows);
  n += ROWS_ADD(tests + n, text_row, text_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
