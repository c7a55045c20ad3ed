#!/bin/sh
# validate_routes.sh PROGRAM -- what `route` writes: the same bytes each time,
# JSON that keeps to traces/route.schema.json and is refused when spoiled, cases
# that `run` holds, and work instructions that name every action. Without
# python3-jsonschema the JSON goes unjudged, and it says so.
set -eu
export LC_ALL=C
program=$(realpath "$1")
cd "$(dirname "$0")/.."
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT

# route NAME STATUS ARGUMENT... : twice, into NAME and NAME.again
route()
{
  name=$1 expected=$2
  shift 2
  for again in "" .again; do
    status=0
    "$program" route "$@" --json "$dir/$name.json$again" \
      --write "$dir/$name$again" >"$dir/$name.text$again" || status=$?
    if [ $status -ne "$expected" ]; then
      echo "route $*: exit status $status, not $expected"
      exit 1
    fi
  done
  cmp "$dir/$name.json" "$dir/$name.json.again"
  cmp "$dir/$name.text" "$dir/$name.text.again"
  diff -r "$dir/$name" "$dir/$name.again"
  rm -r "$dir/$name.json.again" "$dir/$name.again"
}

route any 0 traces/route-any-state.jsonc --depth 4
route any-clearable 0 traces/route-any-state.jsonc --depth 4 \
  --part latched-clearable
route fitted 0 traces/route-battery-fitted.jsonc --depth 3
route path 0 traces/route-battery-fitted.jsonc --depth 3 \
  --part models/checked.json
route rom-first 0 traces/route-rom-first.jsonc --depth 3
route none 3 traces/route-nothing-at-hand.jsonc --depth 2

held=0
for case in "$dir"/*/*.json; do
  if ! "$program" run "$case" >"$dir/out" 2>&1; then
    echo "$case does not hold:"
    cat "$case" "$dir/out"
    exit 1
  fi
  grep -q '^held: all' "$dir/out"
  held=$((held + 1))
done
echo "$held written cases hold"
test $held -ge 10

# One of them with its reload taken away must fail.
sed '/"reload": "options",/{N;s/.*/      "run": "1ms",/;}' \
  "$dir/fitted/procedure-1-factory-blank.json" >"$dir/fitted/spoiled.json"
status=0
"$program" run "$dir/fitted/spoiled.json" >"$dir/out" 2>&1 || status=$?
if [ $status -ne 1 ]; then
  echo "a procedure without its reload: exit status $status, not 1"
  cat "$dir/out"
  exit 1
fi

# A work instruction says each action, and what to be careful of.
sheet=$dir/fitted/procedure-1.md
grep -q '^1\. Attach the probe with reset held' "$sheet"
grep -q '^3\. Have the probe ask for an option reload' "$sheet"
grep -q '^4\. Detach the probe' "$sheet"
grep -q '^Image: app, file logger.elf$' "$sheet"
grep -q 'limit the current' "$sheet"
grep -q 'qualified people' "$sheet"

if ! /usr/bin/python3 -c 'import jsonschema' 2>/dev/null; then
  echo "python3-jsonschema is missing: the JSON was not judged"
  exit 0
fi
/usr/bin/python3 tests/keeps_to_schema.py traces/route.schema.json "$dir"/*.json
