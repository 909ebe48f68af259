"""National bridge element data: the flat XML file in which US agencies report it.

Root ``FHWAELEMENT``; one ``FHWAED`` a row, its tags in this order: ``STATE``, ``STRUCNUM``,
``EN`` (element number), ``EPN`` (element parent number, only where the element lies on
another), ``TOTALQTY``, ``CS1`` to ``CS4``.  Quantities are whole numbers, and the four states
sum to the total.  A structure number is unique within its state only.

Source: Federal Highway Administration, Specification for the National Bridge Inventory Bridge
Elements, 2014, with the memorandum of 25 July 2014 that shortened the tags
(www.fhwa.dot.gov/bridge/nbi/140725.cfm); the schema attached to it was not at hand.  The shape
is that of a public file (Iowa, 2023), held against what a state's own exporter writes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, TextIO
from xml.etree.ElementTree import Element as Node
from xml.etree.ElementTree import ParseError, TreeBuilder
from xml.sax.saxutils import escape

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import DefusedXMLParser

from inspections.element_rows import ElementRow, StructureKey
from inventory.exchange.problems import ImportRefused, Problem

ROOT, ROW = "FHWAELEMENT", "FHWAED"
"""Files as published have this root; those that agencies hand in also write FHWAElement(s)."""
STATES = ("CS1", "CS2", "CS3", "CS4")
NUMBERS = ("EN", "EPN", "TOTALQTY", *STATES)
TAGS = ("STATE", "STRUCNUM", *NUMBERS)
NEEDED = frozenset(TAGS) - {"EPN", *STATES}
LONGEST_NUMBER = 15
LARGEST = {"EN": 9999, "EPN": 9999}
LARGEST_QUANTITY = 999_999_999
_TUNNEL = (
    "This is tunnel element data: its rows name a tunnel (I1), not a bridge by its state and"
    " structure number. Tunnels have neither the bearings nor the deck joints that this ledger"
    " holds, and their element numbers mean other things. Give the file of bridge elements."
)


def read_rows(content: bytes) -> list[ElementRow]:
    """Return the rows of a file, in its order.

    Raises
    ------
    ImportRefused
        With all that is wrong, each at its line and tag: not XML, another root, tunnel data,
        a tag unknown, missing or given twice, no whole number, states that do not sum, a row
        twice, a parent without a row of its own.
    """
    builder, nodes = _parsed(content)
    problems: list[Problem] = []
    rows = []
    for node in nodes:
        row = _row(node, builder, problems)
        if row is not None:
            rows.append((row, builder.lines[node]))
    # Between rows only where each is good: a bad one would be missed by those that name it.
    problems = problems or list(_across(rows))
    if problems:
        raise ImportRefused(problems)
    return [row for row, _ in rows]


def write_rows(stream: TextIO, rows: Iterable[ElementRow]) -> None:
    """Write rows as a file, in the order given."""
    stream.write(f"<?xml version='1.0' encoding='utf-8'?>\n<{ROOT}>\n")
    for row in rows:
        cells: list[tuple[str, Any]] = [
            ("STATE", row.state),
            ("STRUCNUM", escape(row.number)),
            ("EN", row.element),
        ]
        if row.parent is not None:
            cells.append(("EPN", row.parent))
        cells += [("TOTALQTY", row.total), *zip(STATES, row.states, strict=True)]
        lines = "".join(f"    <{tag}>{value}</{tag}>\n" for tag, value in cells)
        stream.write(f"  <{ROW}>\n{lines}  </{ROW}>\n")
    stream.write(f"</{ROOT}>\n")


class _Lined(TreeBuilder):
    """Builds the tree and keeps the line on which each tag begins."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: dict[Node, int] = {}
        self.parser: Any = None

    def start(self, tag: str, attrs: dict[str, str]) -> Node:  # type: ignore[override]
        node = super().start(tag, attrs)
        self.lines[node] = self.parser.CurrentLineNumber
        return node


