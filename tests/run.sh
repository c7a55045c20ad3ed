#!/bin/sh
# Install what is missing, build, and run every test through ctest.
# Arguments go to ctest: sh tests/run.sh -R test_latch
set -eu
cd "$(dirname "$0")/.."
. sim/packages.sh
# shellcheck disable=SC2086
need_packages $BUILD_PACKAGES $TEST_PACKAGES
configure_build build -DCMAKE_BUILD_TYPE=Release
cmake --build build
ctest --test-dir build --output-on-failure --no-tests=error -j "$(nproc)" \
  "$@"
