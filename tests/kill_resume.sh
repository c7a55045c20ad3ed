#!/bin/sh
# kill_resume.sh PROGRAM TIMES -- a sweep over a whole two-slot update that is
# killed (SIGKILL) at TIMES moments drawn at random, and goes on each time with
# --resume, ends with the bytes of one that nobody disturbed.
#
# The moments are parts of the time that the undisturbed sweep took, drawn from
# a generator that begins with TIMES (its multiplier and increment are the
# example in ISO/IEC 9899:2011, 7.22.2.2, from memory).
set -eu
program=$1
times=$2
cd "$(dirname "$0")/.."
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
sweep="sweep traces/two-slot-update.jsonc --cut each-cycle --jobs 2"

now_ms()
{
  echo $(($(date +%s%N) / 1000000))
}

begun=$(now_ms)
# shellcheck disable=SC2086
"$program" $sweep --jsonl "$dir/whole" >"$dir/out"
took=$(($(now_ms) - begun))

seed=$times
killed=0
resumed=0
first=true
while [ "$killed" -lt "$times" ]; do
  if $first; then how=--jsonl; else how=--resume; fi
  # shellcheck disable=SC2086
  "$program" $sweep $how "$dir/cut" >"$dir/out" 2>"$dir/err" &
  child=$!
  seed=$(((seed * 1103515245 + 12345) % 2147483648))
  ms=$((took * (seed / 65536 % 1000) / 1000))
  sleep "$(printf '%d.%03d' $((ms / 1000)) $((ms % 1000)))"
  if kill -9 "$child" 2>/dev/null; then killed=$((killed + 1)); fi
  wait "$child" 2>/dev/null && ended=0 || ended=$?
  if [ "$ended" -eq 0 ]; then # it was faster
    cmp "$dir/whole" "$dir/cut"
    rm -f "$dir/cut"
  elif [ "$ended" -ne 137 ]; then
    cat "$dir/err"
    exit 1
  fi
  # killed before its head was whole, there is nothing to go on with
  if [ "$(wc -l 2>/dev/null <"$dir/cut" || echo 0)" -eq 0 ]; then
    rm -f "$dir/cut"
    first=true
  else
    first=false
    resumed=$((resumed + 1))
  fi
done
if $first; then how=--jsonl; else how=--resume; fi
# shellcheck disable=SC2086
"$program" $sweep $how "$dir/cut" >"$dir/out"
cmp "$dir/whole" "$dir/cut"
echo "killed $killed times, went on $resumed times, the same bytes"
