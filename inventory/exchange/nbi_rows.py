"""Rows of the US National Bridge Inventory as a stock of bridges.

A bridge is found again by its state and structure number (items 1 and 8).  From the
inventory come carries, crosses, the name made of both, main material, year built, position,
length, largest span, skew, and lines of the remarks that begin with «NBI item».  Each import
brings them up to date where the register still holds what the inventory told last
(`InventoryTold`), or nothing.  What was entered here stays, in these fields as in all others,
and where the inventory has news of it both are told.  What the inventory leaves open (blank,
zeros, a skew that varies) never empties a field.  Code and district are given when a bridge
first comes.  A bridge that the inventory told of before and that is missing from a file with
rows of its highway district is told, and stays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import IO

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from inventory.exchange.file_rows import decoded
from inventory.exchange.import_result import ImportResult
from inventory.exchange.nbi_merge import merge, name_of
from inventory.exchange.nbi_reading import (
    COLUMN_OF,
    DISTRICT,
    STRUCTURE_NUMBER,
    NbiRow,
    Number,
    read_rows,
)
from inventory.exchange.problems import ImportRefused, Problem
from inventory.models import Bridge, District, InventoryTold
from inventory.services.register import RegisterChanges, errors_of, write_register

_AT_ONCE = 500


def import_nbi(
    *,
    text_or_file: IO[bytes] | IO[str] | bytes | str,
    dry_run: bool = False,
    skip_bad_rows: bool = False,
    user: AbstractBaseUser | None = None,
    progress: Callable[[int], None] = lambda count: None,
    expected: Callable[[int], None] = lambda count: None,
) -> ImportResult:
    """Take national inventory rows, all or nothing unless bad ones are to be skipped.

    Raises
    ------
    ImportRefused
        With every row that cannot be taken; nothing was written then.
    """
    result = ImportResult(dry_run=dry_run)
    problems: list[Problem] = []
    rows, named = read_rows(decoded(text_or_file), result, problems, progress, expected)
    with transaction.atomic():
        changes, told = _changes(rows, result, problems)
        if problems and not (skip_bad_rows and result.rows):
            raise ImportRefused(problems)
        result.notices += _vanished(rows, named)
        write_register(changes=changes, reason="National inventory rows", user=user)
        _remember(told)
        if dry_run:
            transaction.set_rollback(True)
    result.problems = sorted(problems)
    return result


@dataclass(slots=True)
class _Stock:
    """What is stored, and what this file adds to it."""

    by_number: dict[Number, Bridge] = field(default_factory=dict)
    told: dict[int, InventoryTold] = field(default_factory=dict)
    codes: set[str] = field(default_factory=set)
    districts: dict[str, District] = field(default_factory=dict)

    @classmethod
    def of(cls, rows: list[NbiRow]) -> _Stock:
        """Load and lock the bridges that rows may mean."""
        stock = cls(districts={each.code: each for each in District.objects.all()})
        for start in range(0, len(rows), _AT_ONCE):
            some = rows[start : start + _AT_ONCE]
            known = Bridge.objects.filter(inventory_number__in=[row.number[1] for row in some])
            for bridge in known.select_related("district").select_for_update(of=("self",)):
                number = (bridge.inventory_state_code, bridge.inventory_number)
                stock.by_number[number] = bridge
            for told in InventoryTold.objects.filter(bridge__in=known):
                stock.told[told.bridge_id] = told
            codes = Bridge.objects.filter(code__in=[_code(row) for row in some])
            stock.codes.update(codes.values_list("code", flat=True))
        return stock


def _changes(
    rows: list[NbiRow], result: ImportResult, problems: list[Problem]
) -> tuple[RegisterChanges, list[InventoryTold]]:
    """Return what to write, and what the inventory told that was not known."""
    changes = RegisterChanges()
    stock = _Stock.of(rows)
    told = []
    for row in rows:
        stored = stock.by_number.get(row.number)
        bridge = _new_bridge(row, stock) if stored is None else stored
        before = stock.told.get(bridge.pk) or InventoryTold(bridge=bridge, figures={})
        changed, conflicts, figures = merge(bridge, row, before.figures)
        found = _problems(row, stock, bridge) if changed or stored is None else []
        problems += found
        if found:
            continue
        result.notices += conflicts
        if figures != before.figures:
            before.figures = figures
            told.append(before)
        if stored is None:
            _add(bridge, stock, changes, result)
        elif changed:
            changes.update(bridge, changed)
            result.updated["bridge"] += 1
        else:
            result.unchanged["bridge"] += 1
    return changes, told


def _new_bridge(row: NbiRow, stock: _Stock) -> Bridge:
    state, number = row.number
    district = stock.districts.get(row.district_code) or District(
        code=row.district_code, name=f"State {state}, highway district {row.district_code[3:]}"
    )
    return Bridge(
        district=district,
        code=_code(row),
        name=name_of(row),
        inventory_state_code=state,
        inventory_number=number,
    )


def _add(bridge: Bridge, stock: _Stock, changes: RegisterChanges, result: ImportResult) -> None:
    """Note a new bridge, and its district where that is new."""
    district = bridge.district
    if district.code not in stock.districts:
        stock.districts[district.code] = district
        changes.create(district)
        result.created["district"] += 1
    changes.create(bridge)
    result.created["bridge"] += 1


def _code(row: NbiRow) -> str:
    return "-".join(row.number)


def _problems(row: NbiRow, stock: _Stock, bridge: Bridge) -> list[Problem]:
    """Return what is wrong with a bridge, and with its district where that is new."""
    if bridge.pk is None and bridge.code in stock.codes:
        return [
            Problem(
                row.line,
                STRUCTURE_NUMBER,
                f"Bridge {bridge.code} has this code, but not this state and structure number."
                " Fill in its NBI items 1 and 8, or give it another code.",
            )
        ]
    wrong = {COLUMN_OF.get(name, ""): texts for name, texts in errors_of(bridge).items()}
    if bridge.district.pk is None:
        for texts in errors_of(bridge.district).values():
            wrong[DISTRICT] = texts
    return [Problem(row.line, column, " ".join(texts)) for column, texts in wrong.items()]


def _remember(told: list[InventoryTold]) -> None:
    """Keep what the inventory told, to know it from what is entered here later."""
    new = [each for each in told if each.pk is None]
    for each in new:
        each.bridge_id = each.bridge.pk  # which it had not before the bridge was written
    InventoryTold.objects.bulk_create(new, batch_size=_AT_ONCE)
    known = [each for each in told if each.pk is not None]
    InventoryTold.objects.bulk_update(known, ["figures"], batch_size=_AT_ONCE)


def _vanished(rows: list[NbiRow], named: set[Number]) -> Iterator[Problem]:
    """Yield the bridges that the inventory told of before and a file of their district lacks."""
    districts = {row.district_code for row in rows}
    states = {row.number[0] for row in rows}
    known = InventoryTold.objects.filter(bridge__inventory_state_code__in=states)
    columns = ("bridge__code", "bridge__inventory_state_code", "bridge__inventory_number")
    for code, state, number, figures in known.order_by("bridge__code").values_list(
        *columns, "figures"
    ):
        if figures["district_code"] in districts and (state, number) not in named:
            yield Problem(
                0,
                STRUCTURE_NUMBER,
                f"Bridge {code} (state {state}, number «{number}») was in an earlier file and is"
                " not in this one. It stays as it is.",
            )
