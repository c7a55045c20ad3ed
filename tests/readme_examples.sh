#!/bin/sh
# readme_examples.sh PROGRAM -- the examples of README.md run.
#
# An example is a line of a fenced "sh" block that begins with
# build/firstfetch. It ends with exit status 0, or with the one that the line
# tells: "build/firstfetch run ... # exit 1". A line that ends with a
# backslash goes on in the next. Examples run in a copy of the tree, so they
# may write files.
set -eu
export LC_ALL=C

program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

awk '
  /^```/ { inside = !inside && $0 == "```sh"; next }
  inside && (begun || /^build\/firstfetch/) {
    begun = sub(/\\$/, "")
    printf "%s%s", $0, begun ? "" : "\n"
  }' README.md >"$work/examples"
if [ ! -s "$work/examples" ]; then
  echo "README.md has no example"
  exit 1
fi

mkdir "$work/tree" "$work/tree/build"
cp -R models images traces "$work/tree"
ln -s "$program" "$work/tree/build/firstfetch"
cd "$work/tree"

failed=0
while IFS= read -r example; do
  expected=$(printf '%s\n' "$example" | sed -n 's/.*# exit \([0-9]*\)$/\1/p')
  status=0
  timeout 120 sh -c "$example" </dev/null >"$work/output" 2>&1 || status=$?
  if [ $status -ne "${expected:-0}" ]; then
    echo "README.md: $example"
    echo "  exit status $status; expected ${expected:-0}; it said:"
    sed 's/^/  /' "$work/output"
    failed=1
  fi
done <"$work/examples"
echo "$(wc -l <"$work/examples") examples"
exit $failed
