#!/bin/sh
# rebase_traces.sh PROGRAM -- write traces/NAME.trace for each
# traces/NAME.jsonc, and tell which have changed. The commit that contains
# them says which rule of the device did. A case that does not hold gets no
# trace.
set -eu
export LC_ALL=C

program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp)
trap 'rm -f "$work"' EXIT

failed=0
for case in traces/*.jsonc traces/lessons/*.jsonc; do
  golden=${case%.jsonc}.trace
  status=0
  "$program" run "$case" --trace - >"$work" || status=$?
  if [ $status -ne 0 ]; then
    echo "$case: exit status $status; expected 0; $golden stays as it was"
    failed=1
  elif ! cmp -s "$work" "$golden"; then
    cat "$work" >"$golden"
    echo "$golden: written"
  fi
done
for golden in traces/*.trace traces/lessons/*.trace; do
  if [ -f "$golden" ] && [ ! -f "${golden%.trace}.jsonc" ]; then
    echo "$golden: there is no case for it"
    failed=1
  fi
done
exit $failed
