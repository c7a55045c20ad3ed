#!/usr/bin/env python3
"""Help, README.md and the schemas name the same options and keys.

usage: words_agree.py PROGRAM      from the top of the tree

Every command of the help is in README.md, and every option of every command;
every option that README.md names is one of some command. Every key of the top
of a case and of a part, and every verb of a step, is in README.md; every key
that README.md shows in JSON is one of the schemas or of the result.
"""
import json
import re
import subprocess
import sys

# What README.md shows that is no option of firstfetch, or no key of a file.
OTHERS = {"--build", "--test-dir"}

program = sys.argv[1]
complaints = []


def told(*arguments):
    return subprocess.run([program, *arguments], check=True,
                          capture_output=True, text=True).stdout


def options(text):
    return set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", text))


def keys_of(schema):
    """Every property name anywhere in a schema."""
    if isinstance(schema, list):
        return set().union(*map(keys_of, schema)) if schema else set()
    if not isinstance(schema, dict):
        return set()
    found = set(schema.get("properties", {})) if isinstance(
        schema.get("properties"), dict) else set()
    return found.union(*map(keys_of, schema.values()))


def load(path):
    with open(path, encoding="utf-8") as file:
        return json.load(file)


def require(what, names, where, there):
    for name in sorted(set(names) - set(there)):
        complaints.append("%s %s is not in %s" % (what, name, where))


with open("README.md", encoding="utf-8") as file:
    readme = file.read()
commands = re.findall(r"^  ([a-z]+) ", told("help"), re.M)
known = {"--help"}
for command in commands:
    if not re.search(r"\b%s\b" % command, readme):
        complaints.append("command %s is not in README.md" % command)
    of_command = options(told("help", command))
    known |= of_command
    require("%s:" % command, of_command - {"--help"}, "README.md",
            options(readme))
require("README.md:", options(readme) - OTHERS, "the help of any command",
        known)

case, part, result = (load("traces/case.schema.json"),
                      load("models/part.schema.json"),
                      load("traces/result.schema.json"))
words = set(re.findall(r"[\w-]+", readme))
require("key of a case", case["properties"], "README.md", words)
with open("sim/describe/verbs.def", encoding="utf-8") as file:
    verbs = re.findall(r'^X\(\w+, "(\w+)"', file.read(), re.M)
require("verb", verbs, "README.md", words)
require("verb", verbs, "traces/case.schema.json", keys_of(case))
shown = set()
for code in re.findall(r"`([^`]*)`", readme):
    shown |= set(re.findall(r'"([\w-]+)": ', code))
require("README.md: key", shown, "any schema",
        keys_of(case) | keys_of(part) | keys_of(result))
print("\n".join(complaints) or "%d commands, %d options, %d keys" %
      (len(commands), len(known), len(shown)))
sys.exit(bool(complaints))
