#!/bin/sh
# build.sh OUTDIR   build every image: OUTDIR/NAME/NAME.elf, .hex and .bin;
#                   the kernels: OUTDIR/kernels/CORE/NAME-LEVEL.elf;
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

own=$($tool-gcc -print-file-name=include)

# An image with a hole of many megabytes has no raw form.
with_binary=true

# image NAME LINKER_SCRIPT SOURCE...
image()
{
  name=$1
  script=$2
  shift 2
  mkdir -p "$objects/$name" "$out/$name"
  for source in "$@"; do
    object=$objects/$name/$(basename "$source").o
    $compile "-ffile-prefix-map=$PWD=." "-ffile-prefix-map=$own=compiler" \
      "-Wa,--debug-prefix-map=$PWD=." -c "$source" -o "$object"
    shift
    set -- "$@" "$object"
  done
  base=$out/$name/$name
  $link -T "$script" "$@" -o "$base.elf"
  chmod a-x "$base.elf"
  $tool-objcopy -O ihex "$base.elf" "$base.hex"
  $with_binary || return 0
  $tool-objcopy -O binary "$base.elf" "$base.bin"
}

# What makes gcc build for a core; the last -mcpu counts.
core_flags()
{
  case $1 in
  cortex-m4f) echo "-mcpu=cortex-m4 -mfpu=fpv4-sp-d16 -mfloat-abi=hard" ;;
  *) echo "-mcpu=$1" ;;
  esac
}

# app NAME LINKER_SCRIPT SOURCE... : an image that begins in start.S
app()
{
  image "$@" common/vectors.S common/start.S
}

# defining NAMES NAME LINKER_SCRIPT SOURCE... : the same with macros
defining()
{
  plain=$compile
  compile="$plain $1"
  shift
  app "$@"
  compile=$plain
}

# for_core CORE KIND NAME LINKER_SCRIPT SOURCE... : the same for another core
for_core()
{
  core_plain=$compile
  core_link=$link
  flags=$(core_flags "$1")
  compile="$core_plain $flags"
  link="$core_link $flags"
  shift
  "$@"
  compile=$core_plain
  link=$core_link
}

# with_lines NAME LINKER_SCRIPT SOURCE... : the same with DWARF
with_lines()
{
  plain=$compile
  compile="$plain -g"
  app "$@"
  compile=$plain
}

# CRC-32/ISO-HDLC of a file, in decimal: gzip ends with it (RFC 1952, 2.3.1)
crc32()
{
  gzip -c "$1" | tail -c 8 | od -A n -t u4 -N 4 --endian=little | tr -d ' '
}

# headed NAME FLIP SOURCE... : an application behind a header; FLIP is what
# makes its CRC wrong, or 0. Linked once to know what the header has to say.
headed()
{
  name=$1
  flip=$2
  shift 2
  plain=$compile
  compile="$plain -Irom-checking -DIMAGE_LENGTH=0 -DIMAGE_CRC=0"
  app "$name" rom-checking/headed.ld rom-checking/header.S "$@"
  $tool-objcopy -O binary --remove-section .header "$out/$name/$name.elf" \
    "$objects/behind"
  length=$(wc -c <"$objects/behind")
  crc=$(($(crc32 "$objects/behind") ^ flip))
  compile="$plain -Irom-checking -DIMAGE_LENGTH=$length -DIMAGE_CRC=$crc"
  app "$name" rom-checking/headed.ld rom-checking/header.S "$@"
  compile=$plain
}

# The sum of two-slot/sum.h over a file, in decimal.
slot_sum()
{
  first=1 second=1
  for word in $(od -A n -v -t u4 --endian=little "$1"); do
    first=$(((first + word) & 0xFFFFFFFF))
    second=$(((second + first) & 0xFFFFFFFF))
  done
  echo $second
}

