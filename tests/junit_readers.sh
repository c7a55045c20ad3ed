#!/bin/sh
# junit_readers.sh PROGRAM -- run --junit, read by a parser from npm
# (installed by tests/npm_install.sh) says what --json says: all cases on all
# parts, so that some expectations fail, and a case whose texts are markup.
set -eu
export LC_ALL=C

program=$(realpath "$1")
cd "$(dirname "$0")/.."
if ! command -v node >/dev/null || [ ! -d build-npm/node_modules ]; then
  echo "skipped: tests/npm_install.sh has not been run"
  exit 77
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

cat >"$work/markup.json" <<'JSON'
{ "case": "\"<b>\" & 'x' ]]> &amp; \u00e4",
  "part": "latched",
  "steps": [
    { "power": "on" },
    { "expect": { "rule": "<a \"b\"> & c", "within": "1ms" },
      "label": "<&\">" } ] }
JSON

# compare ARGUMENT... : an expectation that fails is a verdict too
compare()
{
  status=0
  "$program" run "$@" --junit "$work/run.xml" --json "$work/run.json" \
    >/dev/null 2>"$work/errors" || status=$?
  # A case may ask for what a part does not have.
  if [ $status -eq 2 ] && grep -q ': part [a-z-]* has no ' "$work/errors"; then
    return
  fi
  if [ $status -gt 1 ]; then
    cat "$work/errors"
    echo "run $*: exit status $status"
    exit 1
  fi
  node tests/junit_read.mjs "$work/run.xml" "$work/run.json"
}

for case in traces/*.jsonc; do
  compare "$case" --part all
done
compare traces/still-boots-rom.jsonc traces/mended-by-*.jsonc
compare traces/still-boots-rom.jsonc --compare
compare "$work/markup.json"
compare --image images/logger/logger.elf --part latched
