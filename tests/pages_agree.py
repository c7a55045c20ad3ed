#!/usr/bin/env python3
"""A page says what the JSON of the same command says, and the text too.

usage: pages_agree.py why|route NAME     NAME.json, NAME.html, NAME.text

Every value of the JSON is looked for at its place of the page. Then each value
is spoiled in turn, and the comparison must notice.
"""
import copy
import html.parser
import json
import re
import sys

EMPTY = {"meta", "link", "br", "hr", "input", "img", "path", "rect", "circle"}


class Differs(Exception):
    pass


def must_be(what, one, other):
    if one != other:
        raise Differs("%s: %r on the page, %r in the JSON" %
                      (what, one, other))


def must_have(what, text, *words):
    for word in words:
        if word is not None and plain(word) not in text:
            raise Differs("%s: no %r in %r" % (what, word, text))


def plain(text):
    return " ".join(text.replace("\u00a0", " ").split())


# --- the page as a tree -----------------------------------------------------


class Node:
    def __init__(self, tag, attributes):
        self.tag, self.attributes, self.inside = tag, dict(attributes), []

    def all(self, tag=None, **attributes):
        """Elements inside, in order; attributes by value, or by name (None);
        `data_x` is data-x."""
        for one in self.inside:
            if isinstance(one, str):
                continue
            if tag in (None, one.tag) and all(
                    key.replace("_", "-") in one.attributes and
                    value in (None,
                              one.attributes[key.replace("_", "-")])
                    for key, value in attributes.items()):
                yield one
            yield from one.all(tag, **attributes)

    def one(self, tag=None, **attributes):
        for found in self.all(tag, **attributes):
            return found
        raise Differs("no %s %r on the page" % (tag, attributes))

    def text(self):
        return plain("".join(self.parts()))

    def parts(self):
        for one in self.inside:
            if isinstance(one, str):
                yield one
            else:
                yield from one.parts()
        if self.tag in ("li", "td", "th", "p", "dd", "dt", "br"):
            yield " "


