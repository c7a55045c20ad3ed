#include "reset_script.h"

#include <inttypes.h>

#include "describe/names.h"

static void step(struct reset_script *s, const char *format, ...)
    SIM_PRINTF(2, 3);
static void step(struct reset_script *s, const char *format, ...)
{
  va_list args;
  va_start(args, format);
  size_t room = RESET_SCRIPT_TEXT - s->length;
  int length = vsnprintf(s->text + s->length, room, format, args);
  va_end(args);
  assert_true(length >= 0 && (size_t)length < room);
  s->length += (size_t)length;
}

static void write_word(struct reset_script *s, uint32_t at, uint32_t value)
{
  step(s,
       "    { \"write\": \"0x%08" PRIX32 "\", \"value\": \"0x%08" PRIX32
       "\" },\n",
       at, value);
}

static void attach(struct reset_script *s)
{
  step(s, "    { \"probe\": \"attach\" },\n");
  s->reference.debug_enabled = true;
}

/* --- what stands before a reset ------------------------------------------ */

static void leave_marker(struct reset_script *s)
{
  s->marker[s->count] = 0x5a000000u + s->count;
  write_word(s, SCRIPT_MARKER, s->marker[s->count]);
  s->reference.marker = true;
}

static void leave_output(struct reset_script *s)
{
  write_word(s, 0x44010000, 1u << SCRIPT_PIN);
  s->reference.pin_driven = true;
}

/* The fast clock must be ready before it is selected. */
static void leave_clock(struct reset_script *s)
{
  write_word(s, 0x44001004, 0x01);
  step(s, "    { \"run\": \"20us\" },\n");
  write_word(s, 0x44001004, 0x11);
  s->reference.fast = true;
}

/* Locked first: it may be open already. */
static void leave_open(struct reset_script *s)
{
  write_word(s, 0x44000004, 1u << 12);
  write_word(s, 0x44000000, 0x5ec0de01);
  write_word(s, 0x44000000, 0x1d0ff5e7);
  s->reference.unlocked = true;
}

static void leave_catch(struct reset_script *s)
{
  write_word(s, SCRIPT_DEMCR, 1);
  s->reference.catch_armed = true;
}

static void leave_all(struct reset_script *s)
{
  attach(s);
  leave_marker(s);
  leave_output(s);
  leave_clock(s);
  leave_open(s);
  leave_catch(s);
}

/* --- the reset ----------------------------------------------------------- */

/* The bulk capacitor of 22 uF holds the rail between the two levels that
 * matter for half a second, and below both of them after five. */
static void make_happen(struct reset_script *s, enum cause cause)
{
  if (cause == CAUSE_POWER_ON || cause == CAUSE_BROWN_OUT) {
    step(s, "    { \"power\": \"off\", \"for\": \"%s\" },\n",
         cause == CAUSE_POWER_ON ? "5s" : "500ms");
    step(s, "    { \"power\": \"on\" },\n");
  } else if (cause == CAUSE_OPTION_RELOAD) {
    step(s, "    { \"reload\": \"options\" },\n");
  } else {
    step(s, "    { \"reset\": \"%s\" },\n", cause_word(cause));
  }
}

static void look(struct reset_script *s)
{
  step(s, "    { \"run\": \"1ms\" },\n");
  attach(s);
  static const uint32_t places[] = {0, SCRIPT_MARKER, SCRIPT_FLAGS,
                                    SCRIPT_DEMCR};
  for (size_t i = 0; i < ROWS_COUNT(places); i++) {
    step(s, "    { \"probe\": \"read\", \"at\": \"0x%08" PRIX32 "\" },\n",
         places[i]);
  }
}

static void happen(struct reset_script *s, enum cause cause)
{
  leave_all(s);
  make_happen(s, cause);
  assert_true(s->count < RESET_SCRIPT_STARTS);
  s->expected[s->count++] =
      reference_reset(&s->reference, cause, cause != CAUSE_POWER_ON);
  look(s);
}

/* --- what a reset may take notice of ------------------------------------- */

