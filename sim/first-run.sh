#!/bin/sh
# Install what is missing, build, and run the demo case. The exit status is
# that of the demo; 2 if there is no program to run it.
set -eu
cd "$(dirname "$0")/.."
. sim/packages.sh
# shellcheck disable=SC2086
need_packages $BUILD_PACKAGES

build_program() {
  configure_build build -DCMAKE_BUILD_TYPE=Release &&
    cmake --build build --target firstfetch
}

mkdir -p build
log=build/first-run.log
echo "Building; what it says goes to $log" >&2
if ! build_program >"$log" 2>&1; then
  cat "$log" >&2
  exit 2
fi
exec build/firstfetch run traces/still-boots-rom.jsonc
