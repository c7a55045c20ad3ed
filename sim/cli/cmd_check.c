#include "cli/cmd_check.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/firstfetch.h"
#include "base/file.h"
#include "base/json.h"
#include "cli/folders.h"
#include "cli/output.h"
#include "cli/words.h"
#include "describe/case.h"
#include "describe/names.h"
#include "describe/part.h"
#include "image/image.h"
#include "report/page.h"
#include "report/review_report.h"

enum { CHECK_BASE, CHECK_JSON, CHECK_MODELS, CHECK_OPTION_COUNT_ };

static const struct option options[] = {
    [CHECK_BASE] = {"base", "ADDRESS",
                    "the images are raw binaries that go there, \"0x...\"",
                    false},
    [CHECK_JSON] = {"json", "FILE",
                    "write it as JSON; \"-\" is standard output, without the "
                    "text",
                    false},
    [CHECK_MODELS] = FOLDERS_OPTION,
};

struct checker {
  const struct given *given;
  struct firstfetch *loaded;
  bool has_base;
  addr_t base;
  struct page page;
  struct json_out *now; /* what is said of the file that is looked at */
};

static void put_sound(struct checker *c, const char *file, const char *kind)
{
  json_add_text(c->now, "kind", kind);
  page_item(&c->page, 0, 2, "");
  page_say(&c->page, file);
  page_say(&c->page, ": sound");
  page_end(&c->page);
}

/* --- a part -------------------------------------------------------------- */

static void put_assumed(struct checker *c, const struct part *part)
{
  uint32_t all = 0;
  for (unsigned i = 0; i < SECTION_COUNT_; i++) {
    all += part->assumed[i];
  }
  json_add_integer(c->now, "assumed", all);
  page_item(&c->page, 2, 4, "");
  page_format(&c->page, "%" PRIu32 " of its numbers %s assumed", all,
              all == 1 ? "is" : "are");
  const char *before = ": ";
  for (unsigned i = 0; i < SECTION_COUNT_; i++) {
    if (part->assumed[i] == 0) continue;
    page_say(&c->page, before);
    page_say(&c->page, section_word((enum part_section)i));
    page_format(&c->page, " %" PRIu32, part->assumed[i]);
    before = ", ";
  }
  page_end(&c->page);
}

static enum sim_status check_part(struct checker *c, const char *file,
                                  struct sim_error *err)
{
  const struct firstfetch_search nowhere = {NULL, 0};
  const struct part *part;
  enum sim_status status =
      firstfetch_part(c->loaded, &nowhere, file, NULL, &part, err);
  if (status != SIM_OK) return status;
  put_sound(c, file, "part");
  json_add_text(c->now, "part", part->name);
  page_item(&c->page, 2, 4, "");
  page_say(&c->page, "part ");
  page_say(&c->page, part->name);
  if (part->about) {
    page_say(&c->page, ": ");
    page_say(&c->page, part->about);
  }
  page_end(&c->page);
  put_assumed(c, part);
  return SIM_OK;
}

/* --- a case -------------------------------------------------------------- */

static void put_count(struct page *page, uint32_t count, const char *one,
                      const char *many)
{
  page_format(page, "%" PRIu32 " %s", count, count == 1 ? one : many);
}

static void put_case(struct checker *c, const char *file,
                     const struct case_script *script, const struct part *part)
{
  put_sound(c, file, "case");
  json_add_text(c->now, "case", script->title);
  json_add_text(c->now, "part", part->name);
  page_item(&c->page, 2, 4, "");
  page_say(&c->page, "case \"");
  page_say(&c->page, script->title);
  page_say(&c->page, "\": ");
  put_count(&c->page, script->step_count, "step", "steps");
  page_say(&c->page, ", ");
  put_count(&c->page, script->image_count, "image", "images");
  page_say(&c->page, ", part ");
  page_say(&c->page, part->name);
  page_end(&c->page);
}

static enum sim_status review_board(struct checker *c,
                                    const struct case_script *script,
                                    const struct part *part,
                                    struct sim_error *err)
{
  const struct review *review;
  enum sim_status status =
      firstfetch_review(c->loaded, script, part, &review, err);
  if (status != SIM_OK) return status;
  review_text(&c->page, review);
  review_json(json_add_object(c->now, "review"), review);
  return SIM_OK;
}

/* With its part and images: all names in it are looked up. */
static enum sim_status check_case(struct checker *c, const char *file,
                                  struct sim_error *err)
{
  struct firstfetch_search search =
      folders_search(c->given->arena, &c->given->options[CHECK_MODELS], file);
  const struct case_script *script;
  const struct part *part;
  enum sim_status status = firstfetch_case(c->loaded, file, &script, err);
  if (status == SIM_OK) {
    status =
        firstfetch_part(c->loaded, &search, script->part, file, &part, err);
  }
  if (status == SIM_OK) status = firstfetch_check(script, part, err);
  if (status != SIM_OK) return status;
  put_case(c, file, script, part);
  return review_board(c, script, part, err);
}

/* --- an image ------------------------------------------------------------ */

