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

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, TextIO
from xml.sax.saxutils import escape  # nosec B406 # it writes, and reads nothing

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import DefusedXMLParser, ParseError

from inspections.element_rows import ElementRow, StructureKey
from inspections.lookups.parts import in_parts
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
_VALUE = 3
"""Tags that are open within a value of a row: the root's, the row's and its own."""
_ROWS_A_BLOCK = 200
_AT_ONCE = 1 << 16
"""Bytes that are parsed before their rows are fetched."""
_TUNNEL = (
    "This is tunnel element data: its rows name a tunnel (I1), not a bridge by its state and"
    " structure number. Tunnels have neither the bearings nor the deck joints that this ledger"
    " holds, and their element numbers mean other things. Give the file of bridge elements."
)


def read_structures(content: bytes) -> Iterator[list[tuple[ElementRow, int]]]:
    """Yield the rows of each structure of a file, each row with its line.

    The file is gone through twice: first every row is checked and counted, then a structure is
    yielded as soon as its last row has come.  So no more is held than the structures that are
    open, one at a time where their rows stand together.

    Raises
    ------
    ImportRefused
        With all that is wrong, each at its line and tag: not XML, another root, tunnel data,
        a tag unknown, missing or given twice, no whole number, states that do not sum; what is
        wrong between rows, a row twice or a parent without a row of its own, comes only after
        the last structure.
    """
    awaited = Counter(row.structure for row, _ in _rows(content))
    problems: list[Problem] = []
    begun: dict[StructureKey, list[tuple[ElementRow, int]]] = defaultdict(list)
    for row, line in _rows(content):
        begun[row.structure].append((row, line))
        if len(begun[row.structure]) == awaited[row.structure]:
            whole = begun.pop(row.structure)
            problems += _across(whole)
            yield whole
    if problems:
        raise ImportRefused(problems)


def write_rows(stream: TextIO, rows: Iterable[ElementRow]) -> None:
    """Write rows as a file, in the order given."""
    stream.writelines(_texts(rows))


def xml_blocks(rows: Iterable[ElementRow]) -> Iterator[bytes]:
    """Yield the same file in UTF-8, some hundred rows at a time."""
    for texts in in_parts(_texts(rows), _ROWS_A_BLOCK):
        yield "".join(texts).encode()


def _texts(rows: Iterable[ElementRow]) -> Iterator[str]:
    yield f"<?xml version='1.0' encoding='utf-8'?>\n<{ROOT}>\n"
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
        yield f"  <{ROW}>\n{lines}  </{ROW}>\n"
    yield f"</{ROOT}>\n"


@dataclass(slots=True)
class _Tag:
    """A tag of a row as it stands in the file."""

    name: str
    line: int
    text: str = ""
    holds_tags: bool = False


class _Reader:
    """Takes what the parser meets and keeps the rows that were not fetched yet, no tree."""

    def __init__(self) -> None:
        self.parser: Any = None
        self.problems: list[Problem] = []
        self.rows: list[tuple[ElementRow, int]] = []
        self.any_row = False
        self._wrong_root: Problem | None = None
        self._open: list[_Tag] = []
        self._tags: list[_Tag] = []

    def start(self, tag: str, _attributes: dict[str, str]) -> None:
        """Begin a tag."""
        name, line = _plain(tag), self.parser.CurrentLineNumber
        if name in ("TunnelInstance", "I1"):
            raise ImportRefused([Problem(0, "", _TUNNEL)])
        if not self._open and name.upper().removesuffix("S") != ROOT:
            message = f"The root is «{tag}», not {ROOT}. Give a file of bridge element data."
            self._wrong_root = Problem(line, "", message)
        if len(self._open) >= _VALUE:
            self._open[_VALUE - 1].holds_tags = True
        self._open.append(_Tag(name, line))

    def data(self, text: str) -> None:
        """Take a piece of text."""
        if len(self._open) == _VALUE:
            self._open[-1].text += text

    def end(self, _tag: str) -> None:
        """End a tag; with the tag of a row its row is made."""
        ended = self._open.pop()
        if self._wrong_root is not None:
            return
        if len(self._open) == _VALUE - 1:
            self._tags.append(ended)
        elif len(self._open) == _VALUE - 2:
            self.any_row = True
            row = _row(ended, self._tags, self.problems)
            self._tags = []
            if row is not None:
                self.rows.append((row, ended.line))

    def close(self) -> None:
        """Refuse a file that is of another kind, or has a problem in one of its rows."""
        if self._wrong_root is not None:
            raise ImportRefused([self._wrong_root])
        if not self.any_row:
            message = f"The file has no row ({ROW}). Give one with element data."
            raise ImportRefused([Problem(0, "", message)])
        if self.problems:
            raise ImportRefused(self.problems)

    def fetched(self) -> list[tuple[ElementRow, int]]:
        """Return the rows that have come since the last time."""
        found, self.rows = self.rows, []
        return found


def _rows(content: bytes) -> Iterator[tuple[ElementRow, int]]:
    """Yield the rows of a file in its order, each with its line."""
    if not content or content.isspace():
        raise ImportRefused([Problem(0, "", "The file is empty. Give element data in XML.")])
    reader, view = _Reader(), memoryview(content)
    parser = DefusedXMLParser(target=reader, forbid_dtd=True)
    reader.parser = parser.parser
    try:
        for start in range(0, len(view), _AT_ONCE):
            parser.feed(view[start : start + _AT_ONCE])
            yield from reader.fetched()
        parser.close()
    except DefusedXmlException as error:
        message = "The file declares a document type or entities, which element data never needs."
        raise ImportRefused([Problem(0, "", f"{message} Remove the declaration.")]) from error
    except (ParseError, LookupError, ValueError) as error:
        line = error.position[0] if isinstance(error, ParseError) else 0
        message = f"This is not well-formed XML ({error}). Export the file again."
        raise ImportRefused([Problem(line, "", message)]) from error
    yield from reader.fetched()


def _plain(tag: str) -> str:
    """Return a tag without its namespace."""
    return tag.rpartition("}")[2]


def _row(node: _Tag, tags: list[_Tag], problems: list[Problem]) -> ElementRow | None:
    line, before = node.line, len(problems)
    if node.name != ROW:
        problems.append(Problem(line, node.name, f"Unknown tag. Rows are «{ROW}»."))
        return None
    texts: dict[str, str] = {}
    seen: set[str] = set()
    for each in tags:
        tag, place = each.name, each.line
        if tag not in TAGS:
            problems.append(Problem(place, tag, f"Unknown tag. Known are {', '.join(TAGS)}."))
        elif tag in seen:
            problems.append(Problem(place, tag, "This tag stands in the row twice. Remove one."))
        elif each.holds_tags:
            problems.append(Problem(place, tag, "Holds further tags. Give one plain value."))
        seen.add(tag)
        # Left empty, what may be left out is left out.
        if (text := each.text.strip()) or tag in NEEDED:
            texts.setdefault(tag, text)
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
    if numbers.get("EPN") == numbers["EN"]:
        message = f"Element {numbers['EN']} cannot lie on itself. Correct EPN, or remove it."
        problems.append(Problem(line, "EPN", message))
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