class Reader(html.parser.HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.root = Node("page", [])
        self.open = [self.root]
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        node = Node(tag, attributes)
        self.open[-1].inside.append(node)
        if tag not in EMPTY:
            self.open.append(node)

    def handle_startendtag(self, tag, attributes):
        self.open[-1].inside.append(Node(tag, attributes))

    def handle_endtag(self, tag):
        if tag not in EMPTY:
            must_be("end of", self.open.pop().tag, tag)

    def handle_data(self, data):
        self.open[-1].inside.append(data)


def cells(table):
    """Rows of texts, the one of headings first."""
    return [[cell.text() for cell in row.inside if not isinstance(cell, str)]
            for row in table.all("tr")]


def described(dl):
    """{term: element} of a <dl>."""
    terms, last = {}, None
    for one in dl.inside:
        if isinstance(one, str):
            continue
        if one.tag == "dt":
            last = one.text()
        else:
            terms[last] = one
    return terms


def items(node):
    return [li.text() for li in node.all("li")]


def assumed_numbers(page, count):
    section = page.one("section", id="assumed")
    must_be("assumed numbers", section.one("strong").text(), str(count))
    if count > 0:
        must_be("rows of assumed numbers",
                len(cells(section.one("table"))) - 1, count)


def sections(page):
    """Every link inside the page leads somewhere."""
    ids = {node.attributes["id"] for node in page.all(id=None)}
    for link in page.all("a", href=None):
        if link.attributes["href"][1:] not in ids:
            raise Differs("a link to nowhere: " + link.attributes["href"])


# --- why --------------------------------------------------------------------


def named(explanation):
    names = [cause["cause"] +
             (" (%s)" % cause["detail"] if cause["detail"] else "")
             for cause in explanation["causes"]]
    return " and ".join(names) or "what was told"


def compare_start(what, text, start):
    if start is None:
        must_be(what, text, "no start")
        return
    must_have(what, text, "in %s" % start["region"], start["rule"],
              start["pc"], start["symbol"], start["landing"],
              start["latch"] and "latch " + start["latch"])
    must_be(what, "(stale)" in text, start["stale"] == "yes")
    must_be(what, text.rsplit(", ", 1)[1], start["outcome"])


def compare_explanation(card, number, e):
    what = "explanation %d" % number
    must_be(what, card.one("h3").text(),
            "%d. %s assumes %d" % (number, named(e), e["assumed"]))
    rows = described(card.one("dl"))
    if e["assumed"]:
        must_be(what, rows["assumes"].text(),
                "; and ".join(c["sentence"] for c in e["causes"]))
    else:
        must_have(what, rows["assumes"].text(), "nothing")
    must_be(what, rows["so"].text() if "so" in rows else None,
            e["shown"] and plain(e["shown"]))
    compare_start(what, rows["last start"].text(), e["start"])
    out = e["rules_out"]
    must_be(what, rows["not this, if"].text() if out else None,
            out and plain("%s is anything but %s: %s" %
                          (out["key"], out["value"], out["how"])))
    must_be(what, items(rows["mends it"]) if "mends it" in rows else [],
            [plain(r) for r in e["remedies"]])
    told = rows["from there"].text() if "from there" in rows else ""
    must_be(what, re.sub(r" starts? the application$", "", told),
            ", ".join(e["mended_by"]))


def compare_measure(page, result):
    measure = result["measure"]
    if measure is None:
        must_be("measure", [t for t in page.all(
            "section", id="measure") for t in t.all("table")], [])
        return
    section = page.one("section", id="measure")
    must_have("measure", section.text(),
              "%s: %s." % (measure["key"], measure["how"]))
    rows = cells(section.one("table"))
    if rows[0][0] == "cause":
        must_be("measured values", rows[0][1:],
                [g["value"] for g in measure["groups"]])
        left = [[n + 1 for n, row in enumerate(rows[1:])
                 if row[g + 1] == "left"]
                for g in range(len(measure["groups"]))]
    else:
        must_be("measured values", [row[0] for row in rows[1:]],
                [g["value"] for g in measure["groups"]])
        left = [[int(n) for n in re.findall(r"(\d+)\. ", row[1])]
                for row in rows[1:]]
    must_be("causes left", left,
            [g["explanations"] for g in measure["groups"]])


def compare_dropped(page, result):
    found = [n for n in page.all("section", id="dropped")]
    rows = cells(found[0].one("table"))[1:] if found else []
    must_be("dropped", len(rows), len(result["dropped"]))
    for row, d in zip(rows, result["dropped"]):
        must_be("dropped", row[0], d["cause"] or "what was told")
        if d["detail"]:
            must_be("dropped", row[1][-len(d["detail"]) - 2:],
                    "(%s)" % d["detail"])
        must_be("dropped", row[2:], [d["key"], d["shown"], d["seen"]])


def compare_why(page, text, result):
    head = page.one("main").text()
    must_be("title", page.one("h1").text(), result["case"])
    must_have("head", head, "Part %s" % result["part"],
              "Case file %s." % result["file"],
              "the case as told, %d causes alone, %d pairs of causes" %
              (result["tried"]["alone"], result["tried"]["pairs"]))
    must_be("before that", "What went before is not told" in head,
            not result["whole"])
    rows = cells(page.one("section", id="seen").one("table"))
    must_be("seen", {r[0]: r[1] for r in rows[1:]}, result["seen"])
    cards = list(page.all(data_explanation=None))
    must_be("explanations", len(cards), len(result["explanations"]))
    for n, e in enumerate(result["explanations"]):
        compare_explanation(cards[n], n + 1, e)
        must_have("text", text, "%d. %s" % (n + 1, named(e)), e["shown"],
                  *e["remedies"])
    more = re.search(r"(\d+) more that assume as much", head)
    must_be("unlisted", int(more.group(1)) if more else 0, result["unlisted"])
    compare_measure(page, result)
    compare_dropped(page, result)
    for d in result["dropped"]:
        must_have("text", text, d["cause"], d["detail"],
                  "%s would be %s" % (d["key"], d["shown"]))
    if result["explanations"]:
        assumed_numbers(page, result["assumed_numbers"])
    else:
        must_be("assumed numbers", 0, result["assumed_numbers"])


# --- route ------------------------------------------------------------------

UNITS = {"s": 12, "ms": 9, "us": 6, "ns": 3, "ps": 0}


def same_time(what, text, ps):
    """`text` is that many picoseconds, to its last digit."""
    number, unit = text.split(" ")
    decimals = len(number.partition(".")[2])
    scale = 10 ** UNITS[unit]
    seen = int(number.replace(".", "")) * scale // 10 ** decimals
    if abs(seen - int(ps)) * 10 ** decimals > scale:
        raise Differs("%s: %s on the page, %s ps in the JSON" %
                      (what, text, ps))


def listed(page, name):
    """The items of a list, by the word that each explains."""
    for found in page.all(data_list=name):
        return {li.one("strong").text(): li.text() for li in found.all("li")}
    return {}


def compare_question(page, result):
    asked = described(page.one("section", id="asked").one("dl"))
    must_have("goal", asked["goal"].text(), result["goal"] + ";")
    for name, key in (("never", "never"), ("at-hand", "at_hand"),
                      ("states", "states"), ("field", "field")):
        must_be(name, list(listed(page, name)), result[key])
    told = {state: text.partition("Before anybody does anything, ")[2][:-1]
            for state, text in listed(page, "states").items()}
    must_be("before", {s: t for s, t in told.items() if t},
            {b["state"]: b["text"] for b in result["before"]})


def compare_effort(what, text, effort, asked):
    count = lambda n, word: "%d %s%s" % (n, word, "" if n == 1 else "s")
    must_have(what, text, "Looked at %s, %s." %
              (count(effort["states"], "state"),
               count(effort["attempts"], "attempt")))
    must_have(what, text, {
        "found": "Complete: of all lists of up to %d actions none" % asked,
        "exhausted": "Complete: all lists of up to %d actions" %
                     effort["depth"],
        "limit": "Incomplete: the limit of states came first; lists of up to "
                 "%d actions" % effort["depth"],
    }[effort["end"]])


def compare_moves(what, seen, actions, detail):
    must_be(what, seen, [plain("%s: %s" % (a["name"], a["detail"])
                               if detail else a["name"]) for a in actions])
    for a in actions:
        if not a["name"].startswith(a["action"]):
            raise Differs("%s: %s is called %s" %
                          (what, a["action"], a["name"]))


def compare_shipped(what, table, procedure):
    rows = cells(table)[1:]
    states = [t["state"] for t in procedure["times"]]
    seen = {}
    for after, text, which in rows:
        for state in states if which == "all states" else which.split(", "):
            seen[state, after] = text
    must_be(what, sorted(seen), sorted((s["state"], s["after"])
                                       for s in procedure["shipped"]))
    for s in procedure["shipped"]:
        compare_start(what, seen[s["state"], s["after"]], s["start"])


def compare_procedure(card, p, result):
    what = card.attributes["id"]
    steps = [li.text() for found in card.all(data_list="steps")
             for li in found.all("li")]
    compare_moves(what, steps, p["actions"], True)
    text = card.text()
    if p["actions"]:
        same_time(what, re.search(r"Let at least (\S+ \S+) pass",
                                  text).group(1), result["pause_ps"])
        must_have(what, text, "The unit must show: %s." % result["goal"])
    tables = list(card.all("table"))
    rows = cells(tables[0])[1:]
    must_be(what, [row[0] for row in rows], [t["state"] for t in p["times"]])
    for row, t in zip(rows, p["times"]):
        same_time(what, row[1], t["simulated_ps"])
    same_time(what, re.search(r"on top, assumed: (\S+ \S+)\.",
                              text).group(1), p["person_ps"])
    if p["shipped"]:
        compare_shipped(what, tables[1], p)


def compare_none(page, result):
    alone = list(page.all("p", data_alone=None))
    must_be("alone", len(alone), len(result["alone"]))
    for node, a in zip(alone, result["alone"]):
        found = "found" if a["procedure"] else \
            "none found, incomplete" if a["effort"]["end"] == "limit" \
            else "none"
        must_have("alone", node.text(), "%s: %s." % (a["state"], found))
        compare_effort("alone", node.text(), a["effort"],
                       result["depth_asked"])
    must_be("alone", len([c for c in page.all(data_procedure=None)]),
            len([a for a in result["alone"] if a["procedure"]]))
    for n, a in enumerate(result["alone"]):
        if a["procedure"]:
            card = page.one(data_procedure="alone-%d" % (n + 1))
            must_be("alone", card.one("h3").text(),
                    "From %s alone" % a["state"])
            compare_procedure(card, a["procedure"], result)
    compare_rows(page, "dead-ends", result["dead_ends"],
                 lambda row, d: (row[:2] + row[3:],
                                 [plain(d["why"]), d["state"],
                                  str(d["attempts"])]))
    compare_rows(page, "lifted", result["lifted"],
                 lambda row, d: (lifted(row, result["depth_asked"], d),
                                 [d["constraint"], "there is one"
                                  if d["found"] else "none found, incomplete"
                                  if d["effort"]["end"] == "limit"
                                  else "still none"]))


def lifted(row, asked, d):
    compare_effort("lifted", row[1], d["effort"], asked)
    return [row[0], row[1].split(". Looked at")[0]]


def compare_rows(page, section, expected, facts):
    for found in page.all("section", id=section):
        table = found.one("table")
        break_up = list(table.all("tr"))[1:]
        must_be(section, len(break_up), len(expected))
        for node, row, one in zip(break_up, cells(table)[1:], expected):
            must_be(section, *facts(row, one))
            compare_moves(section, items(node), one["actions"], False)
        return
    must_be(section, [], expected)


def compare_route(page, text, result):
    must_be("title", page.one("h1").text(), result["case"])
    must_have("head", page.one("main").text(), "Part %s" % result["part"])
    compare_question(page, result)
    compare_effort("effort", page.one("section", id="effort").text(),
                   result["effort"], result["depth_asked"])
    for word in result["never"] + result["at_hand"] + result["field"]:
        must_have("text", text, word)
    if not result["procedures"]:
        compare_none(page, result)
        return
    cards = list(page.all(data_procedure=None))
    must_be("procedures", len(cards), len(result["procedures"]))
    for card, p in zip(cards, result["procedures"]):
        compare_procedure(card, p, result)
        for a in p["actions"]:
            must_have("text", text, a["name"])
    assumed_numbers(page, result["procedures"][0]["assumed_numbers"])
    must_be("alone", [], result["alone"] + result["dead_ends"] +
            result["lifted"])


def not_on_the_page(path, result):
    """What of a route a page need not say: its depth where it was cut short
    by what was found, what an action that led nowhere was in detail, the
    assumed numbers of all but the first procedure, and what a start's cause
    is, which stands beside it."""
    at = result
    for key in path[:-1]:
        at = at[key]
    if path[-1] == "depth":
        return at["end"] == "found"
    if path[-1] == "depth_asked":
        return "found" not in [e["end"] for e in
                               [result["effort"]] +
                               [a["effort"] for a in
                                result["alone"] + result["lifted"]]]
    if path[-1] == "detail":
        return path[0] in ("dead_ends", "lifted")
    if path[-1] == "assumed_numbers":
        return path[:2] != ("procedures", 0)
    if path[-1] == "pause_ps":
        return not [p for p in result["procedures"] if p["actions"]]
    return path[-2:] == ("start", "cause")


# --- each value matters -----------------------------------------------------

VERSION = {"firstfetch_why", "firstfetch_route"}


def spoiled(value):
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if re.fullmatch(r"\d+", value):
        return str(3 * int(value) + 7 * 10 ** 9)
    return {"yes": "no", "no": "yes"}.get(value, value + "~")


def leaves(value, path=()):
    if isinstance(value, (dict, list)):
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        for key, one in pairs:
            yield from leaves(one, path + (key,))
    elif value is not None and path[-1] not in VERSION:
        yield path


def spoil(result, path):
    other = copy.deepcopy(result)
    at = other
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = spoiled(at[path[-1]])
    return other


def notices(compare, *all_of_it):
    try:
        compare(*all_of_it)
    except Differs:
        return True
    except (KeyError, ValueError, AttributeError):
        return True
    return False


def main(kind, name, unseen):
    compare, ignored = KINDS[kind]
    with open(name + ".json", encoding="utf-8") as file:
        result = json.load(file)
    with open(name + ".html", encoding="utf-8") as file:
        page = Reader(file.read()).root
    with open(name + ".text", encoding="utf-8") as file:
        text = plain(file.read())
    sections(page)
    compare(page, text, result)
    checked = 0
    for path in leaves(result):
        if ignored(path, result):
            continue
        if not notices(compare, page, text, spoil(result, path)):
            unseen.append(path)
        checked += 1
    return checked


# What a page need not say: a start's cause stands in the steps.
KINDS = {
    "why": (compare_why,
            lambda path, result: path[-2:] == ("start", "cause")),
    "route": (compare_route, not_on_the_page),
}

blind = []
try:
    count = main(sys.argv[1], sys.argv[2], blind)
except Differs as error:
    sys.exit("%s: %s" % (sys.argv[2], error))
if blind or count == 0:
    sys.exit("%s: nobody noticed %s spoiled" % (sys.argv[2], blind))
print("%s: %d values" % (sys.argv[2].split("/")[-1], count))