static const char *format_word(enum image_format format)
{
  static const char *const words[] = {[IMAGE_ELF] = "ELF",
                                      [IMAGE_HEX] = "Intel HEX",
                                      [IMAGE_SREC] = "S-record",
                                      [IMAGE_BIN] = "raw binary"};
  return words[format];
}

static void put_segments(struct page *page, const struct image *image)
{
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    page_item(page, 2, 4, "");
    put_count(page, s->size, "byte", "bytes");
    page_say(page, ", ");
    page_address(page, s->at);
    page_say(page, " to ");
    page_address(page, s->at + (s->size - 1));
    page_end(page);
  }
}

static enum sim_status check_image(struct checker *c, const char *file,
                                   struct sim_error *err)
{
  const struct image *image;
  enum sim_status status =
      image_read(c->given->arena, file, c->has_base, c->base, &image, err);
  if (status != SIM_OK) return status;
  put_sound(c, file, "image");
  page_item(&c->page, 2, 4, "");
  page_say(&c->page, format_word(image->format));
  page_say(&c->page, " image, ");
  put_count(&c->page, image->symbol_count, "symbol", "symbols");
  page_say(&c->page, ", ");
  put_count(&c->page, image->segment_count, "segment:", "segments:");
  page_end(&c->page);
  put_segments(&c->page, image);
  return SIM_OK;
}

/* --- any file ------------------------------------------------------------ */

static bool ends_with(const char *text, const char *end)
{
  size_t length = strlen(text), end_length = strlen(end);
  return length >= end_length && strcmp(text + length - end_length, end) == 0;
}

/* Parts and cases are told by the keys that each must have. */
static enum sim_status check_json(struct checker *c, const char *file,
                                  struct sim_error *err)
{
  const struct json *root;
  enum sim_status status = json_read(c->given->arena, file, &root, err);
  if (status != SIM_OK) return status;
  bool object = root->type == JSON_OBJECT;
  if (object && json_get(root, "steps")) return check_case(c, file, err);
  if (object && json_get(root, "core")) return check_part(c, file, err);
  return json_fail(root, SIM_SYNTAX, err,
                   "is neither a part nor a case; expected an object with "
                   "\"core\" or \"steps\"");
}

static enum sim_status check_file(struct checker *c, const char *file,
                                  struct sim_error *err)
{
  if (ends_with(file, ".json") || ends_with(file, ".jsonc")) {
    return check_json(c, file, err);
  }
  return check_image(c, file, err);
}

static enum sim_status read_options(struct checker *c, struct sim_error *err)
{
  const char *base = options_value(c->given, CHECK_BASE);
  c->has_base = base;
  if (c->given->word_count == 0) {
    const struct sim_place where = {.path = "check"};
    return sim_fail(err, SIM_USAGE, &where,
                    "has nothing to read; expected files");
  }
  return base ? words_address("--base", base, &c->base, err) : SIM_OK;
}

static void check_all(struct checker *c, struct json_out *files,
                      int *exit_code)
{
  *exit_code = EXIT_HELD;
  for (size_t i = 0; i < c->given->word_count; i++) {
    const char *file = c->given->words[i];
    struct sim_error unsound;
    char text[1200];
    c->now = json_add_object(files, NULL);
    json_add_text(c->now, "file", file_name(file));
    if (check_file(c, file, &unsound) == SIM_OK) {
      json_add_boolean(c->now, "sound", true);
      json_add_null(c->now, "error");
      continue;
    }
    *exit_code = command_complain(&unsound);
    json_add_boolean(c->now, "sound", false);
    json_add_text(c->now, "error",
                  sim_error_text(&unsound, text, sizeof text));
  }
}

static enum sim_status write_json(struct output *to, struct json_out *root,
                                  struct sim_error *err)
{
  if (to->stream) json_write(root, to->stream);
  return output_commit(to, err);
}

/* The text goes nowhere where the JSON takes its place. */
static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  struct checker c = {.given = given};
  struct output to;
  char *unseen = NULL;
  size_t unseen_size;
  const char *json = options_value(given, CHECK_JSON);
  enum sim_status status = read_options(&c, err);
  if (status == SIM_OK) status = output_open(&to, json, given->arena, err);
  if (status != SIM_OK) return status;
  bool quiet = json && output_is_standard(json);
  FILE *text = quiet ? open_memstream(&unseen, &unseen_size) : stdout;
  assert(text);
  struct json_out *root = json_out_object();
  json_add_integer(root, "firstfetch", 1);
  c.loaded = firstfetch_open();
  page_open(&c.page, text);
  check_all(&c, json_add_list(root, "files"), exit_code);
  status = write_json(&to, root, err);
  json_out_free(root);
  firstfetch_close(c.loaded);
  if (quiet) fclose(text);
  free(unseen);
  return status;
}

const struct command cmd_check = {
    .name = "check",
    .usage = {"FILE..."},
    .sentence = "Are these parts, cases and images sound; what in them is "
                "assumed?",
    .more = "A case is checked together with its part and its images, and its "
            "board is reviewed: each pin that the boot ROM drives, the net "
            "that it meets, the worst current, and the resistance in series "
            "that would make it harmless. Exit status: 0 all are sound; 2 one "
            "is not.",
    .options = options,
    .option_count = CHECK_OPTION_COUNT_,
    .run = run,
};
