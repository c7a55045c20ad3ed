#!/bin/sh
# engines_agree.sh PROGRAM -- every case of traces/, on its own part and on all
# parts, gives the same bytes with each instruction engine: exit status,
# report, JSON and trace; and in lockstep the two find no difference. Parts are
# those of ARMv6-M, which both engines execute; the long update is played on
# its own part only.
set -eu
export LC_ALL=C

program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
count=0

# play ENGINE ARGUMENT... : all that a run writes, in $work/ENGINE
play()
{
  out=$work/$1
  rm -rf "$out"
  mkdir "$out"
  status=0
  "$program" run --engine "$@" --json "$out/json" --trace "$out/trace" \
    >"$out/text" 2>&1 || status=$?
  echo "$status" >"$out/status"
}

# compare ARGUMENT...
compare()
{
  play unicorn "$@"
  # A case may ask for what a part does not have: that is refused alike.
  if [ ! -s "$work/unicorn/trace" ] &&
    ! grep -q ': part [a-z-]* has no ' "$work/unicorn/text"; then
    echo "run $*: no trace"
    cat "$work/unicorn/text"
    failed=1
  fi
  for engine in own both; do
    play $engine "$@"
    count=$((count + 1))
    if ! diff -r -U 2 "$work/unicorn" "$work/$engine" >"$work/difference"
    then
      echo "run $*: $engine gives other bytes than unicorn"
      head -n 30 "$work/difference"
      failed=1
    fi
  done
}

# sweep ARGUMENT... : the base run and its side branches, too
sweep()
{
  rm -f "$work/unicorn.jsonl" "$work/own.jsonl"
  for engine in unicorn own; do
    status=0
    "$program" sweep "$@" --engine $engine --jsonl "$work/$engine.jsonl" \
      >"$work/$engine.text" 2>&1 || status=$?
    echo "$status" >>"$work/$engine.text"
  done
  count=$((count + 1))
  if [ ! -s "$work/own.jsonl" ] ||
    ! diff "$work/unicorn.jsonl" "$work/own.jsonl" >"$work/difference" ||
    ! diff "$work/unicorn.text" "$work/own.text" >>"$work/difference"
  then
    echo "sweep $*: own gives other bytes than unicorn"
    head -n 30 "$work/difference"
    failed=1
  fi
}

# refused WORD: no engine is called so
refused()
{
  status=0
  "$program" run traces/still-boots-rom.jsonc --engine "$1" \
    >"$work/refused" 2>&1 || status=$?
  if [ $status -ne 2 ] || ! grep -q 'expected unicorn, own or both' \
    "$work/refused"
  then
    echo "--engine '$1': exit status $status; expected 2, and the reason"
    failed=1
  fi
}

refused fast
refused Own
parts=$(grep -l '"kind": "cortex-m0+\?"' models/*.json |
  sed 's|models/\(.*\)\.json|\1|')
all=$(echo $parts | tr ' ' ',')
for case in traces/*.jsonc; do
  after=--after
  if [ "$case" = traces/two-slot-update.jsonc ]; then after=; fi
  for part in $parts; do
    if grep -q "\"part\": \"$part\"" "$case"; then compare "$case" $after; fi
  done
  if [ -z "$after" ]; then continue; fi
  compare "$case" --part "$all" --compare
done
sweep traces/still-boots-rom.jsonc --cut each-write
sweep traces/still-boots-rom.jsonc --reset pin:each-event
sweep traces/app-asks-for-rom.jsonc --reset pin:each-cycle
if [ $failed -eq 0 ]; then echo "$count comparisons, the same bytes"; fi
exit $failed
