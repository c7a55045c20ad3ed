#!/usr/bin/env python3
"""Hold the committed schemas against a JSON Schema implementation.

usage: schemas.py DIR      the top of the tree

The reference is python3-jsonschema (draft 2020-12). Each schema must be a
schema; every model and trace must be valid under its own; and each of them
spoilt, one value at a time, must not be: an unknown key in any object, a key
that is required taken away, null for any value. Exits 77 where the package
is missing.
"""
import copy
import glob
import os
import sys

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from jsonc import load  # noqa: E402

try:
    import jsonschema
except ImportError:
    print("skipped: python3-jsonschema is not installed")
    sys.exit(77)


def places(value, path=()):
    """Paths of everything below the root, in the order of the document."""
    items = []
    if isinstance(value, dict):
        items = list(value.items())
    elif isinstance(value, list):
        items = list(enumerate(value))
    for key, child in items:
        yield path + (key,)
        yield from places(child, path + (key,))


def at(value, path):
    for key in path:
        value = value[key]
    return value


def spoilt(document):
    """(what was done, the document with that done to it)."""
    for path in [()] + list(places(document)):
        if isinstance(at(document, path), dict):
            bad = copy.deepcopy(document)
            at(bad, path)["no key?"] = 1
            yield "unknown key in %s" % (path,), bad
        if path:
            bad = copy.deepcopy(document)
            at(bad, path[:-1])[path[-1]] = None
            yield "null at %s" % (path,), bad


def main():
    top = sys.argv[1]
    failed = checked = 0
    for schema_name, pattern in (("models/part.schema.json", "models/*.json"),
                                 ("traces/case.schema.json", "traces/*.json*"),
                                 ("traces/case.schema.json",
                                  "traces/lessons/*.json*"),
                                 ("models/part.schema.json",
                                  "tests/sample_part.json"),
                                 ("models/part.schema.json",
                                  "images/*/part.json"),
                                 ("traces/case.schema.json",
                                  "tests/sample_case.json")):
        schema = load(os.path.join(top, schema_name))
        jsonschema.Draft202012Validator.check_schema(schema)
        validator = jsonschema.Draft202012Validator(schema)
        names = [n for n in sorted(glob.glob(os.path.join(top, pattern)))
                 if not n.endswith(".schema.json")]
        if not names:
            print("%s: nothing matches" % pattern)
            failed += 1
        for name in names:
            document = load(name)
            for error in validator.iter_errors(document):
                print("%s: %s: %s" % (name, list(error.path), error.message))
                failed += 1
            for what, bad in spoilt(document):
                checked += 1
                if validator.is_valid(bad):
                    print("%s: valid with %s" % (name, what))
                    failed += 1
            for key in schema["required"]:
                bad = {k: v for k, v in document.items() if k != key}
                if validator.is_valid(bad):
                    print("%s: valid without %s" % (name, key))
                    failed += 1
    print("%d spoilt documents, %d failures" % (checked, failed))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