def _parsed(content: bytes) -> tuple[_Lined, Iterator[Node]]:
    if not content.strip():
        raise ImportRefused([Problem(0, "", "The file is empty. Give element data in XML.")])
    builder = _Lined()
    parser = DefusedXMLParser(target=builder, forbid_dtd=True)
    builder.parser = parser.parser
    try:
        parser.feed(content)
        root = parser.close()
    except DefusedXmlException as error:
        message = "The file declares a document type or entities, which element data never needs."
        raise ImportRefused([Problem(0, "", f"{message} Remove the declaration.")]) from error
    except (ParseError, LookupError, ValueError) as error:
        line = error.position[0] if isinstance(error, ParseError) else 0
        message = f"This is not well-formed XML ({error}). Export the file again."
        raise ImportRefused([Problem(line, "", message)]) from error
    if any(_plain(each.tag) == "TunnelInstance" for each in root.iter()) or any(
        _plain(each.tag) == "I1" for each in root.iter()
    ):
        raise ImportRefused([Problem(0, "", _TUNNEL)])
    if _plain(root.tag).upper().removesuffix("S") != ROOT:
        message = f"The root is «{root.tag}», not {ROOT}. Give a file of bridge element data."
        raise ImportRefused([Problem(builder.lines[root], "", message)])
    if not len(root):
        message = f"The file has no row ({ROW}). Give one with element data."
        raise ImportRefused([Problem(0, "", message)])
    return builder, iter(root)


def _plain(tag: str) -> str:
    """Return a tag without its namespace."""
    return tag.rpartition("}")[2]


def _row(node: Node, builder: _Lined, problems: list[Problem]) -> ElementRow | None:
    line, before = builder.lines[node], len(problems)
    if _plain(node.tag) != ROW:
        problems.append(Problem(line, node.tag, f"Unknown tag. Rows are «{ROW}»."))
        return None
    texts: dict[str, str] = {}
    for each in node:
        tag, place = _plain(each.tag), builder.lines[each]
        if tag not in TAGS:
            problems.append(Problem(place, tag, f"Unknown tag. Known are {', '.join(TAGS)}."))
        elif tag in texts:
            problems.append(Problem(place, tag, "This tag stands in the row twice. Remove one."))
        elif len(each):
            problems.append(Problem(place, tag, "Holds further tags. Give one plain value."))
        texts.setdefault(tag, (each.text or "").strip())
    for tag in sorted(NEEDED - texts.keys(), key=TAGS.index):
        problems.append(Problem(line, tag, "This tag is missing in the row. Add it."))
    if len(problems) > before:
        return None
    numbers = {tag: _whole(tag, texts[tag], line, problems) for tag in NUMBERS if tag in texts}
    if not (texts["STATE"].isdigit() and len(texts["STATE"]) <= 2):
        message = f"«{texts['STATE']}» is no state code. Give its two digits."
        problems.append(Problem(line, "STATE", message))
    if not 1 <= len(texts["STRUCNUM"]) <= LONGEST_NUMBER:
        message = f"A structure number has 1 to {LONGEST_NUMBER} characters. Correct it."
        problems.append(Problem(line, "STRUCNUM", message))
    if len(problems) > before:
        return None
    # A state of which there is nothing may be left out; the sum tells whether it may.
    one, two, three, four = states = tuple(numbers.get(tag) or 0 for tag in STATES)
    total = numbers["TOTALQTY"] or 0
    if sum(states) != total:
        message = f"CS1 to CS4 sum to {sum(states)}, not to {total}. Correct the quantities."
        problems.append(Problem(line, "TOTALQTY", message))
        return None
    return ElementRow(
        texts["STATE"].zfill(2),
        texts["STRUCNUM"],
        numbers["EN"] or 0,
        numbers.get("EPN"),
        total,
        (one, two, three, four),
    )


def _whole(tag: str, text: str, line: int, problems: list[Problem]) -> int | None:
    largest = LARGEST.get(tag, LARGEST_QUANTITY)
    least = 1 if tag in LARGEST else 0
    if text.isascii() and text.isdigit() and least <= int(text[:12]) <= largest:
        return int(text)
    message = f"«{text[:30]}» is no whole number from {least} to {largest}. Correct it."
    problems.append(Problem(line, tag, message))
    return None


def _across(rows: list[tuple[ElementRow, int]]) -> Iterator[Problem]:
    """Yield what is wrong between rows: one twice, and a parent that has no row."""
    first: dict[tuple[StructureKey, int, int | None], int] = {}
    elements = {(row.structure, row.element) for row, _ in rows}
    for row, line in rows:
        key = (row.structure, row.element, row.parent)
        if key in first:
            message = f"Element {row.element} of this structure stands on line {first[key]} too."
            yield Problem(line, "EN", f"{message} Remove one.")
        first.setdefault(key, line)
        if row.parent is not None and (row.structure, row.parent) not in elements:
            message = f"The parent, element {row.parent}, has no row for this structure."
            yield Problem(line, "EPN", f"{message} Add it, or remove EPN.")
