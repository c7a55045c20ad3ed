#!/bin/sh
# build.sh OUTDIR   build every image: OUTDIR/NAME/NAME.elf, .hex and .bin,
#                   and the tools that did it in OUTDIR/COMPILER
# build.sh --tools  print the tools' versions, as in COMPILER
#
# The same tools give the same bytes in any directory: sources are named
# relative to this folder, and neither build id nor compiler name is kept.
set -eu
export LC_ALL=C

tool=arm-none-eabi

fail()
{
  echo "build.sh: $1" >&2
  exit 2
}

tools()
{
  echo "gcc $($tool-gcc -dumpfullversion)"
  echo "ld $($tool-ld --version | sed -n '1s/.* //p')"
}

[ $# -eq 1 ] || fail "expected one argument, OUTDIR or --tools"
for name in gcc ld objcopy; do
  command -v $tool-$name >/dev/null || fail "$tool-$name is not installed"
done
if [ "$1" = --tools ]; then
  tools
  exit 0
fi

mkdir -p "$1"
out=$(cd "$1" && pwd)
cd "$(dirname "$0")"
objects=$(mktemp -d)
trap 'rm -rf "$objects"' EXIT

compile="$tool-gcc -mcpu=cortex-m0 -mthumb -std=c11 -Os -g0 -ffreestanding
  -ffunction-sections -fdata-sections -fno-ident -fno-unwind-tables
  -fno-asynchronous-unwind-tables -Icommon -Wall -Wextra -Wpedantic
  -Wconversion -Wshadow -Wmissing-prototypes -Wstrict-prototypes -Wundef
  -Werror"
link="$tool-gcc -mcpu=cortex-m0 -nostdlib -Lcommon -Wl,--gc-sections
  -Wl,--build-id=none -Wl,--nmagic -Wl,--fatal-warnings"

# image NAME LINKER_SCRIPT SOURCE...
image()
{
  name=$1
  script=$2
  shift 2
  mkdir -p "$objects/$name" "$out/$name"
  for source in "$@"; do
    object=$objects/$name/$(basename "$source").o
    $compile "-ffile-prefix-map=$PWD=." -c "$source" -o "$object"
    shift
    set -- "$@" "$object"
  done
  base=$out/$name/$name
  $link -T "$script" "$@" -o "$base.elf"
  chmod a-x "$base.elf"
  $tool-objcopy -O ihex "$base.elf" "$base.hex"
  $tool-objcopy -O binary "$base.elf" "$base.bin"
}

# app NAME LINKER_SCRIPT SOURCE... : an image that begins in start.S
app()
{
  image "$@" common/vectors.S common/start.S
}

image rom rom/rom.ld rom/vectors.S rom/rom.c
image bad-vectors common/flash.ld bad-vectors/vectors.S common/start.S \
  bad-vectors/main.c
app logger common/flash.ld logger/main.c
app logger-at-offset logger-at-offset/offset.ld logger/main.c
app selfclear common/flash.ld selfclear/main.c
app selfreload common/flash.ld selfreload/main.c
app jumps-to-rom common/flash.ld jumps-to-rom/main.c

tools >"$out/COMPILER"
