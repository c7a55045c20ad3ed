/* Each block's fold: the same whatever the time is, another one where
 * something differs that can still have an effect. The blocks are static, so
 * that the bytes between their fields are zeros, as in a machine. */
#include <string.h>

#include "base/fold.h"
#include "base/character.h"
#include "board/supply.h"
#include "chip/boot.h"
#include "chip/clock.h"
#include "chip/flash.h"
#include "chip/learn.h"
#include "chip/line.h"
#include "chip/rail.h"
#include "chip/serial.h"
#include "chip/sleep.h"
#include "chip/watchdog.h"
#include "chip_fixture.h"
#include "core/bus.h"
#include "core/core.h"
#include "rows.h"

#define US PS_PER_US
#define MS PS_PER_MS

/* How much later the same is done: a whole number of every clock here. */
#define LATER (7 * PS_PER_S)

/* Fold a block in which something began at `begun`, as it is seen from `now`;
 * `change` 0: nothing else was done to it. */
typedef void (*folding)(ps_t begun, ps_t now, unsigned change, struct fold *f);

static void watchdog(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct part_watchdog part = {
      .present = true, .clock = EXACTLY(1000), .reload = 9};
  static struct watchdog w;
  watchdog_init(&w, &part);
  if (change == 1) w.window = 3;
  if (change == 2) w.reload = 4;
  if (change == 3) w.freeze = true;
  if (change != 4) watchdog_start(&w, begun);
  if (change == 5) watchdog_hold(&w, true, begun + 2 * MS);
  if (change == 6) watchdog_kick(&w, begun + MS);
  watchdog_fold(&w, now, f);
}

static void line(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct part_reset_line part = {.pull = EXACTLY(40000000),
                                              .drive_resistance =
                                                  EXACTLY(30000),
                                              .drive = EXACTLY(20 * US),
                                              .pulse = EXACTLY(5 * US),
                                              .own_flag = true};
  const struct line_wiring wiring = {.capacitor_pf = change == 1 ? 10000 : 0,
                                     .push_pull = change == 2,
                                     .host_mohm = 30000};
  static struct line l;
  line_init(&l, &part);
  line_wire(&l, &wiring);
  if (change != 3) line_pull(&l, 1u << DRIVER_BENCH, begun);
  if (change == 4) line_hold(&l, begun + 9 * US);
  while (line_advance(&l, now) != LINE_NOTHING)
    ;
  line_fold(&l, now, f);
}

static void rail(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct part_power part = {.on_rise = EXACTLY(1600000),
                                         .on_fall = EXACTLY(1500000),
                                         .ram_keep = EXACTLY(900000),
                                         .rearm_below = EXACTLY(400000),
                                         .rearm_for = EXACTLY(20 * US)};
  static struct rail r;
  struct trace trace;
  kept_init(&trace);
  rail_init(&r, &part);
  r.armed = false;
  r.rearm_since = begun;
  r.rearm_longest = 0;
  rail_move(&r, &(struct rail_segment){.at = begun,
                                       .until = begun + 100 * US,
                                       .to = change == 1 ? 3000000 : 200000});
  if (change == 2) r.ram_lost = false;
  if (change == 3) r.armed = true;
  while (rail_next(&r) <= now)
    rail_advance(&r, (struct moment){rail_next(&r), 0}, &trace);
  rail_fold(&r, now, f);
  trace_free(&trace);
}

static void supply(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct case_supply board = {
      .source_uv = 3000000, .resistance_mohm = 10000, .bulk_pf = 1000000};
  static struct supply s;
  supply_init(&s, &board);
  if (change != 1) supply_on(&s, 0, MS, begun);
  if (change == 2) supply_feed(&s, &(struct feed){2, 2700000, 50000});
  supply_fold(&s, now, f);
}

static void clock(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct part_clock part = {
      .sources = {{.name = "base", .frequency = EXACTLY(12000000)},
                  {.name = "fast",
                   .frequency = EXACTLY(24000000),
                   .start_up = EXACTLY(9 * US)}},
      .source_count = 2};
  static struct clock c;
  clock_init(&c, &part);
  clock_restart(&c, (struct moment){begun, begun / US * 12});
  if (change == 1) clock_enable(&c, 1, true, begun);
  clock_fold(&c, now, f);
}

static void boot(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct part_boot part = {.option_load = EXACTLY(40)};
  static struct boot b;
  boot_init(&b, &part);
  if (change != 1) boot_enter(&b, BOOT_HELD, begun + 300 * US);
  boot_fold(&b, now, f);
}

