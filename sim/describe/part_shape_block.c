/* Blocks of registers and their fields. */
#include "describe/part_shape.h"

#include "describe/names.h"

_Static_assert(offsetof(struct part_field, width) ==
                   offsetof(struct part_field, lsb) + sizeof(uint32_t),
               "SHAPE_BITS");

static const struct shape_row field_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct part_field, name),
     .sentence = "What the field is called."},
    {"bits", SHAPE_BITS, SHAPE_REQUIRED, offsetof(struct part_field, lsb),
     .sentence = "Where it stands in the register."},
    {"access", SHAPE_CHOICE, SHAPE_OPTIONAL,
     offsetof(struct part_field, access), .initial = "rw",
     .words = access_words, .sentence = "What software can do with it."},
    {"role", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct part_field, role),
     .min = ROLE_NONE + 1, .words = role_words + 1,
     .sentence = "What it does; without a role it only keeps its bits."},
    {"index", SHAPE_COUNT, SHAPE_OPTIONAL, offsetof(struct part_field, index),
     .max = PART_MAX_PINS - 1, .initial = "0",
     .sentence = "Which one of several: data word, option word, clock "
                 "source, first pin."},
    {"keys", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct part_field, keys),
     .min = 1, .max = PART_MAX_KEYS, .stride = sizeof(uint32_t),
     .counted = offsetof(struct part_field, key_count),
     .of = &(const struct shape_row){.kind = SHAPE_HEX},
     .sentence = "What has to be written, in this order, to unlock."},
};

static const struct shape field_shape = {.what = "a field",
                                         SHAPE_ROWS(field_rows)};

static const struct shape_row register_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED, offsetof(struct part_register, name),
     .sentence = "What the register is called."},
    {"offset", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct part_register, at),
     .multiple = 4, .sentence = "Where it stands in the block."},
    {"reset", SHAPE_HEX, SHAPE_OPTIONAL, offsetof(struct part_register, reset),
     .initial = "0x00000000", .sentence = "What it holds after a reset."},
    {"fields", SHAPE_LIST, SHAPE_REQUIRED,
     offsetof(struct part_register, fields), .min = 1, .max = 32,
     .pointed = true, .stride = sizeof(struct part_field),
     .counted = offsetof(struct part_register, field_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &field_shape},
     .sentence = "What its bits mean."},
};

static const struct shape register_shape = {.what = "a register",
                                            SHAPE_ROWS(register_rows)};

static const struct shape_row block_rows[] = {
    {"name", SHAPE_NAME, SHAPE_REQUIRED,
     offsetof(struct part_block_row, block.name),
     .sentence = "What the block is called."},
    {"at", SHAPE_HEX, SHAPE_REQUIRED,
     offsetof(struct part_block_row, block.at), .multiple = 4,
     .sentence = "Address of its first byte."},
    {"size", SHAPE_BYTES, SHAPE_REQUIRED,
     offsetof(struct part_block_row, block.size), .min = 4, .max = 16 * MIB,
     .multiple = 4, .sentence = "Bytes of address space that it takes."},
    {"registers", SHAPE_LIST, SHAPE_REQUIRED,
     offsetof(struct part_block_row, registers), .min = 1,
     .max = PART_MAX_REGISTER, .pointed = true,
     .stride = sizeof(struct part_register),
     .counted = offsetof(struct part_block_row, register_count),
     .of = &(const struct shape_row){.kind = SHAPE_OBJECT,
                                     .shape = &register_shape},
     .sentence = "Its registers of 32 bits."},
};

const struct shape part_block_shape = {.what = "a block of registers",
                                       SHAPE_ROWS(block_rows)};
