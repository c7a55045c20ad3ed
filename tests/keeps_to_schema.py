"""keeps_to_schema.py SCHEMA FILE... -- each file keeps to the schema, and does
not if a key of its outermost object is taken away or one is added."""
import json
import sys

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
        print(path, error.message[:300])
        failed = True
    for key in list(result):
        without = {k: v for k, v in result.items() if k != key}
        if validator.is_valid(without):
            print(path, "is valid without", key)
            failed = True
    if validator.is_valid({**result, "extra": 1}):
        print(path, "is valid with one key more")
        failed = True
sys.exit(failed)
