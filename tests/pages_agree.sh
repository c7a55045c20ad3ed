#!/bin/sh
# pages_agree.sh PROGRAM -- page, text and JSON of `why` and `route` say the
# same (pages_agree.py): with explanations of one cause and of two and with
# none, with a procedure for all states, for some of them alone, and for none.
set -eu
export LC_ALL=C

program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# both KIND NAME CASE ARGUMENT... -- all from one run
both()
{
  kind=$1
  name=$2
  case=$3
  shift 3
  status=0
  "$program" "$kind" "$case" "$@" --json "$work/$name.json" \
    --html "$work/$name.html" >"$work/$name.text" || status=$?
  if [ $status -ne 0 ] && [ $status -ne 3 ]; then
    echo "$kind $case: exit status $status"
    exit 1
  fi
  /usr/bin/python3 tests/pages_agree.py "$kind" "$work/$name"
}

for name in only-the-pc torn-and-stale nothing-fits; do
  both why $name traces/why-$name.jsonc
done
both route fitted traces/route-battery-fitted.jsonc --depth 3
both route any traces/route-any-state.jsonc --depth 4
both route rom-first traces/route-rom-first.jsonc --depth 3
both route none traces/route-nothing-at-hand.jsonc --depth 2
both route too-short traces/route-any-state.jsonc --depth 2
both route limited traces/route-any-state.jsonc --depth 4 --limit 10
both route alone traces/route-any-state.jsonc --depth 3
