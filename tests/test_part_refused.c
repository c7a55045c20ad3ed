/* What a part file may not say, and in which words it is refused: the sample
 * with one thing made wrong. */
#include "sample_edit.h"

#include "describe/part_shape.h"

static const struct row {
  const char *name;
  struct sample_edit edits[SAMPLE_EDITS];
  const char *error;
} rows[] = {
    {"an unknown key gets the one it is close to",
     {{"\"multiplier\"", "\"multiplyer\""}},
     "part.json:6:35: core.multiplyer: is no key of a core; expected "
     "\"multiplier\""},
    {"an unknown key gets the list",
     {{"\"fetch\"", "\"width\""}},
     "part.json:6:99: core.width: is no key of a core; expected one of "
     "\"kind\", \"multiplier\", \"interrupts\", \"priority_bits\", "
     "\"bit_band\", \"vector_base\", \"fetch\", \"prefetch\", "
     "\"io_port\", \"semihosting\""},
    {"a key of another object is unknown here",
     {{"\"interrupts\": 24", "\"interrupts\": 24, \"size\": \"4B\""}},
     "part.json:6:78: core.size: is no key of a core; expected one of "
     "\"kind\", \"multiplier\", \"interrupts\", \"priority_bits\", "
     "\"bit_band\", \"vector_base\", \"fetch\", \"prefetch\", "
     "\"io_port\", \"semihosting\""},
    {"a missing key is told with what it should be",
     {{"\"at\": \"0x20000000\", ", ""}},
     "part.json:16:5: memory[2]: has no \"at\"; expected a number such as "
     "\"0x1F\""},
    {"a source is no key where nothing has one",
     {{"\"serial\": {", "\"serial\": { \"source\": \"assumed\","}},
     "part.json:52:17: pins.serial.source: is no key of the serial port's "
     "pins; expected one of \"transmit\", \"receive\", \"baud\""},
    {"a note is a text",
     {{"\"note\": \"no lower bound\"", "\"note\": []"}},
     "part.json:10:99: clock.sources[1].start_up.note: is a list; expected a "
     "text"},
    {"a bare number is no quantity",
     {{"\"33ms\"", "33"}},
     "part.json:18:68: flash.erase_all: is 33; expected a time such as "
     "\"20us\" from 1 ns to 100 s"},
    {"a quantity has the unit of its key",
     {{"\"6uA\"", "\"6us\""}},
     "part.json:24:60: power.load.off: is \"6us\"; expected a current such as "
     "\"3mA\" from 0 A to 10 A"},
    {"a quantity has bounds",
     {{"\"0.90V\"", "\"90V\""}},
     "part.json:21:17: power.ram_keep: is \"90V\"; expected a voltage such as "
     "\"3.3V\" from 0 V to 10 V"},
    {"a tolerance is in order",
     {{"\"typ\": \"8MHz\"", "\"typ\": \"10MHz\""}},
     "part.json:9:38: clock.sources[0].frequency: is out of order; expected "
     "\"min\" no larger than \"typ\", and \"typ\" no larger than \"max\""},
    {"a tolerance has a typical value",
     {{"\"typ\": \"8MHz\", ", ""}},
     "part.json:9:38: clock.sources[0].frequency: has no \"typ\"; expected a "
     "frequency such as \"8MHz\" from 1 kHz to 1 GHz"},
    {"a source is not misspelt",
     {{"\"source\": \"assumed\"", "\"source\": \"Assumed\""}},
     "part.json:4:13: source: is \"Assumed\"; expected \"assumed\", \"common "
     "practice\" or the name of a published document"},
    {"a source is a text",
     {{"\"source\": \"common practice\"", "\"source\": 7"}},
     "part.json:9:95: clock.sources[0].frequency.source: is 7; expected "
     "\"assumed\", \"common practice\" or the name of a published document"},
    {"a count is whole",
     {{"\"interrupts\": 24", "\"interrupts\": 2.5"}},
     "part.json:6:74: core.interrupts: is 2.5; expected an integer from 0 to "
     "240"},
    {"a count has bounds",
     {{"\"interrupts\": 24", "\"interrupts\": 241"}},
     "part.json:6:74: core.interrupts: is 241; expected an integer from 0 to "
     "240"},
    {"a v6-M core has at most 32 interrupts",
     {{"\"interrupts\": 24", "\"interrupts\": 33"}},
     "part.json:6:74: core.interrupts: is 33; expected at most 32 on this "
     "core"},
    {"a flag is true or false",
     {{"\"in_reset\": true", "\"in_reset\": \"yes\""}},
     "part.json:26:135: boot.in_reset: is \"yes\"; expected true or false"},
    {"a word of a list",
     {{"\"cortex-m0+\"", "\"cortex-m7\""}},
     "part.json:6:21: core.kind: is \"cortex-m7\"; expected one of "
     "\"cortex-m0\", \"cortex-m0+\", \"cortex-m3\", \"cortex-m4\", "
     "\"cortex-m4f\""},
    {"a word close to one of a long list",
     {{"\"role\": \"latch.key\"", "\"role\": \"latch_key\""}},
     "part.json:61:51: blocks[1].registers[0].fields[0].role: is "
     "\"latch_key\"; expected \"latch.key\""},
    {"a word close to none of a long list",
     {{"\"role\": \"latch.key\"", "\"role\": \"elephant\""}},
     "part.json:61:51: blocks[1].registers[0].fields[0].role: is "
     "\"elephant\"; expected one of \"flash.unlock\", \"flash.lock\", "
     "\"flash.target\", \"flash.data\", \"flash.program\", "
     "\"flash.erase_page\", \"flash.erase_all\", \"flash.busy\", "
     "\"flash.refused\", \"options.cell\", \"options.reload\", \"latch.key\", "
     "\"latch\", \"cause.power_on\", \"cause.brown_out\", "
     "\"cause.option_reload\" ... (48 in all)"},
    {"a name has no space",
     {{"\"name\": \"fast\"", "\"name\": \"very fast\""}},
     "part.json:10:17: clock.sources[1].name: is \"very fast\"; expected a "
     "name of letters, digits, '_', '-' and '+'"},
    {"an address is hexadecimal",
     {{"\"at\": \"0x20000000\"", "\"at\": \"20000000\""}},
     "part.json:16:43: memory[2].at: is \"20000000\"; expected a number such "
     "as \"0x1F\""},
    {"an address has 32 bits",
     {{"\"at\": \"0x20000000\"", "\"at\": \"0x120000000\""}},
     "part.json:16:43: memory[2].at: is \"0x120000000\"; expected a number "
     "such as \"0x1F\" from 0x00000000 to 0xffffffff"},
    {"a region begins on a kilobyte",
     {{"\"at\": \"0x20000000\"", "\"at\": \"0x20000010\""}},
     "part.json:16:43: memory[2].at: is \"0x20000010\"; expected a multiple "
     "of 0x400"},
    {"a region is whole kilobytes",
     {{"\"size\": \"6KiB\"", "\"size\": \"6000B\""}},
     "part.json:16:65: memory[2].size: is \"6000B\"; expected a multiple of 1 "
     "KiB"},
    {"a register stands on a word",
     {{"\"offset\": \"0x04\"", "\"offset\": \"0x06\""}},
     "part.json:57:34: blocks[0].registers[0].offset: is \"0x06\"; expected a "
     "multiple of 0x4"},
    {"bits are written with the higher one first",
     {{"\"bits\": \"7:4\"", "\"bits\": \"4:7\""}},
     "part.json:36:35: options.words[0].fields[1].bits: is \"4:7\"; expected "
     "bits from 31 to 0, the higher one first"},
    {"bits are numbers",
     {{"\"bits\": \"7:4\"", "\"bits\": \"7-4\""}},
     "part.json:36:35: options.words[0].fields[1].bits: is \"7-4\"; expected "
     "bits such as \"7:4\" or \"3\""},
    {"a list has elements",
     {{"\"names\": [ \"P0\", \"P1\", \"P2\", \"P3\", \"P4\" ]",
       "\"names\": []"}},
     "part.json:48:14: pins.names: has length 0; expected at least 1"},
    {"a list has an end",
     {{"\"keys\": [ \"0xB16C\", \"0x0D15\" ]",
       "\"keys\": [ \"0x1\", \"0x2\", \"0x3\", \"0x4\", \"0x5\" ]"}},
     "part.json:61:88: blocks[1].registers[0].fields[0].keys: has length 5; "
     "expected at most 4"},
    {"a multiplication takes 1 or 32 cycles",
     {{"\"1 cycle\"", "\"2 cycles\""}},
     "part.json:6:49: core.multiplier: is 2 cycles; expected 1 or 32 (ARM DDI "
     "0484C, 1.4.1)"},
    {"a multiplication takes 1 cycle on v7-M",
     {{"\"cortex-m0+\", \"multiplier\": \"1 cycle\"",
       "\"cortex-m3\", \"multiplier\": \"32 cycles\""}},
     "part.json:6:48: core.multiplier: is 32 cycles; expected 1 (ARM DDI "
     "0439D, Table 3-1)"},
    {"a cortex-m4 has at least three bits of priority",
     {{"\"cortex-m0+\", \"multiplier\": \"1 cycle\"",
       "\"cortex-m4\", \"priority_bits\": 2, \"multiplier\": \"1 cycle\""}},
     "part.json:6:51: core.priority_bits: is 2; expected 3 to 8 on this "
     "core"},
    {"a cortex-m0+ has two bits of priority",
     {{"\"multiplier\": \"1 cycle\"",
       "\"priority_bits\": 3, \"multiplier\": \"1 cycle\""}},
     "part.json:6:52: core.priority_bits: is 3; expected 2 on this core"},
    {"a cortex-m0+ has no bit-band aliases",
     {{"\"multiplier\": \"1 cycle\"",
       "\"bit_band\": true, \"multiplier\": \"1 cycle\""}},
     "part.json:6:47: core.bit_band: is true; expected false, because only a "
     "cortex-m3 or cortex-m4 has bit-band aliases"},
    {"a cortex-m4 has no I/O port",
     {{"\"cortex-m0+\", \"multiplier\": \"1 cycle\"",
       "\"cortex-m4\", \"io_port\": { \"at\": \"0x48000000\", \"size\": "
       "\"1KiB\" }, \"multiplier\": \"1 cycle\""}},
     "part.json:6:45: core.io_port: is there; expected none, because only a "
     "cortex-m0+ has a single-cycle I/O port"},
    {"an I/O port stays within 32 bits",
     {{"\"multiplier\": \"1 cycle\"",
       "\"io_port\": { \"at\": \"0xfffffffc\", \"size\": \"8B\" }, "
       "\"multiplier\": \"1 cycle\""}},
     "part.json:6:76: core.io_port.size: leaves the 32-bit address space"},
    {"a cortex-m0 has no vector base",
     {{"\"cortex-m0+\"", "\"cortex-m0\""}},
     "part.json:6:92: core.vector_base: is true; expected false, because a "
     "cortex-m0 has no vector table offset register"},
    {"clock sources differ in name",
     {{"\"name\": \"fast\"", "\"name\": \"base\""}},
     "part.json:10:17: clock.sources[1].name: is \"base\", as in line 9; "
     "expected another name"},
    {"regions differ in name",
     {{"\"name\": \"ram\"", "\"name\": \"rom\""}},
     "part.json:16:15: memory[2].name: is \"rom\", as in line 15; expected "
     "another name"},
    {"regions do not overlap",
     {{"\"at\": \"0x06000000\"", "\"at\": \"0x0400BC00\""}},
     "part.json:15:43: memory[1].at: overlaps what memory[0].at places at "
     "0x04000000 to 0x0400bfff; expected free addresses"},
    {"a region ends before the system space",
     {{"\"at\": \"0x20000000\"", "\"at\": \"0xDFFFF000\""}},
     "part.json:16:43: memory[2].at: brings the end to 0xe0000800; expected "
     "at most 0xe0000000"},
    {"a block stays off the memory",
     {{"\"at\": \"0x44010000\"", "\"at\": \"0x20001400\""}},
     "part.json:56:29: blocks[0].at: overlaps what memory[2].at places at "
     "0x20000000 to 0x200017ff; expected free addresses"},
    {"a block does not leave 32 bits",
     {{"\"at\": \"0x44010000\"", "\"at\": \"0xFFFFFF00\""}},
     "part.json:56:29: blocks[0].at: brings the end to 0x100000300; expected "
     "at most 0xe0000000"},
    {"what is seen at address 0 needs room",
     {{"\"at\": \"0x04000000\"", "\"at\": \"0x00000400\""}},
     "part.json:14:47: memory[0].at: overlaps what start_rules places at "
     "0x00000000 to 0x0000bfff; expected free addresses"},
    {"a ROM has an image",
     {{", \"image\": \"rom.elf\"", ""}},
     "part.json:15:5: memory[1]: has no \"image\"; expected one for a region "
     "of kind \"rom\""},
    {"a strap needs pins",
     {{"  \"pins\": {\n"
       "    \"names\": [ \"P0\", \"P1\", \"P2\", \"P3\", \"P4\" ],\n"
       "    \"debug\": [ \"P3\" ],\n"
       "    \"drive_resistance\": \"35ohm\",\n"
       "    \"current_limit\": \"20mA\",\n"
       "    \"serial\": { \"transmit\": \"P0\", \"receive\": \"P1\" }\n"
       "  },\n",
       ""}},
     "part.json:39:41: straps[0].pin: is \"P2\"; expected it to be described"},
    {"a RAM has no pages",
     {{"\"size\": \"6KiB\"", "\"size\": \"6KiB\", \"page\": \"1KiB\""}},
     "part.json:16:73: memory[2].page: stands in a region of kind \"ram\"; "
     "expected it only in one of kind \"flash\""},
    {"a part has RAM",
     {{"\"kind\": \"ram\"", "\"kind\": \"rom\", \"image\": \"x\""}},
     "part.json:13:13: memory: has no region of kind \"ram\"; expected at "
     "least one"},
    {"a page is a power of two",
     {{"\"page\": \"1KiB\"", "\"page\": \"3KiB\""}},
     "part.json:14:86: memory[0].page: is 3072 bytes; expected a power of two "
     "that divides the size"},
    {"a unit is not larger than a page",
     {{"\"page\": \"1KiB\", \"unit\": \"8B\"",
       "\"page\": \"64B\", \"unit\": \"128B\""}},
     "part.json:14:101: memory[0].unit: is 128 bytes; expected a power of two "
     "no larger than the page"},
    {"fall above rise in one corner",
     {{"\"max\": \"1.56V\"", "\"max\": \"1.66V\""}},
     "part.json:20:81: power.on.fall: is above \"rise\"; expected it no "
     "higher, in each of min, typ and max"},
    {"re-arm is not above fall",
     {{"\"0.40V\"", "\"1.46V\""}},
     "part.json:22:25: power.rearm.below: is above \"power.on.fall\"; "
     "expected it no higher, in each of min, typ and max"},
    {"the table has brown_out",
     {{"\"cause\": \"brown_out\"", "\"cause\": \"software\""}},
     "part.json:27:13: resets: has no row for \"brown_out\"; expected one, "
     "because it can happen to any part"},
    {"a cause has one row",
     {{"\"cause\": \"brown_out\"", "\"cause\": \"power_on\""}},
     "part.json:29:16: resets[1].cause: is a second row for \"power_on\"; "
     "expected one row a cause"},
    {"nothing volatile outlives a power-on",
     {{"\"alias\": \"select\", \"ram\": \"lose\", \"backup\": \"lose\", "
       "\"debug\": \"lose\"",
       "\"alias\": \"select\", \"ram\": \"lose\", \"backup\": \"lose\", "
       "\"debug\": \"keep\""}},
     "part.json:28:147: resets[0].debug: is \"keep\"; expected \"lose\", "
     "because nothing of this outlives a loss of power"},
    {"a latch is sampled at power-on",
     {{"\"options\": \"load\", \"latch\": \"sample\"",
       "\"options\": \"load\", \"latch\": \"keep\""}},
     "part.json:28:56: resets[0].latch: is \"keep\"; expected \"sample\", "
     "because \"held\" is \"latched\""},
    {"what is checked afresh is kept by no reset",
     {{"\"held\": \"latched\"", "\"held\": \"afresh\""}},
     "part.json:29:57: resets[1].latch: is \"keep\"; expected \"sample\", "
     "because \"held\" is \"afresh\""},
    {"without a check there are no reads",
     {{"\"held\": \"latched\"", "\"held\": \"none\""},
      {"\"options\": \"load\", \"latch\": \"sample\"",
       "\"options\": \"load\", \"latch\": \"keep\""},
      {"    { \"rule\": \"latch-blank\", \"when\": { \"latch\": \"blank\" }, "
       "\"start\": \"rom\" },\n",
       ""}},
     "part.json:40:36: blank_check.reads: stands beside \"held\": \"none\"; "
     "expected no reads where no check is made"},
    {"a check reads something",
     {{", \"reads\": [ { \"at\": \"flash+0\", \"bytes\": 4 }, { \"at\": "
       "\"flash+0x800\", \"bytes\": 8 } ]",
       ""}},
     "part.json:40:18: blank_check: has no \"reads\"; expected at least one, "
     "because a check is made"},
    {"a check reads flash",
     {{"\"at\": \"flash+0x800\"", "\"at\": \"ram+0x800\""}},
     "part.json:40:91: blank_check.reads[1].at: is in \"ram\"; expected a "
     "region of kind \"flash\""},
    {"a check reads a region that is there",
     {{"\"at\": \"flash+0x800\"", "\"at\": \"bank+0x800\""}},
     "part.json:40:91: blank_check.reads[1].at: is \"bank+0x800\"; expected a "
     "flash region and an offset, such as \"flash+0\""},
    {"a check reads words",
     {{"\"at\": \"flash+0x800\"", "\"at\": \"flash+0x802\""}},
     "part.json:40:91: blank_check.reads[1].at: is offset 2050 of \"flash\"; "
     "expected a multiple of 4 below 49152"},
    {"a check reads inside the region",
     {{"\"at\": \"flash+0x800\"", "\"at\": \"flash+49152\""}},
     "part.json:40:91: blank_check.reads[1].at: is offset 49152 of \"flash\"; "
     "expected a multiple of 4 below 49152"},
    {"a check ends inside the region",
     {{"\"at\": \"flash+0x800\"", "\"at\": \"flash+49148\""}},
     "part.json:40:115: blank_check.reads[1].bytes: is 8; expected at most 4, "
     "the rest of \"flash\""},
    {"an option value fits its field",
     {{"\"rom\": 2", "\"rom\": 4"}},
     "part.json:35:87: options.words[0].fields[0].values.rom: is 4; expected "
     "a value of 2 bits"},
    {"option values differ",
     {{"\"rom\": 2", "\"rom\": 1"}},
     "part.json:35:87: options.words[0].fields[0].values.rom: is 1, as is "
     "\"strap\"; expected another value"},
    {"option fields do not overlap",
     {{"\"bits\": \"7:4\"", "\"bits\": \"7:1\""}},
     "part.json:36:35: options.words[0].fields[1].bits: is \"7:1\", part of "
     "which a field above has; expected free bits"},
    {"a factory value is one of the names",
     {{"\"factory\": \"check\"", "\"factory\": \"chek\""}},
     "part.json:35:103: options.words[0].fields[0].factory: is \"chek\"; "
     "expected one of \"check\", \"strap\", \"rom\""},
    {"a factory value fits its field",
     {{"\"factory\": 9", "\"factory\": 16"}},
     "part.json:36:53: options.words[0].fields[1].factory: is 16; expected an "
     "integer of 4 bits"},
    {"a field without names has a number",
     {{"\"factory\": 9", "\"factory\": \"nine\""}},
     "part.json:36:53: options.words[0].fields[1].factory: is \"nine\"; "
     "expected an integer, because the field names no values"},
    {"a strap is on a pin of the part",
     {{"\"pin\": \"P2\"", "\"pin\": \"P9\""}},
     "part.json:39:41: straps[0].pin: is \"P9\"; expected one of \"P0\", "
     "\"P1\", \"P2\", \"P3\", \"P4\""},
    {"a debug pin is listed once",
     {{"\"debug\": [ \"P3\" ]", "\"debug\": [ \"P3\", \"P3\" ]"}},
     "part.json:49:22: pins.debug[1]: is \"P3\"; expected each pin once"},
    {"pins differ in name",
     {{"\"P3\", \"P4\" ]", "\"P3\", \"P3\" ]"}},
     "part.json:48:40: pins.names[4]: is \"P3\", as in line 48; expected "
     "another name"},
    {"a rule asks what exists",
     {{"\"latch\": \"blank\" }", "\"lach\": \"blank\" }"}},
     "part.json:44:40: start_rules[2].when.lach: is nothing that a rule can "
     "ask; expected \"latch\", \"strap.NAME\" or \"option.WORD.FIELD\""},
    {"a rule asks for a word that exists",
     {{"\"option.start.source\": 1", "\"option.boot.source\": 1"}},
     "part.json:43:38: start_rules[1].when[\"option.boot.source\"]: asks for "
     "an option word that this part lacks; expected \"start\""},
    {"a rule asks for a field that exists",
     {{"\"option.start.source\": 1", "\"option.start.src\": 1"}},
     "part.json:43:38: start_rules[1].when[\"option.start.src\"]: asks for an "
     "option field that this part lacks; expected \"source\" or \"wait\""},
    {"a rule asks for a field, not more",
     {{"\"option.start.source\": 1", "\"option.start.source.x\": 1"}},
     "part.json:43:38: start_rules[1].when[\"option.start.source.x\"]: asks "
     "for an option field that this part lacks; expected \"source\" or "
     "\"wait\""},
    {"a rule asks for a strap that exists",
     {{"\"strap.start\": \"high\"", "\"strap.boot\": \"high\""}},
     "part.json:43:64: start_rules[1].when[\"strap.boot\"]: asks for a strap "
     "that this part lacks; expected \"start\""},
    {"a strap is low or high",
     {{"\"strap.start\": \"high\"", "\"strap.start\": \"open\""}},
     "part.json:43:79: start_rules[1].when[\"strap.start\"]: is \"open\"; "
     "expected \"low\" or \"high\""},
    {"an option value of a rule fits its field",
     {{"\"option.start.source\": 1", "\"option.start.source\": 4"}},
     "part.json:43:61: start_rules[1].when[\"option.start.source\"]: is 4; "
     "expected an integer of 2 bits"},
    {"a rule starts a region",
     {{"\"start\": \"flash\" }", "\"start\": \"flsh\" }"}},
     "part.json:45:37: start_rules[3].start: is \"flsh\"; expected one of "
     "\"flash\", \"rom\", \"ram\", \"info\""},
    {"a rule below one that always holds",
     {{"\"rule\": \"latch-blank\", \"when\": { \"latch\": \"blank\" }",
       "\"rule\": \"latch-blank\", \"when\": {}"}},
     "part.json:45:5: start_rules[3]: can never decide; expected it above "
     "\"latch-blank\", which holds whenever \"otherwise\" does"},
    {"a rule below one that asks less",
     {{"\"strap.start\": \"high\" }, \"start\": \"rom\" },",
       "\"strap.start\": \"high\" }, \"start\": \"rom\" },\n    { \"rule\": "
       "\"x\", \"when\": { \"strap.start\": \"high\", \"latch\": \"blank\", "
       "\"option.start.source\": \"strap\" }, \"start\": \"rom\" },"}},
     "part.json:44:5: start_rules[2]: can never decide; expected it above "
     "\"strap-rom\", which holds whenever \"x\" does"},
    {"the last rule always holds",
     {{"\"rule\": \"otherwise\"",
       "\"rule\": \"otherwise\", \"when\": { \"latch\": \"programmed\" }"}},
     "part.json:45:5: start_rules[3]: asks for something; expected the last "
     "rule to hold always, with an empty \"when\""},
    {"rules differ in name",
     {{"\"rule\": \"strap-rom\"", "\"rule\": \"option-rom\""}},
     "part.json:43:15: start_rules[1].rule: is \"option-rom\", as in line 42; "
     "expected another name"},
    {"registers differ in place",
     {{"\"offset\": \"0x04\"", "\"offset\": \"0x00\""}},
     "part.json:58:35: blocks[0].registers[1].offset: is 0x0, as of \"OUT\"; "
     "expected another place"},
    {"a register is inside its block",
     {{"\"offset\": \"0x04\"", "\"offset\": \"0x400\""}},
     "part.json:57:34: blocks[0].registers[0].offset: is 0x400; expected at "
     "most 0x3fc, because the block is 1024 bytes"},
    {"fields do not overlap",
     {{"\"bits\": \"1\", \"role\": \"cause.pin\"",
       "\"bits\": \"0\", \"role\": \"cause.pin\""}},
     "part.json:63:34: blocks[1].registers[0].fields[2].bits: is \"0\", part "
     "of which a field above has; expected free bits"},
    {"what acts on writing can be written",
     {{"\"role\": \"latch.key\", \"access\": \"wo\"",
       "\"role\": \"latch.key\", \"access\": \"ro\""}},
     "part.json:61:74: blocks[1].registers[0].fields[0].access: is \"ro\"; "
     "expected an access that can write, because \"latch.key\" acts on "
     "writing"},
    {"what acts on reading can be read",
     {{"\"role\": \"cause.pin\", \"access\": \"ro\"",
       "\"role\": \"pin.in\", \"access\": \"wo\""}},
     "part.json:63:67: blocks[1].registers[0].fields[2].access: is \"wo\"; "
     "expected an access that can read, because \"pin.in\" acts on reading"},
    {"what unlocks has keys",
     {{", \"keys\": [ \"0xB16C\", \"0x0D15\" ]", ""}},
     "part.json:61:9: blocks[1].registers[0].fields[0]: has no \"keys\"; "
     "expected the values that \"latch.key\" wants"},
    {"what unlocks nothing has no keys",
     {{"\"access\": \"rw\" } ] } ] },",
       "\"access\": \"rw\", \"keys\": [ \"0x1\" ] } ] } ] },"}},
     "part.json:58:128: blocks[0].registers[1].fields[0].keys: stands in a "
     "field that unlocks nothing; expected it only with the role "
     "\"flash.unlock\" or \"latch.key\""},
    {"a key fits its field",
     {{"\"0xB16C\"", "\"0x1B16C\""}},
     "part.json:61:90: blocks[1].registers[0].fields[0].keys[0]: is 0x1b16c; "
     "expected a value of 16 bits"},
    {"a field does not cover more pins than there are",
     {{"\"bits\": \"2:0\"", "\"bits\": \"4:0\""}},
     "part.json:57:81: blocks[0].registers[0].fields[0].bits: covers 5 pins "
     "from number 1; expected no more than the part's 5"},
    {"an index chooses among what is there",
     {{"\"index\": 1", "\"index\": 5"}},
     "part.json:57:116: blocks[0].registers[0].fields[0].index: is index 5 of "
     "5; expected one that exists for \"pin.out\""},
    {"a role without several takes no index",
     {{"\"role\": \"latch\", ", "\"role\": \"latch\", \"index\": 1, "}},
     "part.json:62:72: blocks[1].registers[0].fields[1].index: is index 1 of "
     "1; expected one that exists for \"latch\""},
    {"a flag is one that a reset sets",
     {{"\"role\": \"cause.pin\"", "\"role\": \"cause.brown_out\""}},
     "part.json:63:47: blocks[1].registers[0].fields[2].role: shows a flag "
     "that nothing sets; expected a row of \"resets\" for \"brown_out\" with "
     "\"flag\": true"},
    {"a latch role needs a latch",
     {{"\"held\": \"latched\", \"reads\": [ { \"at\": \"flash+0\", \"bytes\": "
       "4 }, { \"at\": \"flash+0x800\", \"bytes\": 8 } ]",
       "\"held\": \"none\""},
      {"\"options\": \"load\", \"latch\": \"sample\"",
       "\"options\": \"load\", \"latch\": \"keep\""},
      {"    { \"rule\": \"latch-blank\", \"when\": { \"latch\": \"blank\" }, "
       "\"start\": \"rom\" },\n",
       ""}},
     "part.json:60:51: blocks[1].registers[0].fields[0].role: needs a latch; "
     "expected it only where \"held\" of the blank check is \"latched\""},
    {"the text is JSON",
     {{"\"interrupts\": 24", "\"interrupts\": 024"}},
     "part.json:6:74: core.interrupts: is a number with a leading zero; "
     "expected it without"},
    {"a key stands once",
     {{"\"fetch\": \"4B\"", "\"fetch\": \"4B\", \"kind\": \"cortex-m0\""}},
     "part.json:6:114: core.kind: is a duplicate of the key at line 6, column "
     "13; expected each key once"},
};

static void row(void **state)
{
  const struct row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  arena_init(&arena);
  const char *text = sample_edited(&arena, SAMPLE_PART, r->edits);
  enum sim_status status =
      json_parse(&arena, "part.json", text, strlen(text), false, &root, &err);
  const struct part *part;
  if (status == SIM_OK) {
    status = part_from_json(&arena, "part.json", root, &part, &err);
  }
  if (status == SIM_OK) fail_msg("is not refused");
  char said[1400];
  assert_string_equal(sim_error_text(&err, said, sizeof said), r->error);
  assert_int_equal(err.status, status);
  arena_free(&arena);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, row, rows);
  return cmocka_run_group_tests_name("part_refused", tests, NULL, NULL);
}
