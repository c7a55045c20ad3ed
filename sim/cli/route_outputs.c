#include "cli/route_outputs.h"

#include <ctype.h>
#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/output.h"
#include "cli/route_page.h"
#include "report/route_report.h"

static enum sim_status write_page(const struct route_result *result,
                                  const char *html, struct arena *arena,
                                  struct sim_error *err)
{
  struct output output;
  enum sim_status status = output_open(&output, html, arena, err);
  if (status != SIM_OK || output.stream == NULL) return status;
  status = route_page(output.stream, result, arena, err);
  if (status != SIM_OK) {
    output_abandon(&output);
    return status;
  }
  return output_commit(&output, err);
}

enum sim_status route_outputs_tell(const struct route_result *result,
                                   const char *json, const char *html,
                                   struct arena *arena, struct sim_error *err)
{
  struct output output;
  enum sim_status status = output_open(&output, json, arena, err);
  if (status != SIM_OK) return status;
  if (!(json != NULL && output_is_standard(json)) &&
      !(html != NULL && output_is_standard(html)))
    route_text(stdout, result);
  if (output.stream != NULL) route_json(output.stream, result);
  status = output_commit(&output, err);
  return status == SIM_OK ? write_page(result, html, arena, err) : status;
}

/* --- paths as seen from the folder --------------------------------------- */

struct writing {
  const struct route_result *result;
  const char *folder;
  const char *real; /* the folder, without links */
  struct arena *arena;
  struct sim_error *err;
};

/* Both absolute, without links. */
static const char *seen_from(struct arena *arena, const char *folder,
                             const char *file)
{
  size_t same = 0, ups = 0, at = 0;
  for (size_t i = 0; folder[i] == file[i] && folder[i] != '\0'; i++)
    if (file[i] == '/') same = i + 1;
  size_t length = strlen(folder);
  if (strncmp(folder, file, length) == 0 && file[length] == '/')
    same = length + 1;
  else
    for (size_t i = same; i < length; i++)
      ups += i == same || folder[i] == '/';
  size_t size = 3 * ups + strlen(file + same) + 1;
  char *text = arena_get(arena, size);
  for (size_t i = 0; i < ups; i++, at += 3)
    memcpy(text + at, "../", 3);
  snprintf(text + at, size - at, "%s", file + same);
  return text;
}

/* A file that can't be found is called what it was called. */
static const char *name_from_folder(void *context, const char *path)
{
  const struct writing *w = context;
  char *real = realpath(path, NULL);
  if (real == NULL) return path;
  const char *seen = seen_from(w->arena, w->real, real);
  free(real);
  return seen;
}

/* --- files --------------------------------------------------------------- */

/* "FOLDER/LEAD-a-state.SUFFIX": letters and digits stay. */
static const char *file_name_for(struct writing *w, const char *lead,
                                 const char *state, const char *suffix)
{
  size_t size = strlen(w->folder) + strlen(lead) + strlen(suffix) + 8 +
                (state != NULL ? strlen(state) : 0);
  char *name = arena_get(w->arena, size);
  snprintf(name, size, "%s/%s%s%s%s", w->folder, lead,
           state != NULL ? "-" : "", state != NULL ? state : "", suffix);
  for (char *c = name + strlen(w->folder) + 1; *c != '\0'; c++)
    if (!isalnum((unsigned char)*c) && *c != '.') *c = '-';
  return name;
}

static enum sim_status write_case(struct writing *w,
                                  const struct case_script *script,
                                  const char *name)
{
  struct output output;
  enum sim_status status = output_open(&output, name, w->arena, w->err);
  if (status != SIM_OK) return status;
  route_case_file(output.stream, script, name_from_folder, w);
  return output_commit(&output, w->err);
}

static enum sim_status write_sheet(struct writing *w,
                                   const struct route_procedure *p,
                                   const char *name)
{
  struct output output;
  enum sim_status status = output_open(&output, name, w->arena, w->err);
  if (status != SIM_OK) return status;
  route_sheet(output.stream, w->result, p);
  return output_commit(&output, w->err);
}

static enum sim_status write_procedure(struct writing *w,
                                       const struct route_procedure *p,
                                       const char *lead)
{
  enum sim_status status =
      write_sheet(w, p, file_name_for(w, lead, NULL, ".md"));
  for (uint32_t i = 0; i < p->time_count && status == SIM_OK; i++)
    status = write_case(w, p->scripts[i],
                        file_name_for(w, lead, p->times[i].state, ".json"));
  return status;
}

static enum sim_status write_all(struct writing *w)
{
  enum sim_status status = SIM_OK;
  for (uint32_t i = 0; i < w->result->procedure_count; i++) {
    char lead[32];
    snprintf(lead, sizeof(lead), "procedure-%" PRIu32, i + 1);
    if (status == SIM_OK)
      status = write_procedure(w, &w->result->procedures[i], lead);
  }
  for (uint32_t i = 0; i < w->result->alone_count; i++)
    if (status == SIM_OK && w->result->alone[i].found)
      status = write_procedure(w, &w->result->alone[i].procedure, "alone");
  return status;
}

static enum sim_status make_folder(const char *folder, struct sim_error *err)
{
  const struct sim_place place = {.file = folder};
  if (mkdir(folder, 0777) == 0 || errno == EEXIST) return SIM_OK;
  return sim_fail(err, SIM_FILE, &place, "can't be made a folder");
}

enum sim_status route_outputs_write(const struct route_result *result,
                                    const char *folder, struct arena *arena,
                                    struct sim_error *err)
{
  const struct sim_place place = {.file = folder};
  enum sim_status status = make_folder(folder, err);
  if (status != SIM_OK) return status;
  char *real = realpath(folder, NULL);
  if (real == NULL) return sim_fail(err, SIM_FILE, &place, "is no folder");
  struct writing w = {result, folder, real, arena, err};
  status = write_all(&w);
  free(real);
  return status;
}
