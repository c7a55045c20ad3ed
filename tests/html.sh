#!/bin/sh
# html.sh PROGRAM WORK -- the pages in a browser that knows nothing of us:
# Debian's Chromium, driven by playwright-core; accessibility judged by
# axe-core. What is checked stands in html_check.mjs.
#
# Both libraries come from npm and go to WORK, once, in versions that run on
# node 18, which Debian 12 has. Where the browser, node or npm is missing, or
# npm can't fetch them, the test is skipped (exit status 77).
set -eu
export LC_ALL=C

program=$(realpath "$1")
mkdir -p "$2"
work=$(realpath "$2")
cd "$(dirname "$0")/.."

playwright=1.58.2
axe=4.14.1

for needed in /usr/bin/chromium node npm; do
  if ! command -v $needed >/dev/null; then
    echo "no $needed: skipped"
    exit 77
  fi
done
if [ ! -f "$work/have-$playwright-$axe" ]; then
  if ! npm install --no-save --no-audit --no-fund --prefix "$work" \
    "playwright-core@$playwright" "axe-core@$axe" >"$work/npm.log" 2>&1; then
    cat "$work/npm.log"
    echo "npm can't fetch playwright-core and axe-core: skipped"
    exit 77
  fi
  touch "$work/have-$playwright-$axe"
fi

# page CASE NAME ARGUMENT... -- NAME.html, NAME.json and NAME.trace
page()
{
  case=$1
  name=$2
  shift 2
  "$program" run "traces/$case.jsonc" "$@" --html "$work/$name.html" \
    --json "$work/$name.json" --trace "$work/$name.trace" >/dev/null
}

page still-boots-rom demo
page rom-first-lands landing
page power-cycle-that-was-none cycle
page rom-shorts-a-pin fight
page back-powered-rail fed
"$program" sweep traces/still-boots-rom.jsonc --cut each-event \
  --html "$work/sweep.html" >/dev/null
page still-boots-rom beside --part latched,checked --compare
"$program" why traces/why-only-the-pc.jsonc --html "$work/why.html" >/dev/null
"$program" route traces/route-battery-fitted.jsonc --depth 3 \
  --html "$work/route.html" >/dev/null
"$program" route traces/route-nothing-at-hand.jsonc --depth 3 \
  --html "$work/blocked.html" >/dev/null || test $? -eq 3
"$program" why traces/why-nothing-fits.jsonc --html "$work/none.html" \
  >/dev/null || test $? -eq 3

page erase-outlasts-the-watchdog watchdog
mkdir -p "$work/models"
cp models/*.json "$work/models"
rm -f "$work"/lesson-*.html
for lesson in traces/lessons/*.jsonc; do
  "$program" quiz "$lesson" \
    --html "$work/lesson-$(basename "$lesson" .jsonc).html" >/dev/null
done

cp tests/html_check.mjs "$work"
node "$work/html_check.mjs" "$work" 2>&1
