#!/bin/sh
# validate_results.sh PROGRAM -- what run --json writes is valid by
# traces/result.schema.json, judged by Debian's python3-jsonschema: every case
# alone, on all parts side by side, all together, and an image without a case.
#
# The schema itself must be one, and must refuse what it should: results that
# lack a member, or have one too many.
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

# result NAME ARGUMENT... : an expectation that fails is a result too
result()
{
  name=$1
  shift
  status=0
  "$program" run "$@" --json - >"$work/$name.json" || status=$?
  if [ $status -gt 1 ]; then
    echo "run $* --json -: exit status $status"
    exit 1
  fi
}

for case in traces/*.jsonc; do
  name=$(basename "$case" .jsonc)
  result "$name" "$case"
  # a case may name an option that only its own part has
  status=0
  "$program" run "$case" --part all --json "$work/$name.beside.json" \
    >"$work/$name.log" 2>&1 || status=$?
  if [ $status -gt 1 ]; then
    rm -f "$work/$name.beside.json"
    grep -q 'has no option field' "$work/$name.log" || {
      cat "$work/$name.log"
      exit 1
    }
  fi
done
result together traces/*.jsonc
result image --image images/logger/logger.elf --part all
result stranger --part images/stranger/part.json \
  --image images/stranger-listens/stranger-listens.elf
result lines --image images/logger-with-lines/logger-with-lines.elf \
  --part all --code
result fault --image images/bad-vectors/bad-vectors.elf --part all --code
result code traces/*.jsonc --code

$python - traces/result.schema.json "$work"/*.json <<'PYTHON'
import copy, json, os, sys
from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

with open(sys.argv[1]) as file:
    schema = json.load(file)
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema)
failed = False


def complain(name, text):
    global failed
    failed = True
    print(f"{name}: {text}")


def objects(value, path=""):
    """The value and all in it that are objects, each with its path; elements
    of a list have the same."""
    if isinstance(value, dict):
        yield path, value
        for key, item in value.items():
            yield from objects(item, f"{path}.{key}")
    elif isinstance(value, list):
        for item in value:
            yield from objects(item, path)


spoiled_paths = set()


def spoiled(result):
    """Copies, each with one object that lacks a member or has another; one
    object for each path that was not spoiled before."""
    for n, (path, _) in enumerate(objects(result)):
        if path in spoiled_paths:
            continue
        spoiled_paths.add(path)
        for spoil in (lambda o: o.popitem(), lambda o: o.update(extra=1)):
            damaged = copy.deepcopy(result)
            spoil(list(objects(damaged))[n][1])
            yield damaged


def explain(result):
    """What is wrong, by the one of both forms that is meant."""
    form = "runs" if "runs" in result else "run"
    meant = {**schema, "$ref": f"#/$defs/{form}"}
    del meant["anyOf"]
    error = best_match(Draft202012Validator(meant).iter_errors(result))
    return f"{error.json_path}: {error.message[:500]}"


for path in sys.argv[2:]:
    name = os.path.basename(path)
    with open(path) as file:
        result = json.load(file)
    if not validator.is_valid(result):
        complain(name, explain(result))
    for damaged in spoiled(result):
        if validator.is_valid(damaged):
            complain(name, f"spoiled, but valid: {json.dumps(damaged)[:500]}")

print(f"{len(sys.argv) - 2} results, {len(spoiled_paths)} kinds of objects spoiled")
sys.exit(failed)
PYTHON
