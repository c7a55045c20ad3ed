#include <expat.h>
#include <inttypes.h>
#include <string.h>

#include "base/file.h"
#include "describe/svd_tree.h"

/* Inside one another; CMSIS-SVD needs about ten, but clusters may nest. */
#define MAX_DEPTH    64
#define MAX_ELEMENTS (1u << 20)

struct reading {
  XML_Parser parser;
  struct arena *arena;
  const char *file;
  struct sim_error *err;
  enum sim_status status;
  struct svd_element *root, *open; /* open: what is being read */
  char text[SVD_MAX_TEXT + 1];
  size_t length;
  uint32_t depth, skipped; /* elements inside one another; of these, how many
                              inside one that is skipped */
  uint32_t count;
};

static struct sim_place here(const struct reading *r)
{
  return (struct sim_place){
      .file = r->file,
      .line = (uint32_t)XML_GetCurrentLineNumber(r->parser),
      .column = (uint32_t)XML_GetCurrentColumnNumber(r->parser) + 1};
}

/* The first mistake counts; no handler is called after it. */
static void refuse(struct reading *r, enum sim_status status, const char *what)
{
  struct sim_place where = here(r);
  if (r->status != SIM_OK) return;
  r->status = sim_fail(r->err, status, &where, "%s", what);
  XML_StopParser(r->parser, XML_FALSE);
}

/* The name as svd_kept has it, or NULL. */
static const char *kept(const char *name)
{
  for (size_t i = 0; svd_kept[i]; i++) {
    if (strcmp(svd_kept[i], name) == 0) return svd_kept[i];
  }
  return NULL;
}

/* --- handlers ------------------------------------------------------------ */

static void add_element(struct reading *r, const char *name,
                        const char **attributes)
{
  struct svd_element *e = arena_get(r->arena, sizeof *e);
  e->name = name;
  e->text = "";
  e->line = here(r).line;
  e->parent = r->open;
  for (; attributes[0]; attributes += 2) {
    if (strcmp(attributes[0], "derivedFrom") != 0) continue;
    if (strlen(attributes[1]) > SVD_MAX_TEXT)
      refuse(r, SIM_LIMIT, "has a very long derivedFrom; expected a name");
    e->derived = arena_text(r->arena, attributes[1]);
  }
  if (!r->open) {
    r->root = e;
  } else if (r->open->last) {
    r->open->last->next = e;
  } else {
    r->open->child = e;
  }
  if (r->open) r->open->last = e;
  r->open = e;
}

static void XMLCALL on_start(void *user, const char *name,
                             const char **attributes)
{
  struct reading *r = user;
  if (r->status != SIM_OK) return;
  if (++r->depth > MAX_DEPTH) {
    refuse(r, SIM_LIMIT, "nests too deep; expected a CMSIS-SVD file");
  } else if (++r->count > MAX_ELEMENTS) {
    refuse(r, SIM_LIMIT, "has too many elements; expected fewer");
  } else if (r->depth == 1 && strcmp(name, "device") != 0) {
    refuse(r, SIM_SYNTAX,
           "does not begin with a device; expected a CMSIS-SVD file");
  } else if (r->skipped > 0 || !kept(name)) {
    r->skipped++;
  } else {
    add_element(r, kept(name), attributes);
    r->length = 0;
  }
}

/* Space around a text is none of it. */
static const char *trimmed(struct reading *r)
{
  static const char space[] = " \t\r\n";
  r->text[r->length] = '\0';
  const char *from = r->text + strspn(r->text, space);
  size_t length = strlen(from);
  while (length > 0 && strchr(space, from[length - 1])) {
    length--;
  }
  return arena_text_n(r->arena, from, length);
}

static void XMLCALL on_end(void *user, const char *name)
{
  struct reading *r = user;
  (void)name;
  if (r->status != SIM_OK) return;
  r->depth--;
  if (r->skipped > 0) {
    r->skipped--;
    return;
  }
  if (!r->open->child) r->open->text = trimmed(r);
  r->open = r->open->parent;
  r->length = 0;
}

static void XMLCALL on_text(void *user, const char *text, int length)
{
  struct reading *r = user;
  if (r->status != SIM_OK || r->skipped > 0 || !r->open) return;
  if (r->open->child) return; /* between elements */
  for (int i = 0; i < length; i++) {
    bool space = strchr(" \t\r\n", text[i]) != NULL;
    if (r->length == 0 && space) continue;
    if (r->length == SVD_MAX_TEXT && space) continue;
    if (r->length == SVD_MAX_TEXT) {
      refuse(r, SIM_LIMIT, "has a very long text; expected a name or number");
      return;
    }
    r->text[r->length++] = text[i];
  }
}

/* Entities are declared there, and could be made to grow without end. */
static void XMLCALL on_doctype(void *user, const char *name,
                               const char *system_id, const char *public_id,
                               int has_internal_subset)
{
  (void)name, (void)system_id, (void)public_id, (void)has_internal_subset;
  refuse(user, SIM_SYNTAX,
         "has a document type declaration; expected none in a CMSIS-SVD file");
}

/* --- the file ------------------------------------------------------------ */

static enum sim_status parse(struct reading *r, const uint8_t *bytes,
                             size_t length)
{
  XML_SetUserData(r->parser, r);
  XML_SetElementHandler(r->parser, on_start, on_end);
  XML_SetCharacterDataHandler(r->parser, on_text);
  XML_SetStartDoctypeDeclHandler(r->parser, on_doctype);
  enum XML_Status parsed =
      XML_Parse(r->parser, (const char *)bytes, (int)length, XML_TRUE);
  if (r->status != SIM_OK || parsed == XML_STATUS_OK) return r->status;
  struct sim_place where = here(r);
  return sim_fail(r->err, SIM_SYNTAX, &where,
                  "is no XML (%s); expected a CMSIS-SVD file",
                  XML_ErrorString(XML_GetErrorCode(r->parser)));
}

enum sim_status svd_read(struct arena *arena, const char *file,
                         const struct svd **svd, struct sim_error *err)
{
  uint8_t *bytes;
  size_t length;
  enum sim_status status =
      file_read(arena, file, SVD_MAX_BYTES, &bytes, &length, err);
  if (status != SIM_OK) return status;
  struct reading r = {.parser = XML_ParserCreate(NULL),
                      .arena = arena,
                      .file = file,
                      .err = err};
  if (!r.parser) arena_no_memory();
  status = parse(&r, bytes, length);
  XML_ParserFree(r.parser);
  if (status != SIM_OK) return status;
  struct svd *read = arena_get(arena, sizeof *read);
  read->file = arena_text(arena, file);
  status = svd_collect(arena, r.root, read, err);
  if (status == SIM_OK) *svd = read;
  return status;
}
