#!/bin/sh
# Install what is missing, build, and run the demo case.
set -eu
cd "$(dirname "$0")/.."
. sim/packages.sh
# shellcheck disable=SC2086
need_packages $BUILD_PACKAGES
cmake -S . -B build -G "$(generator)" -DCMAKE_BUILD_TYPE=Release \
  >build.log 2>&1 && cmake --build build --target firstfetch >>build.log 2>&1 ||
  { cat build.log >&2; exit 2; }
rm -f build.log
exec build/firstfetch run traces/still-boots-rom.jsonc
