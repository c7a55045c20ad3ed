/* What a case file may not say, and in which words it is refused: the sample
 * with one thing made wrong. */
#include "sample_edit.h"

#include "describe/case_shape.h"

static const struct row {
  const char *name;
  struct sample_edit edits[SAMPLE_EDITS];
  const char *error;
} rows[] = {
    {"a step has a verb",
     {{"{ \"probe\": \"halt\" }", "{ \"label\": \"x\" }"}},
     "case.json:18:5: steps[5]: has no verb; expected one of \"power\", "
     "\"reset\", \"write\", \"reload\", \"probe\", \"run\", \"drive\", "
     "\"send\", \"expect\""},
    {"a misspelt verb",
     {{"\"probe\": \"halt\"", "\"prob\": \"halt\""}},
     "case.json:18:7: steps[5].prob: is no verb; expected \"probe\""},
    {"a step has one verb",
     {{"\"probe\": \"halt\"", "\"probe\": \"halt\", \"run\": \"1ms\""}},
     "case.json:18:24: steps[5].run: is a second verb beside \"probe\"; "
     "expected one verb in a step"},
    {"a verb's word",
     {{"\"probe\": \"halt\"", "\"probe\": \"hallt\""}},
     "case.json:18:16: steps[5].probe: is \"hallt\"; expected "
     "\"halt\""},
    {"a verb's word before the keys beside it",
     {{"\"probe\": \"attach\"", "\"probe\": \"atach\""}},
     "case.json:17:16: steps[4].probe: is \"atach\"; expected "
     "\"attach\""},
    {"a step is an object",
     {{"{ \"probe\": \"halt\" }", "\"halt\""}},
     "case.json:18:5: steps[5]: is \"halt\"; expected an object: a step with "
     "one verb"},
    {"a key that another form of the verb has",
     {{"\"probe\": \"halt\"", "\"probe\": \"halt\", \"at\": \"0x04000000\""}},
     "case.json:18:24: steps[5].at: is no key of a \"probe\" step; expected "
     "\"probe\" or \"label\""},
    {"a read has an address",
     {{", \"at\": \"0x04000000\" },\n    { \"probe\": \"erase\"",
       " },\n    { \"probe\": \"erase\""}},
     "case.json:19:5: steps[6]: does not say one place; expected \"at\" or "
     "\"register\", and not both"},
    {"a word's place is a word of a list",
     {{"\"probe\": \"halt\"", "\"probe\": \"ponder\""}},
     "case.json:18:16: steps[5].probe: is \"ponder\"; expected one of "
     "\"attach\", \"detach\", \"halt\", \"go\", \"read\", \"erase\", "
     "\"step\", "
     "\"set\", \"registers\", \"reset\", \"start\""},
    {"a start by the probe says from where",
     {{"\"probe\": \"halt\"", "\"probe\": \"start\""}},
     "case.json:18:5: steps[5]: does not say one place; expected \"image\" or "
     "\"at\", and not both"},
    {"a read is of a word",
     {{"\"read\", \"at\": \"0x04000000\"",
       "\"read\", \"at\": \"0x04000002\""}},
     "case.json:19:30: steps[6].at: is \"0x04000002\"; expected a multiple of "
     "0x4"},
    {"the supply makes a power-on",
     {{"\"reset\": \"watchdog\"", "\"reset\": \"power_on\""}},
     "case.json:27:16: steps[14].reset: is \"power_on\"; expected one of "
     "\"brown_out\", \"option_reload\", \"watchdog\", \"lockup\", "
     "\"software\", \"deep_sleep_exit\", \"pin\", \"core_only\", \"hold\", "
     "\"release\""},
    {"only a pin reset is held",
     {{"\"reset\": \"watchdog\"",
       "\"reset\": \"watchdog\", \"hold\": \"1ms\""}},
     "case.json:27:28: steps[14].hold: is no key of a reset by its cause; "
     "expected \"reset\" or \"label\""},
    {"a hold is a time",
     {{"\"hold\": \"1ms\"", "\"hold\": \"1mA\""}},
     "case.json:26:31: steps[13].hold: is \"1mA\"; expected a time such as "
     "\"20us\" from 1 ps to 7776000 s"},
    {"a hold is some time",
     {{"\"hold\": \"1ms\"", "\"hold\": \"0s\""}},
     "case.json:26:31: steps[13].hold: is \"0s\"; expected a time such as "
     "\"20us\" from 1 ps to 7776000 s"},
    {"an image that is listed",
     {{"\"write\": \"app\"", "\"write\": \"ap\""}},
     "case.json:21:16: steps[8].write: is \"ap\"; expected one of \"app\", "
     "\"raw\", \"latch\", \"options\""},
    {"a write says what",
     {{"\"write\": \"app\"", "\"write\": 5"}},
     "case.json:21:16: steps[8].write: is 5; expected the name of an image, "
     "\"latch\", \"options\" or an address"},
    {"an address in hexadecimal",
     {{"\"write\": \"0x20000000\"", "\"write\": \"0xRAM\""}},
     "case.json:22:16: steps[9].write: is \"0xRAM\"; expected a number such "
     "as \"0x1F\""},
    {"a word stands on a word",
     {{"\"write\": \"0x20000000\"", "\"write\": \"0x20000001\""}},
     "case.json:22:16: steps[9].write: is \"0x20000001\"; expected a multiple "
     "of 0x4"},
    {"a write to an address has a value",
     {{", \"value\": \"0x12345678\"", ""}},
     "case.json:22:5: steps[9]: has no \"value\"; expected a number such as "
     "\"0x1F\""},
    {"a write to the latch has a value",
     {{"\"value\": \"programmed\", ", ""}},
     "case.json:14:5: steps[1]: has no \"value\"; expected \"blank\" or "
     "\"programmed\""},
    {"the latch is blank or programmed",
     {{"\"value\": \"programmed\"", "\"value\": \"set\""}},
     "case.json:14:34: steps[1].value: is \"set\"; expected \"blank\" or "
     "\"programmed\""},
    {"an image is not set",
     {{"\"erase\": \"all\"", "\"set\": { \"a.b\": 1 }"}},
     "case.json:21:23: steps[8].set: is no key of a write of an image; "
     "expected one of \"write\", \"erase\", \"through\", \"order\", \"by\", "
     "\"label\""},
    {"an option field has two names",
     {{"\"start.wait\": 3", "\"wait\": 3"}},
     "case.json:13:59: steps[0].set.wait: is no option field; expected one in "
     "the form \"word.field\""},
    {"an option value is a name or a number",
     {{"\"start.wait\": 3", "\"start.wait\": -3"}},
     "case.json:13:73: steps[0].set[\"start.wait\"]: is -3; expected an "
     "integer from 0 to 4294967295"},
    {"by whom",
     {{"\"by\": \"probe\" }", "\"by\": \"host\" }"}},
     "case.json:23:34: steps[10].by: is \"host\"; expected \"probe\""},
    {"a reload is of the options",
     {{"\"reload\": \"options\"", "\"reload\": \"latch\""}},
     "case.json:23:17: steps[10].reload: is \"latch\"; expected \"options\""},
    {"a level",
     {{"\"level\": \"high\"", "\"level\": \"3V\""}},
     "case.json:29:31: steps[16].level: is \"3V\"; expected one of \"low\", "
     "\"high\", \"release\""},
    {"a drive says the level",
     {{", \"level\": \"high\"", ""}},
     "case.json:29:5: steps[16]: has no \"level\"; expected one of \"low\", "
     "\"high\", \"release\""},
    {"an expectation of a start",
     {{"\"stale\": false", "\"stail\": false"}},
     "case.json:16:181: steps[3].expect.stail: is no key of an expectation; "
     "expected \"stale\""},
    {"an outcome",
     {{"\"outcome\": \"waiting\"", "\"outcome\": \"wating\""}},
     "case.json:16:152: steps[3].expect.outcome: is \"wating\"; expected "
     "\"waiting\""},
    {"an expectation asks something",
     {{"\"expect\": { \"region\": \"rom\", \"landing\": \"flash\", \"rule\": "
       "\"option-rom\", \"symbol\": \"rom_entry\", \"reaches\": \"main\", "
       "\"cause\": \"power_on\", \"outcome\": \"waiting\", \"latch\": "
       "\"blank\", \"stale\": false, \"sp\": \"0x20001000\", \"pc\": "
       "\"0x06000140\", \"rom_instructions\": 0, \"pins_driven\": 2, "
       "\"read\": \"0x00000000\", \"exit_status\": 0, \"within\": \"3ms\" }, "
       "\"on\": { "
       "\"checked\": { \"region\": \"flash\" } }",
       "\"expect\": { \"within\": \"3ms\" }"}},
     "case.json:16:17: steps[3].expect: asks for nothing; expected at least "
     "one of what a start can be asked, such as \"region\""},
    {"an expectation on a part asks something",
     {{"\"checked\": { \"region\": \"flash\" }", "\"checked\": {}"}},
     "case.json:16:356: steps[3].on.checked: asks for nothing; expected at "
     "least one of what a start can be asked, such as \"region\""},
    {"an expectation on a part does not wait",
     {{"\"checked\": { \"region\": \"flash\" }",
       "\"checked\": { \"region\": \"flash\", \"within\": \"1s\" }"}},
     "case.json:16:377: steps[3].on.checked.within: is no key of an "
     "expectation; expected one of \"region\", \"landing\", \"rule\", "
     "\"symbol\", \"reaches\", \"cause\", \"outcome\", \"latch\", \"stale\", "
     "\"sp\", \"pc\", \"rom_instructions\", \"pins_driven\", \"read\", "
     "\"host\", \"exit_status\""},
    {"never is from a list",
     {{"\"rom runs\"", "\"rom run\""}},
     "case.json:11:14: never[0]: is \"rom run\"; expected one of \"rom "
     "runs\", \"pin driven\", \"contention\", \"start in\", \"lockup\""},
    {"never says each once",
     {{"\"pin driven\", \"contention\"", "\"pin driven\", \"pin driven\""}},
     "case.json:11:40: never[2]: is \"pin driven\" again; expected each once"},
    {"a detail beside the wrong never",
     {{"\"rom runs\"", "{\"never\": \"lockup\", \"pin\": \"P1\"}"}},
     "case.json:11:34: never[0].pin: does not go with \"lockup\"; expected it "
     "beside \"pin driven\" or \"contention\""},
    {"a start in nowhere",
     {{"\"rom runs\"", "\"start in\""}},
     "case.json:11:14: never[0]: does not say where; expected {\"never\": "
     "\"start in\", \"region\": \"rom\"} or another region of the part"},
    {"a never that is no object of one",
     {{"\"rom runs\"", "[]"}},
     "case.json:11:14: never[0]: is a list; expected what may never happen: "
     "a word, or an object with \"never\""},
    {"an image name with a meaning",
     {{"\"app\": \"app.elf\"", "\"latch\": \"app.elf\""}},
     "case.json:4:15: images.latch: is a word with a meaning of its own; "
     "expected another name for an image"},
    {"an image name that looks like an address",
     {{"\"app\": \"app.elf\"", "\"0xapp\": \"app.elf\""}},
     "case.json:4:15: images.0xapp: looks like an address; expected a name "
     "for an image that does not begin with 0x"},
    {"an image name with a space",
     {{"\"app\": \"app.elf\"", "\"the app\": \"app.elf\""}},
     "case.json:4:15: images[\"the app\"]: is no name; expected letters, "
     "digits, '_', '-' and '+'"},
    {"an image is a path",
     {{"\"app\": \"app.elf\"", "\"app\": []"}},
     "case.json:4:22: images.app: is a list; expected the path of a file, or "
     "an object with \"file\" and \"base\""},
    {"an image has a file",
     {{"\"file\": \"raw/app.bin\", ", ""}},
     "case.json:4:40: images.raw: has no \"file\"; expected a text"},
    {"nets differ in name",
     {{"\"net\": \"open\"", "\"net\": \"led\""}},
     "case.json:9:16: board.nets[1].net: is \"led\", as in line 8; expected "
     "each net once"},
    {"a pin is on one net",
     {{"\"pins\": [ \"P2\" ]", "\"pins\": [ \"P1\" ]"}},
     "case.json:9:34: board.nets[1].pins[0]: is \"P1\", as in line 8; "
     "expected each pin once"},
    {"a pin is on a net once",
     {{"\"P0\", \"P1\" ]", "\"P0\", \"P0\" ]"}},
     "case.json:8:39: board.nets[0].pins[1]: is \"P0\", as in line 8; "
     "expected each pin once"},
    {"through leads to somewhere",
     {{"\"to\": \"ground\", ", ""}},
     "case.json:8:47: board.nets[0].through: stands alone; expected \"to\" "
     "beside it: the level at the other end"},
    {"a net is tied to ground or supply",
     {{"\"to\": \"ground\"", "\"to\": \"earth\""}},
     "case.json:8:53: board.nets[0].to: is \"earth\"; expected \"ground\" or "
     "\"supply\""},
    {"a capacitance is not nothing",
     {{"\"bulk\": \"22uF\"", "\"bulk\": \"0F\""}},
     "case.json:6:73: board.supply.bulk: is \"0F\"; expected a capacitance "
     "such as \"22uF\" from 1 pF to 1 F"},
    {"a supply that cannot be switched off",
     {{"\"removable\": true", "\"removable\": false"}},
     "case.json:32:16: steps[19].power: is \"off\"; expected no such step, "
     "because board.supply.removable is false"},
    {"a write needs the probe attached",
     {{"{ \"write\": \"latch\", \"value\": \"programmed\", \"by\": \"preset\" "
       "}",
       "{ \"write\": \"latch\", \"value\": \"programmed\" }"}},
     "case.json:14:16: steps[1].write: needs a probe, and none is attached "
     "here; expected \"probe\": \"attach\" before it, or \"by\": \"preset\""},
    {"a write by the probe needs it attached",
     {{"{ \"write\": \"latch\", \"value\": \"programmed\", \"by\": \"preset\" "
       "}",
       "{ \"write\": \"latch\", \"value\": \"programmed\", \"by\": \"probe\" "
       "}"}},
     "case.json:14:54: steps[1].by: needs a probe, and none is attached here; "
     "expected \"probe\": \"attach\" before it, or \"by\": \"preset\""},
    {"an order of units is the probe's, not a loader's",
     {{"\"erase\": \"all\" }",
       "\"through\": \"app\", \"order\": \"vectors-last\" }"}},
     "case.json:21:41: steps[8].order: does not go with \"through\"; a loader "
     "has an order of its own"},
    {"an order of units is the probe's, not nobody's",
     {{"\"erase\": \"all\" }",
       "\"by\": \"preset\", \"order\": \"vectors-last\" }"}},
     "case.json:21:39: steps[8].order: does not go with \"by\": \"preset\"; "
     "expected the probe to write"},
    {"a reload needs the probe attached",
     {{"{ \"reset\": \"watchdog\" }", "{ \"reload\": \"options\" }"}},
     "case.json:27:17: steps[14].reload: needs a probe, and none is attached "
     "here; expected \"probe\": \"attach\" before it"},
    {"a probe is attached before it halts",
     {{"{ \"probe\": \"attach\", \"reset\": \"held\" },", ""}},
     "case.json:18:16: steps[4].probe: needs a probe, and none is attached "
     "here; expected \"probe\": \"attach\" before it"},
    {"a line is held once",
     {{"{ \"reset\": \"hold\" }",
       "{ \"reset\": \"hold\" }, { \"reset\": \"hold\" }"}},
     "case.json:28:37: steps[16].reset: is \"hold\"; expected \"release\" "
     "first, because a step above holds the line"},
    {"a held line is not pulled",
     {{"{ \"reset\": \"hold\" }",
       "{ \"reset\": \"hold\" }, { \"reset\": \"pin\" }"}},
     "case.json:28:37: steps[16].reset: is \"pin\"; expected \"release\" "
     "first, because a step above holds the line"},
    {"a line is let go after it was held",
     {{"{ \"reset\": \"hold\" },", ""}},
     "case.json:30:16: steps[16].reset: is \"release\"; expected \"hold\" "
     "before it"},
    {"labels differ",
     {{"\"label\": \"second\"", "\"label\": \"first\""}},
     "case.json:30:36: steps[17].label: is the label of the step in line 15 "
     "too; expected another one"},
    {"a time has an end",
     {{"\"run\": \"5ms\"", "\"run\": \"100000000s\""}},
     "case.json:31:14: steps[18].run: is \"100000000s\"; expected a time such "
     "as \"20us\" from 1 ps to 7776000 s"},
    {"a run is some time",
     {{"\"run\": \"5ms\"", "\"run\": \"0s\""}},
     "case.json:31:14: steps[18].run: is \"0s\"; expected a time such as "
     "\"20us\" from 1 ps to 7776000 s"},
    {"a case has steps",
     {{"\"steps\": [\n", "\"steps\": [], \"x\": [\n"}},
     "case.json:12:16: x: is no key of a case; expected one of \"case\", "
     "\"goal\", \"part\", \"images\", \"board\", \"never\", \"measure\", "
     "\"never_from\", \"steps\", \"seen\", \"route\""},
    {"a key of a case",
     {{"\"never\"", "\"nevr\""}},
     "case.json:11:3: nevr: is no key of a case; expected \"never\""},
};

static void row(void **state)
{
  const struct row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  arena_init(&arena);
  const char *text = sample_edited(&arena, SAMPLE_CASE, r->edits);
  enum sim_status status =
      json_parse(&arena, "case.json", text, strlen(text), false, &root, &err);
  struct case_script *script;
  if (status == SIM_OK) {
    status = case_from_json(&arena, "case.json", root, &script, &err);
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
  return cmocka_run_group_tests_name("case_refused", tests, NULL, NULL);
}
