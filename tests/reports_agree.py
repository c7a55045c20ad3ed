#!/usr/bin/env python3
"""All reports of one run say the same.

usage: reports_agree.py DIR      what reports_agree.sh has put there

DIR holds run.json, run.junit, run.trace, run.text, run.html and run.vcd, all
written by one run; run.vcd was read and written again by another program. The values of
every signal at every instant are computed here a second time, from the lines
of the trace alone, but for the number of the start: that is in the JSON.
"""
import json
import re
import sys
import xml.etree.ElementTree as xml

WORDS = {
    "boot": "off held options check line straps vectors running",
    "core": "off held running sleeping halted lockup",
}


def fail(text):
    sys.exit("the reports differ: " + text)


def must_be(what, one, other):
    if one != other:
        fail("%s: %r and %r" % (what, one, other))


# --- the dump, as the other program wrote it --------------------------------


def read_vcd(path):
    """([names], [(time, {name: value})]); vectors are binary digits."""
    scope, names, changes, now = [], {}, [], {}
    words = open(path, encoding="utf-8").read().split()
    i = 0
    while i < len(words):
        word = words[i]
        if word == "$scope":
            scope.append(words[i + 2])
        elif word == "$upscope":
            scope.pop()
        elif word == "$var":
            names[words[i + 3]] = scope[-1] + "." + words[i + 4]
        if word == "$timescale":
            must_be("time unit", "".join(words[i + 1:words.index("$end", i)]),
                    "1ps")
        if word in ("$dumpvars", "$end"):
            i += 1
        elif word.startswith("$"):
            i = words.index("$end", i) + 1
        elif word.startswith("#"):
            now = {}
            changes.append((int(word[1:]), now))
            i += 1
        elif word[0] == "b":
            digits = word[1:].lstrip("0") or "0"
            now[names[words[i + 1]]] = "x" if "x" in digits else digits
            i += 2
        else:
            now[names[word[1:]]] = word[0]
            i += 1
    return sorted(names.values()), changes


# --- the same from the trace ------------------------------------------------


def read_trace(path):
    """[(ps, kind, {argument: text})]"""
    for line in open(path, encoding="utf-8"):
        if line.startswith("#"):
            continue
        words = line.split()
        ns, ps = words[0].split(".")
        yield (int(ns) * 1000 + int(ps), words[2],
               dict(word.split("=", 1) for word in words[3:]))


class Signals:
    def __init__(self, names):
        self.value = {}
        self.part, self.outside, self.fought = {}, {}, set()
        for name in names:
            scope = name.split(".")[0]
            first = "x" if scope in ("options", "straps") else "0"
            self.value[name] = "z" if scope == "pins" else first
        for name in ("run.step", "reset.line", "latch.held_programmed"):
            self.put(name, "x")
        for name in ("core.off", "boot.off", "flash.idle"):
            self.put(name, "1")

    def put(self, name, value):
        if name in self.value:
            self.value[name] = value

    def number(self, name, value):
        self.put(name, bin(value)[2:])

    def only(self, scope, word, among=None):
        for name in self.value:
            key = name.split(".", 1)
            if key[0] == scope and (among is None or key[1] in among):
                self.put(name, "1" if key[1] == word else "0")

    def take(self, at, kind, a):
        if kind == "step":
            self.number("run.step", int(a["step"]))
        elif kind == "source":
            self.number("supply.source_mv", int(a["mv"]))
        elif kind in ("rail", "rail+", "rail-"):
            self.number("supply.rail_mv", int(a["mv"]))
        elif kind == "line":
            self.put("reset.line", "1" if a["level"] == "high" else "0")
        elif kind == "flag":
            self.put("reset." + a["cause"], a["set"])
        elif kind == "phase":
            self.only("boot", a["to"])
        elif kind in ("option", "option-fallback"):
            self.number("options." + a["word"], int(a["value"], 16))
        elif kind == "strap":
            self.put("straps." + a["strap"],
                     "1" if a["level"] == "high" else "0")
        elif kind in ("latch", "fresh"):
            which = "held" if kind == "latch" else "fresh"
            self.put("latch.%s_programmed" % which,
                     "1" if a["value"] == "programmed" else "0")
        elif kind == "core":
            self.only("core", a["mode"])
            if a["mode"] in ("off", "held"):
                self.only("executes", None)
        elif kind == "enter":
            self.only("executes", a["region"])
        elif kind == "flash":
            self.only("flash", a["op"].replace("-", "_"))
            self.put("flash.busy", "1")
        elif kind in ("flash-end", "flash-torn"):
            self.only("flash", "idle")
            self.put("flash.busy", "0")
        elif kind in ("pin", "net", "net-released", "contention",
                      "contention-end"):
            self.take_pin(kind, a)

    def take_pin(self, kind, a):
        pin = a["pin"]
        if kind == "pin":
            self.part[pin] = a["drive"]
        elif kind == "net":
            self.outside[pin] = a["level"]
        elif kind == "net-released":
            self.outside.pop(pin, None)
        elif kind == "contention":
            self.fought.add(pin)
        else:
            self.fought.discard(pin)
        part = self.part.get(pin, "released")
        level = part if part != "released" else self.outside.get(pin)
        seen = {"high": "1", "low": "0"}.get(level, "z")
        self.put("pins." + pin, "x" if pin in self.fought else seen)
        self.put("driven." + pin, "0" if part == "released" else "1")
        self.put("fought." + pin, "1" if pin in self.fought else "0")


