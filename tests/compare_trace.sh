#!/bin/sh
# compare_trace.sh PROGRAM NAME -- the case traces/NAME.jsonc holds (exit
# status 0), and its trace is traces/NAME.trace, byte for byte. If not, the
# first line that differs is shown with five lines around it: "-" is the
# committed trace, "+" what came out.
#
# Never writes there: build the target rebase-traces for that.
set -eu
export LC_ALL=C

program=$(realpath "$1")
name=$2
cd "$(dirname "$0")/.."
golden=traces/$name.trace
seen=$(mktemp)
trap 'rm -f "$seen"' EXIT

# show_difference EXPECTED SEEN
show_difference()
{
  awk -v expected_file="$1" -v seen_file="$2" '
    function read_lines(file, lines,    n, line) {
      while ((getline line < file) > 0) lines[++n] = line
      return n + 0
    }
    function show(mark, lines, from, to, count) {
      for (; from <= to && from <= count; from++) {
        if (from > 0) print mark lines[from]
      }
    }
    BEGIN {
      expected_count = read_lines(expected_file, expected)
      seen_count = read_lines(seen_file, seen)
      at = 1
      while (at <= expected_count && at <= seen_count &&
             expected[at] == seen[at]) at++
      if (at > expected_count && at > seen_count) {
        print expected_file ": the last line ends in another way"
        exit
      }
      print expected_file ":" at ": here they differ"
      show("  ", expected, at - 5, at - 1, expected_count)
      show("- ", expected, at, at + 5, expected_count)
      show("+ ", seen, at, at + 5, seen_count)
    }'
}

for file in "traces/$name.jsonc" "$golden"; do
  if [ ! -f "$file" ]; then
    echo "$file is missing"
    exit 1
  fi
done

status=0
"$program" run "traces/$name.jsonc" --trace - >"$seen" || status=$?
if ! cmp -s "$golden" "$seen"; then
  show_difference "$golden" "$seen"
  exit 1
fi
if [ $status -ne 0 ]; then
  echo "traces/$name.jsonc: exit status $status; expected 0"
  exit 1
fi