static void program(struct reset_script *s, const struct reset_image *image)
{
  step(s, "    { \"write\": \"app\" },\n");
  memcpy(s->reference.flash, image->vectors, sizeof image->vectors);
}

static void erase(struct reset_script *s)
{
  step(s, "    { \"probe\": \"erase\", \"at\": \"0x04000000\" },\n");
  memset(s->reference.flash, 0xff, sizeof s->reference.flash);
}

static void option(struct reset_script *s, const char *value)
{
  step(s,
       "    { \"write\": \"options\", \"set\": { \"start.source\": \"%s\" } "
       "},\n",
       value);
  reference_option(&s->reference, 0, 0, value);
}

static void strap(struct reset_script *s, bool high)
{
  const struct part *part = s->reference.part;
  uint32_t pin = part->straps[0].pin;
  step(s, "    { \"drive\": \"%s\", \"level\": \"%s\" },\n",
       part->pins.names[pin], high ? "high" : "low");
  s->reference.driven[pin] = true;
  s->reference.driven_high[pin] = high;
}

static void clear_flags(struct reset_script *s)
{
  write_word(s, SCRIPT_FLAGS, 1u << 16);
  s->reference.flags = 0;
}

/* --- the script ---------------------------------------------------------- */

/* A pin reset follows each, to show what the first one left. */
static void latch_episodes(struct reset_script *s, enum cause cause,
                           const struct reset_image *image, bool no_lockup)
{
  if (!no_lockup) {
    program(s, image);
    happen(s, CAUSE_OPTION_RELOAD);
    erase(s);
    happen(s, cause);
    happen(s, CAUSE_PIN);
  }
  erase(s);
  clear_flags(s);
  happen(s, CAUSE_OPTION_RELOAD);
  program(s, image);
  happen(s, cause);
  happen(s, CAUSE_PIN);
}

static void option_episode(struct reset_script *s, enum cause cause)
{
  option(s, "rom");
  clear_flags(s);
  happen(s, cause);
  happen(s, CAUSE_PIN);
  option(s, "check");
  happen(s, CAUSE_OPTION_RELOAD);
}

static void strap_episode(struct reset_script *s, enum cause cause)
{
  option(s, "strap");
  strap(s, false);
  happen(s, CAUSE_OPTION_RELOAD);
  strap(s, true);
  happen(s, cause);
  happen(s, CAUSE_PIN);
  strap(s, false);
  option(s, "check");
  happen(s, CAUSE_OPTION_RELOAD);
}

static void open_script(struct reset_script *s, const struct part *part,
                        const struct reset_image *image)
{
  step(s,
       "{\n"
       "  \"case\": \"Every cause after every change\",\n"
       "  \"part\": \"%s\",\n"
       "  \"images\": { \"app\": { \"file\": \"%s\", \"base\": "
       "\"0x04000000\" } },\n"
       "  \"board\": { \"supply\": { \"source\": \"3.0V\", "
       "\"source_resistance\": \"10ohm\", \"bulk\": \"22uF\" } },\n"
       "  \"steps\": [\n"
       "    { \"power\": \"on\" },\n",
       part->name, image->path);
}

void reset_script_make(struct reset_script *s, struct played_bench *bench,
                       const struct part *part, const uint32_t rom[2],
                       const struct reset_image *image, bool no_lockup)
{
  memset(s, 0, sizeof *s);
  s->text = arena_get(&bench->arena, RESET_SCRIPT_TEXT);
  reference_init(&s->reference, part, rom);
  open_script(s, part, image);
  s->expected[s->count++] =
      reference_reset(&s->reference, CAUSE_POWER_ON, false);
  look(s);
  for (enum cause cause = 0; cause < CAUSE_COUNT_; cause++) {
    if (!part->resets[cause].present) continue;
    latch_episodes(s, cause, image, no_lockup);
    option_episode(s, cause);
    strap_episode(s, cause);
  }
  step(s, "    { \"run\": \"1us\" }\n  ]\n}\n");
}
