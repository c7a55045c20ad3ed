#!/bin/sh
# text.sh PROGRAM [--rebase] -- what people read, as it was committed: each line
# of tests/text/runs names a file tests/text/NAME.txt and what `run` is asked,
# each of tests/text/answers the file, the exit status, and what the program is
# asked. No line of it is longer than 80 columns (common practice), and
# nothing in it is for terminals alone. --rebase writes the files.
set -eu
export LC_ALL=C

program=$(realpath "$1")
rebase=${2:-}
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

failed=0

# screen NAME STATUS ARGUMENT...
screen()
{
  golden=tests/text/$1.txt
  expected=$2
  shift 2
  status=0
  "$program" "$@" >"$work/seen" </dev/null || status=$?
  if [ $status -ne "$expected" ]; then
    echo "$*: exit status $status; expected $expected"
    failed=1
  fi
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
}

while read -r name asked; do
  # shellcheck disable=SC2086
  screen "$name" 0 run $asked
done <tests/text/runs
while read -r name status asked; do
  # shellcheck disable=SC2086
  screen "$name" "$status" $asked
done <tests/text/answers
exit $failed
