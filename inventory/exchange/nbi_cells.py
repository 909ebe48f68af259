"""Items of the US National Bridge Inventory as its files code them.

Source of the codes: Federal Highway Administration, Recording and Coding Guide for the
Structure Inventory and Appraisal of the Nation's Bridges, FHWA-PD-96-001, 1995, items 1,
2, 5A, 8, 16, 17, 34, 43, 48 and 49.
"""

from __future__ import annotations

from collections.abc import Iterator

from movement.errors import InputError

KINDS = {
    # item 43A
    "1": "Concrete",
    "2": "Concrete, continuous",
    "3": "Steel",
    "4": "Steel, continuous",
    "5": "Prestressed concrete",
    "6": "Prestressed concrete, continuous",
    "7": "Timber",
    "8": "Masonry",
    "9": "Aluminium, wrought or cast iron",
    "0": "Other material",
}
TYPES = {
    # item 43B
    "01": "slab",
    "02": "stringers or multiple beams",
    "03": "girders and floor beams",
    "04": "tee beams",
    "05": "multiple box beams",
    "06": "single or spread box beams",
    "07": "frame",
    "08": "orthotropic",
    "09": "deck truss",
    "10": "through truss",
    "11": "deck arch",
    "12": "through arch",
    "13": "suspension",
    "14": "stayed girder",
    "15": "lift span",
    "16": "bascule",
    "17": "swing span",
    "18": "tunnel",
    "19": "culvert",
    "20": "mixed types",
    "21": "segmental box girder",
    "22": "channel beams",
    "00": "other",
}
EAST_OF_GREENWICH = {"66", "69"}
"""Guam and the Northern Marianas: item 17 has no sign, and every other longitude is west."""
SKEW_VARIES = 99


def split_line(line: str) -> Iterator[str]:
    """Yield the cells of a line whose text is quoted with apostrophes.

    An apostrophe inside stands as it is, so text ends at one that a comma or the end of
    the line follows.  Double quotes are taken as a spreadsheet would have added them.
    """
    start = 0
    while start <= len(line):
        quote = line[start : start + 1]
        if quote == '"':
            cell, end = _double_quoted(line, start + 1)
            if cell.startswith("'") and cell.endswith("'"):
                cell = cell[1:-1]
        elif quote == "'" and (close := _closing_apostrophe(line, start + 1)) != -1:
            cell, end = line[start + 1 : close], close + 1
        else:
            end = line.find(",", start)
            end = len(line) if end == -1 else end
            cell = line[start:end]
        yield cell.strip()
        start = end + 1


def position_deg(column: str, text: str, degree_digits: int) -> float | None:
    """Return a position from degrees, minutes, seconds and hundredths, None where not known.

    Raises
    ------
    InputError
        If it is no such position.
    """
    if not text.strip("0"):
        return None
    digits = text.zfill(degree_digits + 6)
    pattern = f"{'D' * degree_digits}MMSSss"
    if not digits.isdecimal() or len(digits) != len(pattern) or len(text) < len(pattern) - 1:
        raise InputError(
            column, f"«{text}» is no position", f"Write {pattern}, or zeros where it is not known."
        )
    degrees, minutes, hundredths = (
        int(digits[:degree_digits]),
        int(digits[degree_digits:-4]),
        int(digits[-4:]),
    )
    if minutes >= 60 or hundredths >= 6000:
        raise InputError(
            column,
            f"«{text}» has {minutes} minutes and {hundredths / 100:g} seconds, and either ends"
            " at 60",
            "Correct the position, or write zeros where it is not known.",
        )
    return degrees + minutes / 60 + hundredths / 360_000


def number(column: str, text: str) -> float | None:
    """Return a figure, None where it is blank or 0, which stands for not known.

    Raises
    ------
    InputError
        If it is no figure, or below 0.
    """
    if not text:
        return None
    if not text.replace(".", "", 1).isdecimal():
        raise InputError(column, f"«{text}» is no figure", "Write digits with a decimal point.")
    return float(text) or None


def skew_deg(column: str, text: str) -> float | None:
    """Return the skew, None where it varies or is blank."""
    if not text:
        return None
    if not text.isdecimal():
        raise InputError(column, f"«{text}» is no skew", "Write whole degrees, or 99: it varies.")
    return None if int(text) == SKEW_VARIES else float(text)


def material(column: str, kind: str, design: str) -> str:
    """Return the words for the material and the kind of the main spans."""
    if not kind and not design:
        return ""
    design = design.zfill(2)
    if kind not in KINDS or design not in TYPES:
        raise InputError(
            column,
            f"«{kind}» with type «{design}» is no code of item 43",
            f"Kind is one of {', '.join(sorted(KINDS))}, type of 00 to 22.",
        )
    return f"{KINDS[kind]}: {TYPES[design]}"


def _closing_apostrophe(line: str, start: int) -> int:
    at = line.find("'", start)
    while at != -1 and line[at + 1 : at + 2] not in ("", ","):
        at = line.find("'", at + 1)
    return at


def _double_quoted(line: str, start: int) -> tuple[str, int]:
    at = line.find('"', start)
    while at != -1 and line[at + 1 : at + 2] == '"':
        at = line.find('"', at + 2)
    if at == -1:
        return line[start:], len(line)
    return line[start:at].replace('""', '"'), at + 1
