#!/bin/sh
# pages_agree.sh PROGRAM -- page, text and JSON of `why` and `route` say the
# same (pages_agree.py), for the cases of traces/ that ask for them.
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

for case in traces/why-*.jsonc; do
  both why "$(basename "$case" .jsonc)" "$case"
done
