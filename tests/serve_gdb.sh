#!/bin/sh
# serve_gdb.sh PROGRAM -- the real gdb on the simulated part: the sessions that
# README.md shows, and some more.
#
# A session of README.md is a fenced "gdb" block. The indented block right
# behind it shows what gdb prints: its lines are found there, in that order;
# "..." stands for others. Skipped (77) where there is no gdb that knows Arm.
set -eu
export LC_ALL=C

program=$(realpath "$1")
gdb=$(command -v gdb-multiarch || command -v arm-none-eabi-gdb) || exit 77
cd "$(dirname "$0")/.."
work=$(mktemp -d)
server=
trap 'if [ -n "$server" ]; then kill "$server" || true; fi
      rm -rf "$work"' EXIT

# Session N goes to N.session, what is shown of it to N.shown.
awk -v work="$work" '
  /^```/ {
    behind = fenced
    fenced = !fenced && $0 == "```gdb"
    if (fenced) n++
    next
  }
  fenced { print >(work "/" n ".session") }
  behind && n && sub(/^    /, "") && $0 != "..." { print >(work "/" n ".shown") }
  behind && /^[^ ]/ { behind = 0 }
' README.md

mkdir "$work/tree" "$work/tree/build"
cp -R models images traces "$work/tree"
ln -s "$program" "$work/tree/build/firstfetch"
cd "$work/tree"

failed=0

# run_gdb FILE: what it prints goes to $work/output.
run_gdb()
{
  timeout 120 "$gdb" -nx -batch -x "$1" </dev/null >"$work/output" 2>&1 ||
    echo "gdb: exit status $?" >>"$work/output"
}

