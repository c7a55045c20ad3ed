#include <assert.h>
#include <string.h>

#include "base/json.h"
#include "describe/case.h"
#include "describe/case_shape.h"

/* What a line does to a blank board, in the words of a case file, so that
 * defaults are those of any case. The pauses are long enough for a slow boot
 * ROM to drive what it drives, and for a rail that only the part's own
 * leakage discharges to fall below re-arm. */
static const char text[] =
    "{ \"case\": \"First image into a blank part\",\n"
    "  \"part\": \"named by the caller\",\n"
    "  \"images\": { \"image\": \"named by the caller\" },\n"
    "  \"steps\": [\n"
    "    { \"power\": \"on\", \"for\": \"10ms\", \"label\": \"blank\" },\n"
    "    { \"probe\": \"attach\", \"reset\": \"held\" },\n"
    "    { \"write\": \"image\", \"by\": \"probe\" },\n"
    "    { \"probe\": \"detach\", \"label\": \"written\" },\n"
    "    { \"reset\": \"pin\", \"label\": \"pin reset\" },\n"
    "    { \"run\": \"10ms\" },\n"
    "    { \"power\": \"off\", \"for\": \"60s\" },\n"
    "    { \"power\": \"on\", \"for\": \"10ms\", \"label\": \"power cycle\" "
    "}\n"
    "  ] }\n";

const struct case_script *case_builtin(struct arena *arena, const char *part,
                                       const char *image, bool has_base,
                                       addr_t base)
{
  static const char name[] = "built-in script";
  struct sim_error err;
  const struct json *root;
  struct case_script *script = NULL;
  enum sim_status status =
      json_parse(arena, name, text, strlen(text), false, &root, &err);
  if (status == SIM_OK) {
    status = case_from_json(arena, name, root, &script, &err);
  }
  assert(status == SIM_OK);
  script->part = arena_text(arena, part);
  script->images[0].path = arena_text(arena, image);
  script->images[0].has_base = has_base;
  script->images[0].base = base;
  return script;
}
