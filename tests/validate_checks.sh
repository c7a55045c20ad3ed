#!/bin/sh
# validate_checks.sh PROGRAM -- what check --json writes is valid by
# traces/check.schema.json, judged by Debian's python3-jsonschema: all cases,
# parts and images together, and a file that is unsound.
set -eu

program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

python=/usr/bin/python3
if ! $python -c 'import jsonschema' 2>/dev/null; then
  echo "skipped: python3-jsonschema is not installed"
  exit 77
fi

"$program" check traces/*.jsonc models/latched.json images/logger/logger.hex \
  --json "$work/sound.json" >/dev/null
echo '{' >"$work/broken.json"
status=0
"$program" check "$work/broken.json" traces/still-boots-rom.jsonc --json - \
  >"$work/unsound.json" 2>/dev/null || status=$?
[ $status -eq 2 ] || { echo "an unsound file: exit status $status"; exit 1; }
mv "$work/unsound.json" "$work/unsound"

$python - traces/check.schema.json "$work/sound.json" "$work/unsound" <<'PYTHON'
import copy, json, sys
from jsonschema import Draft202012Validator

with open(sys.argv[1]) as file:
    schema = json.load(file)
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema)
failed = False
for path in sys.argv[2:]:
    with open(path) as file:
        result = json.load(file)
    for error in validator.iter_errors(result):
        print(f"{path}: {error.json_path}: {error.message[:300]}")
        failed = True
    sound = [f["sound"] for f in result["files"]]
    if all(sound) != path.endswith("/sound.json"):
        print(f"{path}: sound: {sound}")
        failed = True
    damaged = copy.deepcopy(result)
    for f in damaged["files"]:
        f.get("review", f).popitem()
    if validator.is_valid(damaged):
        print(f"{path}: spoiled, but valid")
        failed = True
sys.exit(failed)
PYTHON
