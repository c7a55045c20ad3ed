/* The tree is the architecture: every #include of sim/ goes downward, the
 * blocks of sim/chip do not know each other, and each library has one owner.
 * The rule is tried on small files first, then read over the tree. */
#include "rows.h"
#include "source_rules.h"

static const struct include_row {
  const char *name;
  const char *path;
  const char *text;
  const char *complaint; /* "" for none */
} include_rows[] = {
    {"a folder may include itself", "sim/run/a.c", "#include \"run/b.h\"\n",
     ""},
    {"a folder may include one below", "sim/run/a.c",
     "#include \"base/b.h\"\n", ""},
    {"a folder may not include one above", "sim/core/a.c",
     "\n#include \"chip/b.h\"\n",
     "sim/core/a.c:2: \"chip/b.h\": chip/ is above core/\n"},
    {"the lowest may not include the second", "sim/base/a.h",
     "#include \"describe/b.def\"\n",
     "sim/base/a.h:1: \"describe/b.def\": describe/ is above base/\n"},
    {"only cli knows cli", "sim/api/a.c", "#include \"cli/b.h\"\n",
     "sim/api/a.c:1: \"cli/b.h\": cli/ is above api/\n"},
    {"an include of the neighbour names its folder", "sim/run/a.c",
     "#include \"b.h\"\n", "sim/run/a.c:1: \"b.h\": expected FOLDER/NAME\n"},
    {"an include from outside sim/ is none of ours", "sim/run/a.c",
     "#include \"tests/rows.h\"\n",
     "sim/run/a.c:1: \"tests/rows.h\": expected FOLDER/NAME\n"},
    {"a block of chip may include its own header", "sim/chip/latch.c",
     "#include \"chip/latch.h\"\n", ""},
    {"a block of chip may not include another", "sim/chip/latch.c",
     "#include \"chip/flash.h\"\n",
     "sim/chip/latch.c:1: \"chip/flash.h\": "
     "a block of chip/ knows only itself\n"},
    {"a block's header may not either", "sim/chip/latch.h",
     "#include \"chip/latches.h\"\n",
     "sim/chip/latch.h:1: \"chip/latches.h\": "
     "a block of chip/ knows only itself\n"},
    {"a block of chip does not know the chip", "sim/chip/pins.c",
     "#include \"chip/chip.h\"\n",
     "sim/chip/pins.c:1: \"chip/chip.h\": "
     "a block of chip/ knows only itself\n"},
    {"the wiring of chip may include blocks", "sim/chip/chip.h",
     "#include \"chip/latch.h\"\n", ""},
    {"the wiring of chip is more than one file", "sim/chip/roles.c",
     "#include \"chip/chip.h\"\n#include \"chip/latch.h\"\n", ""},
    {"a block may be several files", "sim/chip/flash_words.c",
     "#include \"chip/flash.h\"\n", ""},
    {"a name that begins like the wiring is a block", "sim/chip/chips.c",
     "#include \"chip/latch.h\"\n",
     "sim/chip/chips.c:1: \"chip/latch.h\": "
     "a block of chip/ knows only itself\n"},
    {"the engine has one owner", "sim/core/cpu.c",
     "#include <unicorn/unicorn.h>\n",
     "sim/core/cpu.c:1: <unicorn/unicorn.h>: the engine has one owner, "
     "sim/core/unicorn*\n"},
    {"the engine's owner may include it", "sim/core/unicorn.c",
     "#include <unicorn/unicorn.h>\n", ""},
    {"the JSON library has one owner", "sim/describe/json.c",
     "#  include <cjson/cJSON.h>\n",
     "sim/describe/json.c:1: <cjson/cJSON.h>: the JSON library has one "
     "owner, sim/base/json*\n"},
    {"the ELF library has one owner", "sim/image/hex.c", "#include <gelf.h>\n",
     "sim/image/hex.c:1: <gelf.h>: the ELF library has one owner, "
     "sim/image/elf*\n"},
    {"the XML library has one owner", "sim/describe/svd.c",
     "#include <expat.h>\n",
     "sim/describe/svd.c:1: <expat.h>: the XML library has one owner, "
     "sim/describe/svd_read*\n"},
    {"the DWARF library has one owner", "sim/report/text.c",
     "#include <elfutils/libdw.h>\n",
     "sim/report/text.c:1: <elfutils/libdw.h>: the DWARF library has one "
     "owner, sim/image/elf*\n"},
    {"the disassembler has one owner", "sim/core/decode.c",
     "#include <capstone/capstone.h>\n",
     "sim/core/decode.c:1: <capstone/capstone.h>: the disassembler has one "
     "owner, sim/report/disassembly*\n"},
    {"the host's clock stays outside", "sim/run/a.c", "#include <time.h>\n",
     "sim/run/a.c:1: <time.h>: the host's clock stays outside, sim/cli/*\n"},
    {"the host's clock may be known to cli", "sim/cli/a.c",
     "#include <time.h>\n", ""},
    {"an include in a comment is none", "sim/base/a.c",
     "/*\n#include \"chip/b.h\"\n*/\n", ""},
    {"an include behind a comment is one", "sim/base/a.c",
     "/* */ # include /* */ \"chip/b.h\"\n",
     "sim/base/a.c:1: \"chip/b.h\": chip/ is above base/\n"},
    {"the name of an include is written out", "sim/base/a.c",
     "#include NAME\n",
     "sim/base/a.c:1: #include: expected \"...\" or <...>\n"},
    {"a file belongs to a folder with a rank", "sim/extra/a.c",
     "#include \"base/b.h\"\n",
     "sim/extra/a.c: is in no folder of sim/ that has a rank\n"},
    {"tests may include anything", "tests/a.c", "#include \"cli/b.h\"\n", ""},
};

static void include_row(void **state)
{
  const struct include_row *row = *state;
  struct complaints c;
  complaints_open(&c);
  rule_includes(row->path, row->text, &c);
  assert_string_equal(complaints_text(&c), row->complaint);
  complaints_close(&c);
}

static void the_tree_includes_downward(void **state)
{
  (void)state;
  struct complaints c;
  complaints_open(&c);
  assert_true(sources_visit("sim", rule_includes, &c) > 0);
  assert_true(complaints_end(&c));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(include_rows) + 1] = {
      cmocka_unit_test(the_tree_includes_downward)};
  ROWS_ADD(tests + 1, include_row, include_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
