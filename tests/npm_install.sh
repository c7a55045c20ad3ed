#!/bin/sh
# npm_install.sh -- the packages of tests/npm/package.json, which some tests
# read reports with, into build-npm.
set -eu

cd "$(dirname "$0")/.."
mkdir -p build-npm
cp tests/npm/package.json tests/npm/package-lock.json build-npm
npm ci --no-audit --no-fund --prefix build-npm
