#include "report/disassembly.h"

#include <capstone/capstone.h>
#include <inttypes.h>
#include <stdio.h>

#include "base/arena.h"

static uint32_t half_at(const struct code_bytes *code, uint32_t i)
{
  return (uint32_t)code->bytes[i] | (uint32_t)code->bytes[i + 1] << 8;
}

/* Bytes of the instruction that begins with this halfword: ARM DDI 0419E
 * A5.1. */
static uint32_t size_of(uint32_t half)
{
  return half >> 11 >= 0x1d ? 4 : 2;
}

/* True if instructions read from `i` on end at `target`. */
static bool leads_to(const struct code_bytes *code, uint32_t i,
                     uint32_t target)
{
  while (i < target) {
    i += size_of(half_at(code, i));
  }
  return i == target;
}

/* Where the instruction before `target` begins; `target` if none is found. It
 * has 2 or 4 bytes: each earlier halfword is taken for the beginning of the
 * code, and those that lead to `target` say what they pass last. */
static uint32_t before(const struct code_bytes *code, uint32_t target)
{
  unsigned shorter = 0, longer = 0;
  for (uint32_t i = 0; i < target; i += 2) {
    if (!leads_to(code, i, target)) continue;
    if (i + 2 == target || leads_to(code, i, target - 2)) {
      shorter++;
    } else {
      longer++;
    }
  }
  if (shorter == 0 && longer == 0) return target;
  return longer > shorter ? target - 4 : target - 2;
}

static csh open_capstone(void)
{
  csh handle;
  cs_err error = cs_open(CS_ARCH_ARM, CS_MODE_THUMB | CS_MODE_MCLASS, &handle);
  if (error != CS_ERR_OK) arena_no_memory(); /* the modes are right */
  return handle;
}

/* The instruction at byte `i`. Returns its size, 0 if no whole one is there.
 */
static uint32_t decode(csh handle, const struct code_bytes *code, uint32_t i,
                       struct instruction *to)
{
  if (i >= code->count) return 0;
  uint32_t size = size_of(half_at(code, i));
  if (size > code->count - i) return 0;
  to->at = code->from + i;
  to->here = to->at == code->at;
  snprintf(to->bytes, sizeof to->bytes, "%04" PRIx32, half_at(code, i));
  if (size == 4) {
    snprintf(to->bytes + 4, sizeof to->bytes - 4, " %04" PRIx32,
             half_at(code, i + 2));
  }
  cs_insn *found;
  size_t count = cs_disasm(handle, code->bytes + i, size, to->at, 1, &found);
  if (count == 0) {
    snprintf(to->text, sizeof to->text, "no instruction");
    return size;
  }
  snprintf(to->text, sizeof to->text, "%s%s%s", found->mnemonic,
           found->op_str[0] ? " " : "", found->op_str);
  cs_free(found, count);
  return size;
}

static uint32_t decode_from(const struct code_bytes *code, uint32_t i,
                            struct instruction *list, uint32_t most)
{
  csh handle = open_capstone();
  uint32_t count = 0, size;
  while (count < most && (size = decode(handle, code, i, &list[count])) > 0) {
    count++;
    i += size;
  }
  cs_close(&handle);
  return count;
}

uint32_t disassembly_ahead(const struct code_bytes *code,
                           struct instruction list[DISASSEMBLY_AHEAD])
{
  return decode_from(code, code->at - code->from, list, DISASSEMBLY_AHEAD);
}

uint32_t disassembly_around(const struct code_bytes *code,
                            struct instruction list[DISASSEMBLY_AROUND])
{
  uint32_t target = code->at - code->from;
  if (target >= code->count) return 0;
  uint32_t first = before(code, target);
  return decode_from(code, first, list, first == target ? 2 : 3);
}