# shows FILE NAME: its lines are in the output, in that order.
shows()
{
  missing=$(awk '
    NR == FNR { shown[++count] = $0; next }
    next_line < count && $0 == shown[next_line + 1] { next_line++ }
    END { if (next_line < count) print shown[next_line + 1] }
  ' "$1" "$work/output")
  if [ -n "$missing" ]; then
    echo "$2: gdb does not print, or not in that order: $missing"
    sed 's/^/  /' "$work/output"
    failed=1
  fi
}

# session NAME: commands from standard input; behind "---" what it shows.
session()
{
  sed '/^---$/,$d' >"$work/commands" <"$work/in"
  sed '1,/^---$/d' >"$work/lines" <"$work/in"
  run_gdb "$work/commands"
  shows "$work/lines" "$1"
}

# --- README.md ---------------------------------------------------------------

n=0
while [ -f "$work/$((n + 1)).session" ]; do
  n=$((n + 1))
  run_gdb "$work/$n.session"
  shows "$work/$n.shown" "README.md, session $n"
done
if [ $n -eq 0 ]; then echo "README.md shows no session"; failed=1; fi

# --- where the core is -------------------------------------------------------

# Symbols are those of the image, as gdb reads it: nothing of ours.
cat >"$work/in" <<'END'
file images/rom/rom.elf
target remote | build/firstfetch serve traces/still-boots-rom.jsonc --after 6 --stdio
printf "entry: %d\n", $pc == (unsigned)rom_entry
monitor run 3ms
maintenance flush register-cache
printf "polls: %d\n", $pc >= (unsigned)wait_for_host && $pc < (unsigned)wait_for_host + 64
printf "first word %08x, alias %08x\n", *(unsigned *)0x06000000, *(unsigned *)0
printf "stack %d\n", $sp > 0x20000000 && $sp <= 0x20001000
detach
---
entry: 1
polls: 1
first word 20001000, alias 20001000
stack 1
[Inferior 1 (Remote target) detached]
END
session "the ROM polls"

# --- a power cycle, a breakpoint, a step --------------------------------------

cat >"$work/in" <<'END'
file images/logger/logger.elf
target remote | build/firstfetch serve traces/mended-by-power-cycle.jsonc --after programmed --stdio
monitor power
maintenance flush register-cache
printf "start: %d\n", $pc == (unsigned)start
break main
continue
printf "main: %d\n", $pc - (unsigned)main < 16
stepi
printf "stepped: %d\n", $pc - (unsigned)main < 20
set var $r7 = 0x12345678
info registers r7
set {int}0x20000100 = 0x600d
x/1xw 0x20000100
compare-sections
---
start: 1
main: 1
stepped: 1
r7             0x12345678          305419896
0x20000100 <kept+236>:	0x0000600d
Section .text, range 0x4000000 -- 0x40001dc: matched.
END
session "a power cycle"

# A watch by steps stops behind the store that changed it, and no later.
cat >"$work/in" <<'END'
file images/logger/logger.elf
target remote | build/firstfetch serve traces/mended-by-power-cycle.jsonc --stdio
set can-use-hw-watchpoints 0
watch *(unsigned *)&kept
continue
printf "stored: %d\n", $pc > (unsigned)keep_sample && $pc < (unsigned)pause
continue
printf "again: %d\n", $pc > (unsigned)keep_sample && $pc < (unsigned)pause
---
stored: 1
again: 1
END
session "a watch"

# --- what runs out, and what is refused ----------------------------------------

cat >"$work/in" <<'END'
file images/logger/logger.elf
target remote | build/firstfetch serve traces/still-boots-rom.jsonc --after 2 --stdio
hbreak *0x04000100
hbreak *0x04000104
hbreak *0x04000108
hbreak *0x0400010c
hbreak *0x04000110
continue
---
firstfetch: no breakpoint is left: the part's unit has 4 comparators
Cannot insert hardware breakpoint 5.
END
session "one breakpoint too many"

cat >"$work/in" <<'END'
target remote | build/firstfetch serve traces/rom-first-lands.jsonc --stdio
printf "basepri %d, faultmask %d\n", $basepri, $faultmask
info registers control
monitor power
---
basepri 0, faultmask 0
control        0x0                 0
this board's supply can't be switched off
END
session "an ARMv7-M part"

# --- through a port --------------------------------------------------------------

build/firstfetch serve traces/still-boots-rom.jsonc --after 2 \
  >"$work/port" 2>"$work/console" &
server=$!
for _ in 1 2 3 4 5 6 7 8 9 10; do
  if [ -s "$work/port" ]; then break; fi
  sleep 0.5
done
port=$(sed -n 's/.*target remote 127\.0\.0\.1:\([0-9]*\)$/\1/p' "$work/port")

# Nobody else can have it meanwhile.
status=0
build/firstfetch serve traces/still-boots-rom.jsonc --port "$port" \
  >"$work/output" 2>&1 || status=$?
if [ $status -ne 2 ]; then
  echo "a port that is taken: exit status $status; expected 2"
  failed=1
fi

# /proc/net/tcp: state 0A listens, and 127.0.0.1 is 0100007F; proc(5).
if [ "$(awk -v port="$(printf ':%04X' "$port")" '
      $4 == "0A" && index($2, port) { print substr($2, 1, 8) }
    ' /proc/net/tcp /proc/net/tcp6)" != 0100007F ]; then
  echo "the port is open to others than this machine"
  failed=1
fi

# Whoever hangs up in the middle of a packet leaves it as it was.
/usr/bin/python3 - "$port" <<'END'
import socket
import sys
for text in b"", b"$m0", b"$vCont;c#a8", b"\x03$g#67", b"$z" * 9000:
    with socket.create_connection(("127.0.0.1", int(sys.argv[1])), 10) as s:
        s.sendall(text)
END
cat >"$work/in" <<END
target remote 127.0.0.1:$port
monitor latch
detach
target remote 127.0.0.1:$port
kill
---
blank; a fresh check would say blank
[Inferior 1 (Remote target) detached]
[Inferior 1 (Remote target) killed]
END
session "through a port"
status=0
wait "$server" || status=$?
server=
if [ $status -ne 0 ]; then
  echo "a server that gdb kills ends with $status"
  failed=1
fi
echo "$n sessions of README.md, and some more"
exit $failed
