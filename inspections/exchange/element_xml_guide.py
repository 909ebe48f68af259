"""Tags of national bridge element data as documented, and a file to start from."""

from __future__ import annotations

import io

from inspections.element_rows import ElementRow
from inspections.exchange.element_xml import write_rows

TAGS = (
    ("STATE", "yes", "Code of the state, two digits."),
    ("STRUCNUM", "yes", "Structure number, at most 15 characters; unique within its state only."),
    (
        "EN",
        "yes",
        "Element number. Joints 300 to 306 are in feet, bearings 310 to 316 each. 312 are bearings"
        " of any type whose place is reached, by the register, «Enclosed».",
    ),
    ("EPN", "where it lies on another", "Number of that element; it needs a row of its own."),
    ("TOTALQTY", "yes", "Total quantity, a whole number."),
    ("CS1", "unless 0", "Quantity in condition state 1, good. The four sum to the total."),
    ("CS2", "unless 0", "Quantity in condition state 2, fair."),
    ("CS3", "unless 0", "Quantity in condition state 3, poor."),
    ("CS4", "unless 0", "Quantity in condition state 4, severe."),
)


def _sample() -> str:
    stream = io.StringIO()
    write_rows(
        stream,
        [
            ElementRow("99", "SAMPLE-1", 12, None, 9000, (8600, 400, 0, 0)),
            ElementRow("99", "SAMPLE-1", 300, None, 84, (0, 60, 24, 0)),
            ElementRow("99", "SAMPLE-1", 314, None, 8, (6, 2, 0, 0)),
            ElementRow("99", "SAMPLE-1", 510, 12, 9000, (9000, 0, 0, 0)),
        ],
    )
    return stream.getvalue()


SAMPLE = _sample()
