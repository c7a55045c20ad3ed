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


# --- each value matters -----------------------------------------------------

VERSION = {"firstfetch_why", "firstfetch_route"}


def spoiled(value):
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
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
    except (KeyError, ValueError, IndexError):
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
}

blind = []
try:
    count = main(sys.argv[1], sys.argv[2], blind)
except Differs as error:
    sys.exit("%s: %s" % (sys.argv[2], error))
if blind or count == 0:
    sys.exit("%s: nobody noticed %s spoiled" % (sys.argv[2], blind))
print("%s: %d values" % (sys.argv[2].split("/")[-1], count))
