#!/bin/sh
# reports_agree.sh PROGRAM -- text, page, JSON, JUnit, trace and dump of one run, all
# written at once, say the same (reports_agree.py); for each case of traces/ and its lessons on
# its own part. The dump goes through Debian's vcd2fst and fst2vcd (of the
# package gtkwave) first: what is compared is what another reader made of it.
set -eu
export LC_ALL=C

program=$(realpath "$1")
cd "$(dirname "$0")/.."
for tool in vcd2fst fst2vcd python3; do
  if ! command -v $tool >/dev/null; then
    echo "skipped: $tool is not installed"
    exit 77
  fi
done
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

for case in traces/*.jsonc traces/lessons/*.jsonc; do
  status=0
  "$program" run "$case" --json "$work/run.json" --junit "$work/run.junit" \
    --trace "$work/run.trace" --vcd "$work/own.vcd" \
    --html "$work/run.html" >"$work/run.text" ||
    status=$?
  if [ $status -gt 1 ]; then
    echo "$case: exit status $status"
    exit 1
  fi
  vcd2fst "$work/own.vcd" "$work/run.fst" >"$work/log" 2>&1
  if [ -s "$work/log" ]; then
    echo "$case: vcd2fst says:"
    cat "$work/log"
    exit 1
  fi
  fst2vcd "$work/run.fst" -o "$work/run.vcd"
  # The nets and whether the part keeps a latch are in the input alone.
  python3 tests/board_facts.py "$case" >"$work/nets.json"
  printf '%s: ' "$case"
  python3 tests/reports_agree.py "$work"
done