def compare_dump(directory, result, nets, latched):
    names, changes = read_vcd(directory + "/run.vcd")
    signals = Signals(names)
    seen = {}
    starts = [int(s["at_ps"]) for s in result["starts"]]
    records = list(read_trace(directory + "/run.trace"))
    ends = {int(result["end_ps"])}
    times = sorted({r[0] for r in records} | {c[0] for c in changes} | ends)
    dump, next_record, compared = dict(changes), 0, 0
    must_be("last time of the dump", changes[-1][0], int(result["end_ps"]))
    for at in times:
        seen.update(dump.get(at, {}))
        # A record may bear an instant a little before that of the one ahead of
        # it: the core's, an instruction ago. It counts from the latter on.
        while next_record < len(records) and records[next_record][0] <= at:
            signals.take(*records[next_record])
            next_record += 1
        value = signals.value
        signals.number("run.start", sum(s <= at for s in starts))
        if latched and value["latch.held_programmed"] != "x":
            value["latch.stale"] = str(int(
                value["latch.held_programmed"] !=
                value["latch.fresh_programmed"]))
        for net, pins in nets.items():
            fought = any(pin in signals.fought for pin in pins)
            signals.put("contention." + net, str(int(fought)))
        for name in names:
            if seen.get(name) != value[name]:
                fail("%s at %d ps: %s in the dump, %s by the trace" %
                     (name, at, seen.get(name), value[name]))
            compared += 1
    return len(names), len(times), compared


# --- verdicts ---------------------------------------------------------------


def compare_junit(directory, result):
    root = xml.parse(directory + "/run.junit").getroot()
    suite = root.find("testsuite")
    said = {p.get("name"): p.get("value") for p in suite.iter("property")}
    must_be("part", said["part"], result["part"])
    must_be("verdict", said["verdict"], result["verdict"])
    must_be("assumed", said["assumed"], str(result["assumed"]))
    must_be("end", said["end_ps"], result["end_ps"])
    tests = list(suite.iter("testcase"))
    failed = [t for t in tests if t.find("failure") is not None]
    must_be("held", len(tests) - len(failed), result["expectations"]["held"])
    must_be("failed", len(failed), result["expectations"]["failed"])
    for name in ("tests", "failures"):
        must_be(name, suite.get(name), root.get(name))
    must_be("tests", suite.get("tests"), str(len(tests)))
    must_be("failures", suite.get("failures"), str(len(failed)))
    for start in result["starts"]:
        facts = dict(fact.split(" ", 1) for fact in
                     said["start %d" % start["n"]].split("; "))
        for key in ("at_ps", "region", "pc", "outcome"):
            must_be("start %d, %s" % (start["n"], key), facts[key],
                    start[key])
        must_be("rule", facts.get("rule"), start["rule"])
        must_be("ROM", facts["rom_instructions"],
                str(start["rom_instructions"]))
        if start["latch"] is not None:
            must_be("latch", facts["latch"], start["latch"])
            must_be("stale", facts["stale"] == "yes", start["stale"])
    findings = [v for k, v in said.items() if k.startswith("finding ")]
    must_be("findings", [f.split(":")[0].split(",")[0] for f in findings],
            [f["kind"] for f in result["findings"]])


def numbers(text):
    """"2 to 4, 7" as a list; nothing is 0."""
    if not text:
        return [0]
    ends = [part.split(" to ") for part in text.split(", ")]
    return [n for e in ends for n in range(int(e[0]), int(e[-1]) + 1)]


def compare_text(directory, result):
    text = open(directory + "/run.text", encoding="utf-8").read()
    # What is said of several starts in the same words is said once in text.
    told = re.findall(r"^finding: ([a-z-]+)(?:, starts? ([0-9 to,]+))?$", text,
                      re.M)
    must_be("findings in text",
            sorted((kind, number) for kind, starts in told
                   for number in numbers(starts)),
            sorted((f["kind"], f["start"] or 0) for f in result["findings"]))
    rows = []
    for first, again in re.findall(
            r"^ {1,4}(\d+)  [0-9.]+ [a-z]+  |and the same .*to start (\d+)",
            text, re.M):
        rows += numbers(first or "%d to %s" % (rows[-1] + 1, again))
    must_be("starts in text", rows, [s["n"] for s in result["starts"]])
    verdict = text.splitlines()[-1].split(":")[0]
    must_be("verdict in text", verdict.replace("no verdict", "none"),
            result["verdict"])


def compare_page(directory, result):
    page = open(directory + "/run.html", encoding="utf-8").read()
    must_be("findings on the page",
            re.findall(r'data-finding="([a-z-]+)"', page),
            [f["kind"] for f in result["findings"]])
    must_be("starts on the page",
            sorted(set(map(int, re.findall(r'data-start="(\d+)"', page)))),
            [s["n"] for s in result["starts"]])


def main(directory):
    with open(directory + "/run.json", encoding="utf-8") as file:
        result = json.load(file)
    with open(directory + "/nets.json", encoding="utf-8") as file:
        known = json.load(file)
    compare_junit(directory, result)
    compare_text(directory, result)
    compare_page(directory, result)
    print("%d signals at %d instants: %d values" %
          compare_dump(directory, result, known["nets"], known["latched"]))


main(sys.argv[1])
