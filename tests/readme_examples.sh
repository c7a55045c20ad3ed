#!/bin/sh
# readme_examples.sh PROGRAM -- the examples of README.md run, and say what it
# shows.
#
# An example is a line of a fenced "sh" block that begins with
# build/firstfetch. It ends with exit status 0, or with the one that the line
# tells: "build/firstfetch run ... # exit 1". A line that ends with a
# backslash goes on in the next. An indented block right behind the fence
# shows what the last example prints: its lines are found there, in that
# order; "..." stands for others. Examples run in a copy of the tree, so they
# may write files.
set -eu
export LC_ALL=C

program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Example N goes to N.command, what is shown of its output to N.shown.
awk -v work="$work" '
  /^```/ { behind = fenced; fenced = !fenced && $0 == "```sh"; next }
  fenced && (begun || /^build\/firstfetch/) {
    if (!begun) n++
    begun = sub(/\\$/, "")
    printf "%s%s", $0, begun ? "" : "\n" >(work "/" n ".command")
  }
  behind && n && sub(/^    /, "") {
    if ($0 != "...") print >(work "/" n ".shown")
    next
  }
  behind && /^[^ ]/ { behind = 0 }
' README.md

mkdir "$work/tree" "$work/tree/build"
cp -R models images traces "$work/tree"
ln -s "$program" "$work/tree/build/firstfetch"
cd "$work/tree"

# check N
check()
{
  command=$(cat "$work/$1.command")
  expected=$(printf '%s\n' "$command" | sed -n 's/.*# exit \([0-9]*\)$/\1/p')
  status=0
  timeout 120 sh -c "$command" </dev/null >"$work/output" 2>&1 || status=$?
  if [ $status -ne "${expected:-0}" ]; then
    echo "README.md: $command"
    echo "  exit status $status; expected ${expected:-0}; it said:"
    sed 's/^/  /' "$work/output"
    return 1
  fi
  if [ ! -f "$work/$1.shown" ]; then return 0; fi
  missing=$(awk '
    NR == FNR { shown[++count] = $0; next }
    next_line < count && $0 == shown[next_line + 1] { next_line++ }
    END { if (next_line < count) print shown[next_line + 1] }
  ' "$work/$1.shown" "$work/output")
  if [ -n "$missing" ]; then
    echo "README.md: $command"
    echo "  does not print, or not in that order:"
    echo "  $missing"
    return 1
  fi
}

n=0
failed=0
while [ -f "$work/$((n + 1)).command" ]; do
  n=$((n + 1))
  check $n || failed=1
done
echo "$n examples of README.md"
if [ $n -eq 0 ]; then failed=1; fi
exit $failed
