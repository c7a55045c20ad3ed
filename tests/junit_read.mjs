// junit_read.mjs JUNIT JSON -- what an independent reader of JUnit-style XML
// finds in the one is what the other says.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(new URL("../build-npm/", import.meta.url));
const { parse } = require("junit2json");

const xml = readFileSync(process.argv[2], "utf8");
const json = JSON.parse(readFileSync(process.argv[3], "utf8"));
const runs = json.runs ?? [json];
const suites = (await parse(xml)).testsuite ?? [];

assert.equal(suites.length, runs.length, "a suite a run");
runs.forEach((run, i) => {
  const suite = suites[i];
  const tests = suite.testcase ?? [];
  const failed = tests.filter((test) => test.failure);
  const judged = run.judgements;
  assert.equal(suite.name, `${run.case} on ${run.part}`);
  assert.equal(suite.tests, judged.length);
  assert.equal(suite.failures, run.expectations.failed);
  assert.equal(failed.length, run.expectations.failed);
  tests.forEach((test, n) => {
    assert.ok(test.name.endsWith(judged[n].asked), test.name);
    assert.equal(!test.failure, judged[n].held);
    if (!judged[n].held) {
      assert.equal(test.failure[0].message, judged[n].seen);
    }
  });
});
console.log(`${suites.length} suites`);
