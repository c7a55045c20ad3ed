#!/bin/sh
# text.sh PROGRAM [--rebase] -- the report for people, as it was committed:
# each line of tests/text/runs names a file tests/text/NAME.txt and what `run`
# is asked. No line of it is longer than 80 columns (common practice), and
# nothing in it is for terminals alone. --rebase writes the files.
set -eu
export LC_ALL=C

program=$(realpath "$1")
rebase=${2:-}
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

failed=0
while read -r name asked; do
  status=0
  # shellcheck disable=SC2086
  "$program" run $asked >"$work/seen" || status=$?
  if [ $status -ne 0 ]; then
    echo "run $asked: exit status $status; expected 0"
    failed=1
  fi
  golden=tests/text/$name.txt
  if [ "$rebase" ]; then
    cmp -s "$work/seen" "$golden" || cat "$work/seen" >"$golden"
  elif ! diff -u "$golden" "$work/seen"; then
    failed=1
  fi
  # The events that -v shows are lines of a trace, of any length.
  if ! awk '!/^ *[0-9]+\.[0-9][0-9][0-9] +[0-9]+  / && !/^# / &&
            length > 80 { print "longer than 80 columns: " $0; bad = 1 }
            END { exit bad }' "$work/seen"; then
    failed=1
  fi
  if tr -d '\n' <"$work/seen" | grep -q '[[:cntrl:]]'; then
    echo "$golden: holds control characters"
    failed=1
  fi
done <tests/text/runs
exit $failed
