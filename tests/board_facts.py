#!/usr/bin/env python3
"""What a case and its part say about nets and latch, as JSON.

usage: board_facts.py CASE      from the top of the tree
"""
import json
import os
import sys

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from jsonc import load  # noqa: E402

case = load(sys.argv[1])
name = case["part"]
beside = os.path.join(os.path.dirname(sys.argv[1]), name)
part = load(beside if ".json" in name else "models/%s.json" % name)
json.dump({
    "nets": {net["net"]: net["pins"]
             for net in case.get("board", {}).get("nets", [])},
    "latched": part.get("blank_check", {}).get("held") == "latched",
}, sys.stdout)
