#!/bin/sh
# images_rebuild.sh IMAGES -- the committed images are what their sources give.
#
# Builds a copy of the sources in another directory and compares byte for
# byte. With other tools than those in IMAGES/COMPILER, or none, there is
# nothing to compare: exit 77, which ctest reports as skipped.
set -eu
export LC_ALL=C

images=$1
noted=$(cat "$images/COMPILER")
if ! present=$("$images/build.sh" --tools); then
  echo "skipped: the images can't be rebuilt here"
  exit 77
fi
if [ "$present" != "$noted" ]; then
  printf 'skipped: images/COMPILER notes\n%s\nbut here is\n%s\n' "$noted" \
    "$present"
  exit 77
fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
copy="$work/another place"
built="$work/built"

list()
{
  (cd "$1" && find . -name '*.elf' -o -name '*.hex' -o -name '*.bin' | sort)
}

list "$images" >"$work/committed"
cp -R "$images" "$copy"
# what the boot ROM shares with the host at the other end of its line
mkdir -p "$work/sim/board"
cp "$images/../sim/board/protocol.h" "$work/sim/board"
list "$copy" | while read -r file; do rm "$copy/$file"; done
"$copy/build.sh" "$built"

list "$built" >"$work/rebuilt"
if ! diff "$work/committed" "$work/rebuilt"; then
  echo "< is committed but not built, > is built but not committed"
  exit 1
fi

differ=0
while read -r file; do
  cmp "$images/$file" "$built/$file" || differ=1
done <"$work/rebuilt"
if [ $differ -ne 0 ]; then
  echo "sources and images differ: build rebase-images"
  exit 1
fi
