#!/bin/sh
# validate_sweeps.sh PROGRAM -- what `sweep --json` writes keeps to
# traces/sweep.schema.json, and what is spoiled does not. Skipped, and says so,
# without python3-jsonschema.
set -eu
program=$1
cd "$(dirname "$0")/.."
if ! /usr/bin/python3 -c 'import jsonschema' 2>/dev/null; then
  echo "python3-jsonschema is missing: skipped"
  exit 77
fi
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
case=traces/still-boots-rom.jsonc
"$program" sweep $case --cut each-event --json "$dir/cut.json" >"$dir/out"
"$program" sweep $case --reset pin:each-write --json "$dir/reset.json" \
  >"$dir/out"
"$program" sweep $case --vary programmed.x=1us..2us 2>"$dir/err" && exit 1
"$program" sweep $case --vary 'steps[5].hold=1us..9us/2us' \
  --json "$dir/vary.json" >"$dir/out"
"$program" sweep $case --vary 'steps[1].within=1us..9ms' --edge \
  --json "$dir/edge.json" >"$dir/out"
"$program" sweep $case --corners --json "$dir/corners.json" >"$dir/out"
/usr/bin/python3 - "$dir"/*.json <<'PYTHON'
import json
import sys

from jsonschema import Draft202012Validator

with open("traces/sweep.schema.json") as file:
    schema = json.load(file)
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema)
failed = False
for path in sys.argv[1:]:
    with open(path) as file:
        result = json.load(file)
    for error in validator.iter_errors(result):
        print(path, error.message[:300])
        failed = True
    for key in list(result):
        without = {k: v for k, v in result.items() if k != key}
        if validator.is_valid(without):
            print(path, "is valid without", key)
            failed = True
    if validator.is_valid({**result, "extra": 1}):
        print(path, "is valid with one key more")
        failed = True
sys.exit(failed)
PYTHON
