#include "cli/run_plan.h"

#include <string.h>

#include "cli/words.h"

static enum sim_status usage(struct sim_error *err, const char *option,
                             const char *what)
{
  const struct sim_place where = {.path = option};
  return sim_fail(err, SIM_USAGE, &where, "%s", what);
}

/* --- parts --------------------------------------------------------------- */

struct names {
  const char *const *names;
  uint32_t count;
};

/* "P,Q": empty names are kept; looking for one tells what is wrong. */
static struct names split(struct arena *arena, const char *list)
{
  uint32_t count = 1;
  for (const char *at = list; *at; at++) {
    if (*at == ',') count++;
  }
  const char **names = arena_array(arena, count, sizeof *names);
  const char *begin = list;
  for (uint32_t i = 0; i < count; i++) {
    size_t length = strcspn(begin, ",");
    names[i] = arena_text_n(arena, begin, length);
    begin += length + 1;
  }
  return (struct names){names, count};
}

static enum sim_status find_names(struct run_plan *plan, struct arena *arena,
                                  const struct firstfetch_search *search,
                                  const char *asked, struct names *names,
                                  struct sim_error *err)
{
  if (strcmp(asked, "all") != 0) {
    *names = split(arena, asked);
  } else {
    firstfetch_part_names(plan->loaded, search, &names->names, &names->count);
    if (names->count == 0) {
      return usage(err, "--part all",
                   "finds no part; expected a folder of parts after --models");
    }
  }
  if (names->count <= FIRSTFETCH_MAX_BESIDE) return SIM_OK;
  const struct sim_place where = {.path = "--part"};
  return sim_fail(err, SIM_LIMIT, &where,
                  "names %u parts; expected at most %u", names->count,
                  (unsigned)FIRSTFETCH_MAX_BESIDE);
}

static enum sim_status load_parts(struct run_plan *plan, struct arena *arena,
                                  const struct firstfetch_search *search,
                                  const struct names *names,
                                  const char *asked_by,
                                  struct planned_case *to,
                                  struct sim_error *err)
{
  to->parts = arena_array(arena, names->count, sizeof *to->parts);
  for (uint32_t i = 0; i < names->count; i++) {
    enum sim_status status = firstfetch_part(
        plan->loaded, search, names->names[i], asked_by, &to->parts[i], err);
    if (status != SIM_OK) return status;
    to->part_count++;
  }
  return SIM_OK;
}

/* --- cases --------------------------------------------------------------- */

static enum sim_status load_case(struct run_plan *plan,
                                 const struct run_request *request,
                                 struct arena *arena, const char *file,
                                 struct sim_error *err)
{
  struct planned_case *to = &plan->cases[plan->case_count++];
  enum sim_status status =
      firstfetch_case(plan->loaded, file, &to->script, err);
  if (status != SIM_OK) return status;
  struct firstfetch_search search =
      folders_search(arena, request->models, file);
  struct names names = {&to->script->part, 1};
  const char *asked_by = request->parts ? NULL : file;
  if (request->parts) {
    status = find_names(plan, arena, &search, request->parts, &names, err);
  }
  if (status != SIM_OK) return status;
  return load_parts(plan, arena, &search, &names, asked_by, to, err);
}

static enum sim_status load_image(struct run_plan *plan,
                                  const struct run_request *request,
                                  struct arena *arena, struct sim_error *err)
{
  addr_t base = 0;
  if (request->base) {
    enum sim_status status =
        words_address("--base", request->base, &base, err);
    if (status != SIM_OK) return status;
  }
  struct firstfetch_search search =
      folders_search(arena, request->models, NULL);
  struct names names;
  enum sim_status status =
      find_names(plan, arena, &search, request->parts, &names, err);
  if (status != SIM_OK) return status;
  struct planned_case *to = &plan->cases[plan->case_count++];
  to->script = firstfetch_image_case(plan->loaded, names.names[0],
                                     request->image, request->base, base);
  return load_parts(plan, arena, &search, &names, NULL, to, err);
}

/* Which options go together. */
static enum sim_status check_request(const struct run_request *request,
                                     struct sim_error *err)
{
  if (request->image && request->case_count > 0) {
    return usage(err, "--image",
                 "stands instead of a case; expected only "
                 "one of the two");
  }
  if (!request->image && request->case_count == 0) {
    return usage(err, "run",
                 "has nothing to play; expected a case, or "
                 "--image and --part");
  }
  if (request->image && !request->parts) {
    return usage(err, "--image",
                 "needs a part to be written into; expected "
                 "--part as well");
  }
  if (request->base && !request->image) {
    return usage(err, "--base",
                 "is for --image; a case says where its images "
                 "go");
  }
  return SIM_OK;
}

enum sim_status run_plan_make(struct run_plan *plan,
                              const struct run_request *request,
                              struct arena *arena, struct sim_error *err)
{
  plan->loaded = firstfetch_open();
  plan->cases =
      arena_array(arena, request->case_count + 1, sizeof *plan->cases);
  plan->case_count = 0;
  plan->svd = NULL;
  enum sim_status status = check_request(request, err);
  if (status == SIM_OK && request->svd)
    status = firstfetch_svd(plan->loaded, request->svd, &plan->svd, err);
  if (status != SIM_OK) return status;
  if (request->image) return load_image(plan, request, arena, err);
  for (size_t i = 0; i < request->case_count; i++) {
    status = load_case(plan, request, arena, request->cases[i], err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

void run_plan_free(struct run_plan *plan)
{
  firstfetch_close(plan->loaded);
}
