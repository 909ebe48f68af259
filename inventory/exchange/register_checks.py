"""The rules of the register over rows in memory: each row's own, and those between rows."""

from __future__ import annotations

import datetime as dt
import itertools
from collections import defaultdict

from django.utils import timezone

from inventory.exchange.columns import ELEMENT_CODE, OF_RECORD, Record, column_of
from inventory.exchange.problems import Problem
from inventory.exchange.register_apply import Draft, Overlay
from inventory.exchange.register_reading import Row
from inventory.exchange.register_stock import Key
from inventory.models import Bridge, Element, Installation, Unit, UnitConcrete, UnitSection
from inventory.notices import notices
from inventory.services.register import errors_of, others_with_inventory_number


def check(overlay: Overlay) -> None:
    """Report every rule that the register would break, at the line that breaks it."""
    _check_rows(overlay)
    _check_units(overlay)
    _check_decks(overlay)
    _check_inventory_numbers(overlay)
    _check_places(overlay)


def noticed(overlay: Overlay) -> list[Problem]:
    """Return what is worth a look in written rows, at the line it comes from."""
    return [
        Problem(draft.source.line, _column(overlay, draft, attribute), text)
        for draft in overlay.drafts
        if draft.is_touched
        for attribute, text in notices(draft.target).items()
    ]


def _check_places(overlay: Overlay) -> None:
    """See that devices of a place follow each other, and tie the place to the last of them."""
    rows_at: dict[Key, list[Row]] = defaultdict(list)
    for draft in list(overlay.drafts):
        if isinstance(draft.target, Element | Installation) and draft.is_touched:
            rows_at[draft.source.key[:2]].append(draft.source)
    for place, rows in rows_at.items():
        devices = overlay.stock.devices.get(place, [])
        own = [row for each in devices if (row := overlay.source_of(each)) is not None]
        element = overlay.stock.find(Record.ELEMENT, place)
        unclear = place in overlay.unplaced or any(row.failed for row in own)
        if unclear or not isinstance(element, Element):
            continue
        if not devices:
            overlay.read.report(
                rows[0],
                ELEMENT_CODE,
                "A place comes with the device that stands there. Add a row with record"
                " installation, the same bridge_code and element_code, a device_type and"
                " installed_on.",
            )
            continue
        devices = sorted(devices, key=lambda each: each.installed_on)
        if _follow_each_other(overlay, devices, rows[0]):
            _name_current(overlay, element, devices[-1], rows[0])


def _follow_each_other(overlay: Overlay, devices: list[Installation], source: Row) -> bool:
    def report(device: Installation, column: str, message: str) -> bool:
        row = overlay.source_of(device) or source
        overlay.read.report(row, column, message)
        return False

    fine = True
    for device, following in itertools.pairwise(devices):
        if device.removed_on is None:
            fine = report(
                device,
                "removed_on",
                f"Empty, but another device was installed here on {following.installed_on}. Fill"
                " in the day on which this one ended, and end_reason.",
            )
        elif device.removed_on > following.installed_on:
            fine = report(
                following,
                "installed_on",
                f"{following.installed_on} is before {device.removed_on}, when the device before"
                " it ended. Correct one of the two days.",
            )
    if devices[-1].removed_on is not None:
        fine = report(
            devices[-1],
            "removed_on",
            "The last device of this place has ended, and a place always holds one. Add the row of"
            " the device that followed, or empty removed_on and end_reason.",
        )
    return fine


def _name_current(overlay: Overlay, element: Element, device: Installation, source: Row) -> None:
    if element.current_installation_id != device.pk:
        element.current_installation_id = device.pk
        overlay.draft_of(element, source).changed.add("current_installation")


def _check_rows(overlay: Overlay) -> None:
    for draft in overlay.drafts:
        if draft.is_touched:
            columns = OF_RECORD[draft.source.record]
            spoilt = {columns[each].attribute for each in draft.source.failed if each in columns}
            for attribute, messages in errors_of(draft.target, spoilt).items():
                _report(overlay, draft, attribute, " ".join(messages))
            if isinstance(draft.target, Installation):
                _refuse_future(overlay, draft, spoilt)


def _refuse_future(overlay: Overlay, draft: Draft, spoilt: set[str]) -> None:
    # Where the site is, tomorrow may have begun.
    latest = timezone.localdate() + dt.timedelta(days=1)
    for name in {"installed_on", "removed_on"} - spoilt:
        day = getattr(draft.target, name)
        if day is not None and day > latest:
            _report(overlay, draft, name, f"{day} lies in the future. Enter it when it is done.")


def _check_units(overlay: Overlay) -> None:
    """See that no element is left outside a unit that has changed its ends."""
    changed = {
        id(draft.target): draft
        for draft in overlay.drafts
        if isinstance(draft.target, Unit) and {"start_station_m", "end_station_m"} & draft.changed
    }
    if not changed:
        return
    for element in overlay.stock.rows[Record.ELEMENT].values():
        if overlay.is_touched(element):
            continue  # its own check has seen the units as they are to be
        for unit in (element.unit, element.unit_ahead):
            draft = changed.get(id(unit))
            if draft is None or unit.covers(element.station_m):
                continue
            end = "start_station_m" if element.station_m < unit.start_station_m else "end_station_m"
            _report(
                overlay,
                draft,
                end,
                f"Element {element.code} at {element.station_m:g} m would lie outside the unit."
                " Move the element in the same file, or keep the unit as long.",
            )


def _check_decks(overlay: Overlay) -> None:
    """See that a unit of another deck type keeps no section or concrete that does not fit it."""
    for draft in list(overlay.drafts):
        if not isinstance(draft.target, Unit) or "deck_type" not in draft.changed:
            continue
        for model, remedy in (
            (UnitSection, "Give the section_form of this deck in the same row"),
            (UnitConcrete, "Remove the concrete on the unit's page first"),
        ):
            detail = overlay.stock.parts[model].get(draft.source.key)
            # One that the row fills as well is refused by its own check.
            if detail is None or overlay.is_touched(detail):
                continue
            if not detail.fits(draft.target.deck_type):
                _report(
                    overlay,
                    draft,
                    "deck_type",
                    f"{detail} is stored and does not fit this deck type. {remedy}, or keep the"
                    " deck type.",
                )


def _check_inventory_numbers(overlay: Overlay) -> None:
    """See that no two bridges have one state and structure number."""
    changed = [
        draft
        for draft in overlay.drafts
        if isinstance(draft.target, Bridge)
        and draft.target.inventory_number
        and (draft.is_new or {"inventory_state_code", "inventory_number"} & draft.changed)
    ]
    taken = others_with_inventory_number([draft.target for draft in changed])
    for draft in changed:
        bridge = draft.target
        number = (bridge.inventory_state_code, bridge.inventory_number)
        holder = taken.setdefault(number, bridge.code)
        if holder != bridge.code:
            _report(
                overlay,
                draft,
                "inventory_number",
                f"Bridge {holder} has this state and structure number. Correct one of the two.",
            )


def _report(overlay: Overlay, draft: Draft, attribute: str, message: str) -> None:
    column = column_of(draft.source.record, type(draft.target), attribute)
    overlay.read.report(draft.source, "" if column is None else column.name, message)


def _column(overlay: Overlay, draft: Draft, attribute: str) -> str:
    """Return an attribute's column as the header of the file has it."""
    column = column_of(draft.source.record, type(draft.target), attribute)
    return "" if column is None else overlay.read.header.shown(column.name)