static void sleeping(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct part_deep_sleep part = {
      .present = true, .by_sleepdeep = true, .clock = EXACTLY(1000)};
  static struct sleep s;
  sleep_init(&s, &part);
  s.timer = change != 1;
  s.ticks = 50;
  sleep_enter(&s, true, begun);
  sleep_fold(&s, now, f);
}

static void flash(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct part_flash part = {.program = EXACTLY(90 * US),
                                         .erase_page = EXACTLY(20 * MS)};
  static struct flash fl;
  struct trace trace;
  kept_init(&trace);
  flash_init(&fl, &part);
  fl.locked = change == 1;
  if (change == 2) fl.target = 0x04000400;
  if (change == 3) fl.keys_given = 1;
  flash_begin(&fl, FLASH_PROGRAM, 0, (struct moment){begun, 0}, &trace);
  flash_advance(&fl, (struct moment){now, 0}, &trace);
  flash_fold(&fl, now, f);
  trace_free(&trace);
}

static void port(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static struct serial s;
  serial_init(&s, 0);
  s.on = true;
  if (change == 1) s.overrun = true;
  if (change != 2) character_send(&s.out, 0x55, 10 * US, begun);
  while (character_out_advance(&s.out, now))
    ;
  serial_fold(&s, now, f);
}

/* A microsecond is twelve cycles. */
static void core(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static const struct part_core part = {.kind = CORE_KIND_M0PLUS};
  static struct core c;
  static struct bus bus;
  memset(&bus, 0, sizeof(bus));
  core_init(&c, &part);
  c.mode = CORE_RUNNING;
  c.cycle = c.came_due = now / US * 12;
  c.instructions = c.counted = (uint64_t)(begun / US + 40);
  c.retired_seen = c.instructions - (change == 1 ? 0 : 1);
  c.entered_at = c.instructions - 3;
  c.alarm = begun / US * 12 + 12000;
  if (change == 2) c.alarm = CYCLE_NEVER;
  if (change == 3) c.pended_at = c.cycle;
  if (change == 4) c.r[15] = 2;
  core_fold(&c, &bus, f);
}

/* A register that is polled once a microsecond. */
static void learned(ps_t begun, ps_t now, unsigned change, struct fold *f)
{
  static struct learn l;
  uint64_t was = (uint64_t)(begun / US);
  memset(&l, 0, sizeof(l));
  l.poll_count = 1;
  l.accesses = was + 9;
  l.writes = was / 2;
  l.polls[0] = (struct learn_poll){
      .at = 0x40000000, .access = was + 8, .writes = was / 2, .step = was};
  if (change == 1) l.writes++;
  learn_fold(&l, (uint64_t)(now / US), f);
}

