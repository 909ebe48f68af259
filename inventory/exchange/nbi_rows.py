"""Rows of the US National Bridge Inventory as a stock of bridges.

A bridge is found again by its state and structure number (items 1 and 8).  From the
inventory come, at every import: carries, crosses, main material, year built, position,
length, largest span, skew, and the lines of the remarks that begin with «NBI item».  What
the inventory leaves open (blank, zeros, a skew that varies) never empties a field.  Code,
name and district are given when a bridge first comes and are not touched again, nor is
anything else that was entered here: altitude, time zone, air station, design temperature
basis, other remarks, and all that stands on the bridge.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import IO

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from inventory.exchange.import_result import ImportResult
from inventory.exchange.nbi_reading import (
    COLUMN_OF,
    DISTRICT,
    OURS,
    STRUCTURE_NUMBER,
    NbiRow,
    Number,
    read_rows,
)
from inventory.exchange.problems import ImportRefused, Problem, decoded
from inventory.models import Bridge, District
from inventory.services.register import RegisterChanges, errors_of, write_register

_AT_ONCE = 500


def import_nbi(
    *,
    text_or_file: IO[bytes] | IO[str] | bytes | str,
    dry_run: bool = False,
    skip_bad_rows: bool = False,
    user: AbstractBaseUser | None = None,
    progress: Callable[[int], None] = lambda count: None,
) -> ImportResult:
    """Take national inventory rows, all or nothing unless bad ones are to be skipped.

    Raises
    ------
    ImportRefused
        With every row that cannot be taken; nothing was written then.
    """
    result = ImportResult(dry_run=dry_run)
    problems: list[Problem] = []
    rows = read_rows(decoded(text_or_file), result, problems, progress)
    with transaction.atomic():
        changes = _changes(rows, result, problems)
        if problems and not (skip_bad_rows and result.rows):
            raise ImportRefused(problems)
        write_register(changes=changes, reason="National inventory rows", user=user)
        if dry_run:
            transaction.set_rollback(True)
    result.problems = sorted(problems)
    return result


@dataclass(slots=True)
class _Stock:
    """What is stored, and what this file adds to it."""

    by_number: dict[Number, Bridge] = field(default_factory=dict)
    codes: set[str] = field(default_factory=set)
    districts: dict[str, District] = field(default_factory=dict)

    @classmethod
    def of(cls, rows: list[NbiRow]) -> _Stock:
        """Load and lock the bridges that rows may mean."""
        stock = cls(districts={each.code: each for each in District.objects.all()})
        for start in range(0, len(rows), _AT_ONCE):
            some = rows[start : start + _AT_ONCE]
            known = Bridge.objects.filter(inventory_number__in=[row.number[1] for row in some])
            for bridge in known.select_for_update():
                stock.by_number[bridge.inventory_state_code, bridge.inventory_number] = bridge
            codes = Bridge.objects.filter(code__in=[_code(row) for row in some])
            stock.codes.update(codes.values_list("code", flat=True))
        return stock


def _changes(rows: list[NbiRow], result: ImportResult, problems: list[Problem]) -> RegisterChanges:
    changes = RegisterChanges()
    stock = _Stock.of(rows)
    for row in rows:
        stored = stock.by_number.get(row.number)
        if stored is None:
            problems += _add(row, stock, changes, result)
            continue
        changed = _update(stored, row)
        found = _problems(row, errors_of(stored)) if changed else []
        problems += found
        if changed and not found:
            changes.update(stored, changed)
            result.updated["bridge"] += 1
        elif not found:
            result.unchanged["bridge"] += 1
    return changes


def _add(
    row: NbiRow, stock: _Stock, changes: RegisterChanges, result: ImportResult
) -> list[Problem]:
    """Note a new bridge, and its district where that is new; return what is wrong with them."""
    state, number = row.number
    if _code(row) in stock.codes:
        return [
            Problem(
                row.line,
                STRUCTURE_NUMBER,
                f"Bridge {_code(row)} has this code, but not this state and structure number. Fill"
                " in its NBI items 1 and 8, or give it another code.",
            )
        ]
    district = stock.districts.get(row.district_code) or District(
        code=row.district_code, name=f"State {state}, highway district {row.district_code[3:]}"
    )
    name = " over ".join(filter(None, (row.figures["carries"], row.figures["crosses"])))
    bridge = Bridge(
        district=district,
        code=_code(row),
        name=name or _code(row),
        inventory_state_code=state,
        inventory_number=number,
    )
    _update(bridge, row)
    found = _problems(row, errors_of(bridge))
    if district.pk is None:
        found += [
            Problem(row.line, DISTRICT, " ".join(messages))
            for messages in errors_of(district).values()
        ]
    if found:
        return found
    if row.district_code not in stock.districts:
        stock.districts[row.district_code] = district
        changes.create(district)
        result.created["district"] += 1
    changes.create(bridge)
    result.created["bridge"] += 1
    return []


def _code(row: NbiRow) -> str:
    return "-".join(row.number)


def _update(bridge: Bridge, row: NbiRow) -> set[str]:
    """Lay what the inventory tells over a bridge; return the names of the changed fields."""
    told = {name: value for name, value in row.figures.items() if value not in (None, "")}
    others = [line for line in bridge.remarks.splitlines() if not line.startswith(OURS)]
    ours = [line for line in bridge.remarks.splitlines() if line.startswith(OURS)]
    if ours != row.remarks:
        told["remarks"] = "\n".join([*row.remarks, *others])
    changed = {name for name, value in told.items() if getattr(bridge, name) != value}
    for name in changed:
        setattr(bridge, name, told[name])
    return changed


def _problems(row: NbiRow, errors: dict[str, list[str]]) -> list[Problem]:
    return [
        Problem(row.line, COLUMN_OF.get(name, ""), " ".join(messages))
        for name, messages in errors.items()
    ]