# slot NAME OWN OTHER SEQUENCE : two-slot's application in one of its slots,
# padded to whole programming units. Linked once to know what the header has to
# say; $objects/NAME.bytes are the bytes behind it.
slot()
{
  name=two-slot-$1
  bytes=$objects/$1.bytes
  plain=$compile
  sources="two-slot/header.S two-slot/app.c two-slot/update.c
    two-slot/flash_orders.c"
  own_slot="-Itwo-slot -DOWN_SLOT=SLOT_$2 -DOTHER_SLOT=SLOT_$3 -DSEQUENCE=$4"
  script=two-slot/slot-$(echo "$2" | tr AB ab).ld
  compile="$plain $own_slot -DIMAGE_LENGTH=0 -DIMAGE_SUM=0"
  # shellcheck disable=SC2086
  app "$name" "$script" $sources
  $tool-objcopy -O binary --remove-section .header "$out/$name/$name.elf" \
    "$bytes"
  length=$(wc -c <"$bytes")
  [ $((length % 16)) -eq 0 ] || fail "$name is no whole number of units"
  sum=$(slot_sum "$bytes")
  compile="$plain $own_slot -DIMAGE_LENGTH=$length -DIMAGE_SUM=$sum"
  # shellcheck disable=SC2086
  app "$name" "$script" $sources
  compile=$plain
}

# delivery NAME : the bytes of the slot's image, in RAM
delivery()
{
  plain=$compile
  bytes=$objects/$1.bytes
  compile="$plain -Itwo-slot -DIMAGE_FILE=\"$1.bytes\" -Wa,-I$objects
    -DIMAGE_LENGTH=$(wc -c <"$bytes") -DIMAGE_SUM=$(slot_sum "$bytes")"
  image two-slot-delivery two-slot/delivery.ld two-slot/delivery.S
  compile=$plain
}

# kernel NAME : kernels/NAME.c, for each kind of core, at each optimisation
kernel_cores="cortex-m0 cortex-m3 cortex-m4 cortex-m4f"
kernel()
{
  plain=$compile
  plain_link=$link
  for core in $kernel_cores; do
    for level in -Os -O2 -O3; do
      flags=$(core_flags "$core")
      compile="$plain $flags $level -Ikernels"
      link="$plain_link $flags"
      app "$1$level" kernels/kernel.ld kernels/main.c "kernels/$1.c"
      mkdir -p "$out/kernels/$core"
      mv "$out/$1$level/$1$level.elf" "$out/kernels/$core/"
      rm -r "$out/$1$level"
    done
  done
  compile=$plain
  link=$plain_link
}

# boot_rom NAME PART SOURCE : a boot ROM; PART has the rom/PART/part.h
boot_rom()
{
  plain=$compile
  compile="$plain -fno-jump-tables -I../sim -Irom -Irom/$2"
  image "$1" rom/rom.ld rom/vectors.S "$3" rom/session.c rom/requests.c
  compile=$plain
}

boot_rom rom latched rom/rom.c
boot_rom rom-clearable clearable rom/rom.c
boot_rom rom-checked checked rom/rom.c
boot_rom rom-strapped strapped rom/rom.c
boot_rom rom-banked banked rom/rom.c
for_core cortex-m3 boot_rom rom-checking first rom-checking/rom.c
image rom-handing-over rom/rom.ld handover/rom.S
image bad-vectors common/flash.ld bad-vectors/vectors.S common/start.S \
  bad-vectors/main.c
app logger common/flash.ld logger/main.c
app logger-at-offset logger-at-offset/offset.ld logger/main.c
app selfclear common/flash.ld selfclear/main.c
app watchdogged common/flash.ld watchdogged/main.c
app deep-sleeper common/flash.ld deep-sleeper/main.c
app selfreload common/flash.ld selfreload/main.c
app jumps-to-rom common/flash.ld jumps-to-rom/main.c
with_lines logger-with-lines common/flash.ld logger/main.c
headed logger-headed 0 logger/main.c
headed logger-headed-wrong 1 logger/main.c
app stranger stranger/low.ld stranger/main.c
app stranger-high stranger/high.ld stranger/main.c
defining -DLISTENS stranger-listens stranger/low.ld stranger/main.c
with_binary=false
app stranger-two stranger/two.ld stranger/main.c
with_binary=true
app sleeper common/flash.ld sleeper/main.c
image ticker common/flash.ld ticker/vectors.S common/start.S ticker/main.c
app pin-taker common/flash.ld pin-taker/main.c
image ram-loader ram-loader/loader.ld ram-loader/entry.S ram-loader/loader.c
plain=$compile
compile="$plain -Itwo-slot"
app two-slot-loader two-slot/loader.ld two-slot/loader.c
compile=$plain
slot first A B 1
slot second B A 2
delivery second
kernel crc32
kernel sha256
kernel sort

tools >"$out/COMPILER"
