#!/bin/sh
# pictures.sh PROGRAM [write] -- each committed picture traces/NAME.svg is what
# the case traces/NAME.jsonc is drawn as today; with "write" it becomes so.
set -eu
export LC_ALL=C

program=$(realpath "$1")
cd "$(dirname "$0")/.."
seen=$(mktemp)
trap 'rm -f "$seen"' EXIT

count=0
failed=0
for picture in traces/*.svg; do
  case=${picture%.svg}.jsonc
  count=$((count + 1))
  "$program" run "$case" --svg "$seen" >/dev/null
  if cmp -s "$seen" "$picture"; then continue; fi
  if [ "${2-}" = write ]; then
    cp "$seen" "$picture"
    echo "changed: $picture"
  else
    echo "$picture is not what $case is drawn as: build rebase-traces"
    failed=1
  fi
done
echo "$count pictures"
exit $failed
