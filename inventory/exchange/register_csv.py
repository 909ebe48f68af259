"""The register as one CSV file, format ``ledger-register/1``: in and out.

The first column, ``record``, says what a row is: district, bridge (with its design
temperature basis), unit (with its concrete and section), support, element, installation
(with the capacities of its kind), or station_year (the extremes of a year at an air
station).  `inventory.exchange.columns` declares the columns; ``import_register --columns``
prints them.

Rows are named by the district's code, the bridge's code, bridge and code for units,
supports and elements, bridge, element and ``installed_on`` for installations, and station
and year for the years of stations.  A row whose name is not stored is created; of one that
is, the columns in the file are updated, an empty cell emptying its column.  What the file
does not name stays: nothing is ever removed, and a bridge's basis, or a unit's concrete or
section, is left alone by a row in which all its columns are empty.  Rows may stand in any
order.

The name of the format changes when a column is renamed, removed or read in another way;
new columns that may be left out do not change it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import IO

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction

from inventory.exchange.columns import BRIDGE_CODE, STATION
from inventory.exchange.import_result import ImportResult
from inventory.exchange.problems import ImportRefused, Problem
from inventory.exchange.register_apply import Overlay
from inventory.exchange.register_checks import check, noticed
from inventory.exchange.register_reading import RegisterFile, read_register
from inventory.exchange.register_stock import Stock
from inventory.exchange.register_writing import write_register
from inventory.services.register import RegisterChanges
from inventory.services.register import write_register as write_changes

__all__ = ["ImportRefused", "ImportResult", "import_register", "read_register", "write_register"]


def import_register(
    *,
    text_or_file: IO[bytes] | IO[str] | bytes | str,
    dry_run: bool = False,
    user: AbstractBaseUser | None = None,
    progress: Callable[[int], None] = lambda count: None,
    expected: Callable[[int], None] = lambda count: None,
) -> ImportResult:
    """Take a register file, the whole of it or nothing.

    ``dry_run`` does everything but the commit.  ``progress`` is told the rows applied, one
    by one, and ``expected`` before that how many they will be.

    Raises
    ------
    ImportRefused
        With every problem of every row; nothing was written then.
    """
    return apply_register(
        read=read_register(text_or_file),
        dry_run=dry_run,
        user=user,
        progress=progress,
        expected=expected,
    )


def apply_register(
    *,
    read: RegisterFile,
    dry_run: bool = False,
    user: AbstractBaseUser | None = None,
    progress: Callable[[int], None] = lambda count: None,
    expected: Callable[[int], None] = lambda count: None,
) -> ImportResult:
    """Take a file that has been read; see `import_register`."""
    with transaction.atomic():
        bridge_codes, stations = (
            {row.values[name] for row in read.rows if row.values.get(name)}
            for name in (BRIDGE_CODE, STATION)
        )
        stock = Stock.of(bridge_codes, stations)
        overlay = Overlay(read, stock)
        overlay.lay(progress, expected)
        check(overlay)
        if read.problems:
            raise ImportRefused(read.problems)
        changes = RegisterChanges()
        for draft in overlay.drafts:
            if draft.is_new:
                changes.create(draft.target)
            elif draft.changed:
                changes.update(draft.target, draft.changed)
        try:
            with transaction.atomic():
                write_changes(changes=changes, reason="Register file", user=user)
        except IntegrityError as error:
            raise ImportRefused(
                [Problem(0, "", f"The database refuses the file as a whole: {error}.")]
            ) from error
        if dry_run:
            transaction.set_rollback(True)
    return ImportResult(
        notices=noticed(overlay),
        dry_run=dry_run,
        created=overlay.created,
        updated=overlay.updated,
        unchanged=overlay.unchanged,
    )
