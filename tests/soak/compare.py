"""Compares, row by row, what the tablets made with what the server holds."""

from __future__ import annotations

from collections import Counter
from typing import Any

from tests.soak.tablet import Tablet


def differences(tablets: list[Tablet], held: dict[str, Any]) -> list[str]:
    """Return every difference in words; none is what the run is for."""
    found = rows_differ(tablets, held)
    if held["files"] != 2 * len(held["photos"]):
        found.append(f"{held['files']} picture files for {len(held['photos'])} photos")
    return found


def rows_differ(tablets: list[Tablet], held: dict[str, Any]) -> list[str]:
    """Return every difference between rows; files that no row names are not among them."""
    found = [f"refused on a tablet: {each}" for tablet in tablets for each in tablet.refused]
    found += [f"never left its tablet: {each['uid']}" for t in tablets for each in t.waiting]
    found += _differ("record", _records(tablets), [_in_order(each) for each in held["records"]])
    found += _differ("reading", _readings(tablets), held["readings"])
    found += _differ("photo", _photos(tablets), held["photos"])
    if held["one_place_twice"]:
        found.append(f"{held['one_place_twice']} points hold two readings of one number and time")
    return found


def _differ(what: str, made: list[tuple], there: list[tuple]) -> list[str]:
    on_tablets, on_server = (Counter(map(repr, rows)) for rows in (made, there))
    lost, extra = on_tablets - on_server, on_server - on_tablets
    return [f"{what} lost or changed: {row}" for row in lost.elements()] + [
        f"{what} twice or unknown: {row}" for row in extra.elements()
    ]


def _made(tablets: list[Tablet], kind: str | None = None):
    for tablet in tablets:
        for record in tablet.made:
            if kind in (None, record["kind"]):
                yield tablet, record


def _records(tablets: list[Tablet]) -> list[tuple]:
    rows = []
    for tablet, record in _made(tablets):
        payload = dict(record["payload"])
        if record["kind"] == "photo":  # its time is a column of the photo itself
            payload = {name: payload[name] for name in ("element", "caption", "sha256")}
        row = (record["uid"], record["inspection"], record["kind"], tablet.name, payload)
        rows.append(_in_order(row))
    return rows


def _readings(tablets: list[Tablet]) -> list[tuple]:
    rows = []
    for _, record in _made(tablets, "reading"):
        values = (record["payload"][name] for name in ("element", "point", "value", "typed"))
        rows.append((record["uid"], record["inspection"], *values))
    return rows


def _photos(tablets: list[Tablet]) -> list[tuple]:
    return [
        (each["uid"], each["inspection"], each["payload"]["sha256"], each["payload"]["element"],
         True)
        for _, each in _made(tablets, "photo")
    ]  # fmt: skip


def _in_order(row: tuple) -> tuple:
    """Return a row with its payload last and in one order: a database keeps none."""
    return (*row[:-1], sorted(row[-1].items()))
