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
/usr/bin/python3 tests/keeps_to_schema.py traces/sweep.schema.json "$dir"/*.json
