#!/bin/sh
# validate_why.sh PROGRAM -- what `why --json` writes keeps to
# traces/why.schema.json, what is spoiled does not, and the exit status says
# whether there is an explanation. Skipped, and says so, without
# python3-jsonschema.
set -eu
program=$1
cd "$(dirname "$0")/.."
if ! /usr/bin/python3 -c 'import jsonschema' 2>/dev/null; then
  echo "python3-jsonschema is missing: skipped"
  exit 77
fi
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
for name in only-the-pc strap-and-option; do
  "$program" why "traces/why-$name.jsonc" --json "$dir/$name.json" >"$dir/out"
done
"$program" why traces/why-only-the-pc.jsonc --json - --write "$dir/cases" |
  cmp - "$dir/only-the-pc.json"
for case in "$dir"/cases/*.json; do
  "$program" run "$case" >"$dir/out"
done
code=0
"$program" why traces/why-nothing-fits.jsonc --json "$dir/none.json" \
  >"$dir/out" || code=$?
test "$code" -eq 3
/usr/bin/python3 tests/keeps_to_schema.py traces/why.schema.json "$dir"/*.json
