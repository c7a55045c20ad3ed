#!/bin/sh
# same_bytes.sh BUILD_DIR... -- same input, same bytes.
#
# Plays every case with the program of each build directory: twice from the
# root of the tree, then from another directory, by absolute names, on a copy
# of the tree, under each locale that is here. Text, JSON, trace and exit
# status must be the same bytes everywhere.
set -eu

root=$(cd "$(dirname "$0")/.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# The locales to try: one with other letters, decimal comma and order, if
# this system has it.
locales()
{
  echo C
  if locale -a 2>/dev/null | grep -qi '^de_DE\.utf-\{0,1\}8$'; then
    echo de_DE.UTF-8
  else
    echo "de_DE.UTF-8 is not here: C only" >&2
  fi
}

# run OUT.text ARGUMENT... : the report, and the exit status as a last line. An
# error names the file as it was given: from here on, in any tree.
run()
{
  text=$1
  shift
  status=0
  "$program" run "$@" >"$work/said" 2>&1 </dev/null || status=$?
  sed "s|^firstfetch: $tree/|firstfetch: |" "$work/said" >"$text"
  echo "exit status $status" >>"$text"
}

# play TREE OUT: all cases of TREE, each on its part, on all parts, all
# together; and an image without a case
play()
{
  tree=$1
  out=$2
  mkdir -p "$out"
  for case in "$tree"/traces/*.jsonc; do
    name=$(basename "$case" .jsonc)
    run "$out/$name.text" "$case" --json "$out/$name.json" \
      --trace "$out/$name.trace"
    run "$out/$name.code.text" "$case" -v --code --json "$out/$name.code.json"
    run "$out/$name.beside.text" "$case" --part all --compare \
      --json "$out/$name.beside.json" --trace "$out/$name.beside.trace"
  done
  run "$out/together.text" "$tree"/traces/*.jsonc
  run "$out/image.text" --image "$tree/images/logger/logger.elf" --part all \
    --json "$out/image.json" --trace "$out/image.trace"
}

# same OUT WHAT: OUT is like the first
same()
{
  if ! diff -r -U 2 "$first" "$1" >"$work/difference"; then
    echo "$2: other bytes"
    head -n 30 "$work/difference"
    failed=1
  fi
  rm -rf "$1"
}

first=$work/first
failed=0
copy="$work/another place"
mkdir "$copy"
cp -R "$root/models" "$root/images" "$root/traces" "$copy"
locales >"$work/locales"

for build in "$@"; do
  program=$(realpath "$build")/firstfetch
  cd "$root"
  export LC_ALL=C
  if [ ! -d "$first" ]; then play . "$first"; fi
  play . "$work/again"
  same "$work/again" "$build"
  cd /
  while read -r LC_ALL; do
    TZ=Asia/Kolkata COLUMNS=40 play "$copy" "$work/elsewhere"
    same "$work/elsewhere" "$build, from another directory, locale $LC_ALL"
  done <"$work/locales"
  cd "$root"
done

outputs=$(find "$first" -type f | wc -l)
empty=$(find "$first" -type f -size 0)
if [ -n "$empty" ]; then
  echo "nothing in $empty"
  failed=1
fi
if grep -rlF -e "$root" -e "$work" "$first"; then
  echo "these tell where they were made"
  failed=1
fi
if [ $failed -eq 0 ]; then echo "$outputs outputs, the same bytes"; fi
exit $failed