static const struct fold_row {
  const char *name;
  folding folding;
  struct {
    ps_t after;
    unsigned change;
  } a, b;
  bool same;
} rows[] = {
    {"a watchdog", watchdog, {MS, 0}, {MS, 0}, true},
    {"that has counted further", watchdog, {MS, 0}, {2 * MS, 0}, false},
    {"with a window", watchdog, {MS, 0}, {MS, 1}, false},
    {"with another reload", watchdog, {MS, 0}, {MS, 2}, false},
    {"that a debugger may freeze", watchdog, {MS, 0}, {MS, 3}, false},
    {"that does not run", watchdog, {MS, 0}, {MS, 4}, false},
    {"that does not run, later", watchdog, {MS, 4}, {2 * MS, 4}, true},
    {"that stands still", watchdog, {2 * MS, 0}, {2 * MS, 5}, false},
    {"that stands still, later", watchdog, {3 * MS, 5}, {90 * MS, 5}, true},
    {"that was fed", watchdog, {2 * MS, 0}, {2 * MS, 6}, false},
    {"fed as long ago as another began", watchdog, {MS, 0}, {2 * MS, 6}, true},
    {"a reset line", line, {2 * US, 0}, {2 * US, 0}, true},
    {"low, not seen yet, longer", line, {2 * US, 0}, {3 * US, 0}, false},
    {"low and seen, longer", line, {6 * US, 0}, {90 * US, 0}, true},
    {"let alone", line, {6 * US, 0}, {6 * US, 3}, false},
    {"let alone, later", line, {6 * US, 3}, {90 * US, 3}, true},
    {"with a capacitor, at once", line, {0, 1}, {2 * US, 1}, false},
    {"with a capacitor, settled", line, {MS, 1}, {9 * MS, 1}, true},
    {"with a push-pull host", line, {6 * US, 0}, {6 * US, 2}, false},
    {"with a push-pull host, later", line, {6 * US, 2}, {90 * US, 2}, true},
    {"that the part pulls for a while", line, {6 * US, 0}, {6 * US, 4}, false},
    {"a rail", rail, {10 * US, 0}, {10 * US, 0}, true},
    {"that has gone further", rail, {10 * US, 0}, {11 * US, 0}, false},
    {"that goes elsewhere", rail, {10 * US, 0}, {10 * US, 1}, false},
    {"whose RAM was kept", rail, {MS, 0}, {MS, 2}, false},
    {"armed again, and not yet", rail, {10 * US, 0}, {10 * US, 3}, false},
    {"armed again, longer", rail, {MS, 3}, {90 * MS, 3}, true},
    {"up, longer", rail, {MS, 1}, {90 * MS, 1}, true},
    {"a supply", supply, {10 * US, 0}, {10 * US, 0}, true},
    {"whose ramp is further", supply, {10 * US, 0}, {11 * US, 0}, false},
    {"whose ramp is over, longer", supply, {2 * MS, 0}, {90 * MS, 0}, true},
    {"that is off", supply, {10 * US, 0}, {10 * US, 1}, false},
    {"that signals feed", supply, {2 * MS, 0}, {2 * MS, 2}, false},
    {"a clock", clock, {10 * US, 0}, {10 * US, 0}, true},
    {"at another edge", clock, {10 * US, 0}, {93 * US, 0}, true},
    {"between two edges", clock, {10 * US, 0}, {10 * US + 9, 0}, false},
    {"whose second source starts", clock, {9 * US, 0}, {9 * US, 1}, false},
    {"starting, longer", clock, {US, 1}, {2 * US, 1}, false},
    {"started, longer", clock, {10 * US, 1}, {20 * US, 1}, true},
    {"a boot sequence", boot, {10 * US, 0}, {10 * US, 0}, true},
    {"nearer to its end", boot, {10 * US, 0}, {11 * US, 0}, false},
    {"not begun", boot, {10 * US, 0}, {10 * US, 1}, false},
    {"not begun, later", boot, {10 * US, 1}, {20 * US, 1}, true},
    {"deep sleep", sleeping, {MS, 0}, {MS, 0}, true},
    {"nearer to waking", sleeping, {MS, 0}, {2 * MS, 0}, false},
    {"that no timer ends", sleeping, {MS, 0}, {MS, 1}, false},
    {"that no timer ends, longer", sleeping, {MS, 1}, {2 * MS, 1}, true},
    {"flash", flash, {10 * US, 0}, {10 * US, 0}, true},
    {"busy, nearer to the end", flash, {10 * US, 0}, {11 * US, 0}, false},
    {"no longer busy", flash, {MS, 0}, {2 * MS, 0}, true},
    {"locked", flash, {MS, 0}, {MS, 1}, false},
    {"with another target", flash, {MS, 0}, {MS, 2}, false},
    {"with a key given", flash, {MS, 0}, {MS, 3}, false},
    {"a serial port", port, {25 * US, 0}, {25 * US, 0}, true},
    {"further into a bit", port, {25 * US, 0}, {26 * US, 0}, false},
    {"that has sent", port, {MS, 0}, {2 * MS, 0}, true},
    {"that was overrun", port, {MS, 0}, {MS, 1}, false},
    {"that sends nothing", port, {25 * US, 0}, {25 * US, 2}, false},
    {"a core", core, {10 * US, 0}, {10 * US, 0}, true},
    {"nearer to its tick", core, {10 * US, 0}, {11 * US, 0}, false},
    {"that has no tick, later", core, {10 * US, 2}, {11 * US, 2}, true},
    {"nobody has seen retire", core, {10 * US, 0}, {10 * US, 1}, false},
    {"with a request just now", core, {10 * US, 0}, {10 * US, 3}, false},
    {"elsewhere", core, {10 * US, 0}, {10 * US, 4}, false},
    {"a polled register", learned, {10 * US, 0}, {10 * US, 0}, true},
    {"not read for longer", learned, {10 * US, 0}, {20 * US, 0}, false},
    {"written since", learned, {10 * US, 0}, {10 * US, 1}, false},
};

static void fold_row(void **state)
{
  const struct fold_row *r = *state;
  struct fold a, b;
  fold_init(&a);
  fold_init(&b);
  r->folding(0, r->a.after, r->a.change, &a);
  r->folding(LATER, LATER + r->b.after, r->b.change, &b);
  assert_true(a.count > 0);
  assert_int_equal(
      a.count == b.count && memcmp(a.bytes, b.bytes, a.count) == 0, r->same);
  fold_free(&a);
  fold_free(&b);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, fold_row, rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
