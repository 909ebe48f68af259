"""From a record's payload to the row that it stands for, one writer a kind."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

from django.db import models

from inspections.form_spec import FIELDS
from inspections.models import (
    Condition,
    CriticalFinding,
    FieldNote,
    Instrument,
    LeftOut,
    Reading,
    TabletRecord,
    TemperatureReading,
)
from inspections.models.choices import ReadingQuantity, RecordKind
from inspections.services import readings, sign_off
from inspections.services.new_rows import NewReading, NewTemperature
from inventory.models import Element, Unit
from inventory.units import Dimension, parse
from movement.errors import InputError

AGREE_WITHIN = 0.01
"""Tablet and server may differ by this in the stored unit, mm for a length."""

TrueTime = Callable[[dt.datetime], dt.datetime]
Row = TypeVar("Row", bound=models.Model)
REQUIRED: Any = object()


class Payload:
    """The values of a record, each fetched with its check."""

    def __init__(self, values: dict[str, Any]) -> None:
        self.values = values

    def text(self, name: str, default: Any = REQUIRED) -> str:
        """Return a text."""
        return self._get(name, str, "a text", default)

    def whole(self, name: str, default: Any = REQUIRED) -> int:
        """Return a whole number."""
        return self._get(name, int, "a whole number", default)

    def yes_or_no(self, name: str) -> bool:
        """Return true or false."""
        return bool(self._get(name, bool, "true or false", REQUIRED))

    def number(self, name: str) -> float:
        """Return a number."""
        return float(self._get(name, (int, float), "a number", REQUIRED))

    def time(self, name: str) -> dt.datetime:
        """Return a time with its offset."""
        text = self.text(name)
        try:
            told = dt.datetime.fromisoformat(text)
        except ValueError:
            told = None
        if told is None or told.tzinfo is None:
            raise InputError(name, f"«{text}» is no time with its offset", "Enter it anew")
        return told

    def _get(self, name: str, kind: type | tuple[type, ...], words: str, default: Any) -> Any:
        value = self.values.get(name)
        if value is None and default is not REQUIRED:
            return default
        # True is a whole number to Python, but not to us.
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            raise InputError(name, f"is not {words}", "Enter it anew on the tablet")
        return value


def _element(record: TabletRecord, payload: Payload, needed: bool = True) -> Element | None:
    pk = payload.whole("element", REQUIRED if needed else None)
    if pk is None:
        return None
    found = Element.objects.filter(pk=pk, bridge_id=record.inspection.bridge_id).first()
    if found is None:
        raise InputError(
            "element",
            f"is not of {record.inspection.bridge.code}",
            "Take the inspection along anew",
        )
    return found


def _agreed(payload: Payload, name: str, dimension: Dimension) -> float:
    """Return the value that both sides read in what was typed."""
    typed = parse("typed", payload.text("typed"), dimension)
    shown = payload.number(name)
    if not abs(typed.value - shown) <= AGREE_WITHIN:
        raise InputError(
            "typed",
            f"«{typed.typed}» is {typed.value:.4g} {dimension.value}, but the tablet took it for"
            f" {shown:.4g}",
            "Load the app anew, then enter it again",
        )
    return typed.value


def _instrument(payload: Payload) -> Instrument | None:
    pk = payload.whole("instrument", None)
    if pk is None:
        return None
    found = Instrument.objects.filter(pk=pk).first()
    if found is None:
        raise InputError("instrument", "is not known any more", "Choose another one")
    return found


def take_reading(record: TabletRecord, true_time: TrueTime) -> None:
    """Append a reading; a second measurement of the same point joins the first one's time."""
    payload = Payload(record.payload)
    quantity = payload.text("quantity")
    if quantity not in ReadingQuantity.values:
        raise InputError("quantity", f"«{quantity}» is not known", "Load the app anew")
    value = _agreed(payload, "value", FIELDS[ReadingQuantity(quantity)].dimension)
    new = NewReading(
        element=_element(record, payload),
        quantity=quantity,
        value=value,
        typed=payload.text("typed"),
        taken_at=true_time(payload.time("taken_at")),
        point=payload.text("point", ""),
        axis=payload.text("axis", ""),
        instrument=_instrument(payload),
        remark=payload.text("remark", ""),
        record=record,
    )
    readings.record(
        inspection=record.inspection,
        readings=[_numbered(record, new, payload.text("is_repeat_of", None))],
        temperatures=[],
        user=record.user,
        judge=False,
    )


def _numbered(record: TabletRecord, new: NewReading, first_uid: str | None) -> NewReading:
    """Give a reading the next free number at its point and time."""
    same_point = Reading.objects.filter(
        inspection=record.inspection,
        element=new.element,
        quantity=new.quantity,
        point=new.point,
        axis=new.axis,
    )
    taken_at = new.taken_at
    if first_uid is not None:
        first = same_point.filter(record__uid=first_uid).first()
        if first is None:
            raise InputError(
                "is_repeat_of", "has not arrived yet", "Send again when the first one has gone"
            )
        taken_at = first.taken_at
    last = same_point.filter(taken_at=taken_at).order_by("-repeat").first()
    return replace(new, taken_at=taken_at, repeat=1 if last is None else last.repeat + 1)


def take_temperature(record: TabletRecord, true_time: TrueTime) -> None:
    """Append a temperature."""
    payload = Payload(record.payload)
    unit_pk = payload.whole("unit", None)
    unit = None
    if unit_pk is not None:
        unit = Unit.objects.filter(pk=unit_pk, bridge_id=record.inspection.bridge_id).first()
        if unit is None:
            raise InputError("unit", "is not of this bridge", "Take the inspection along anew")
    taken_at = true_time(payload.time("taken_at"))
    place = payload.text("place")
    # Two tablets may read one place in one minute: the later is put a second on.
    there = TemperatureReading.objects.filter(inspection=record.inspection, unit=unit, place=place)
    while there.filter(taken_at=taken_at).exists():
        taken_at += dt.timedelta(seconds=1)
    new = NewTemperature(
        place=place,
        temperature_c=_agreed(payload, "temperature_c", Dimension.TEMPERATURE),
        typed=payload.text("typed"),
        taken_at=taken_at,
        unit=unit,
        sunlit=payload.yes_or_no("sunlit"),
        instrument=_instrument(payload),
        record=record,
    )
    readings.record(
        inspection=record.inspection, readings=[], temperatures=[new], user=record.user, judge=False
    )


def take_condition(record: TabletRecord, _true_time: TrueTime) -> None:
    """Append the condition of an element."""
    payload = Payload(record.payload)
    states = {name: payload.whole(name) for name in ("cs1", "cs2", "cs3", "cs4", "total")}
    _append(
        Condition,
        record,
        element=_element(record, payload),
        defect=payload.whole("defect"),
        remark=payload.text("remark", ""),
        **states,
    )


def take_note(record: TabletRecord, _true_time: TrueTime) -> None:
    """Append a note."""
    payload = Payload(record.payload)
    element = _element(record, payload, needed=False)
    _append(FieldNote, record, element=element, text=payload.text("text"))


def take_critical(record: TabletRecord, true_time: TrueTime) -> None:
    """Append a critical finding."""
    payload = Payload(record.payload)
    _append(
        CriticalFinding,
        record,
        element=_element(record, payload, needed=False),
        what=payload.text("what"),
        done=payload.text("done", ""),
        told=payload.text("told", ""),
        found_at=true_time(payload.time("found_at")),
    )


def take_left_out(record: TabletRecord, _true_time: TrueTime) -> None:
    """Append why an element was not read."""
    payload = Payload(record.payload)
    _append(
        LeftOut,
        record,
        element=_element(record, payload),
        reason=payload.text("reason"),
        remark=payload.text("remark", ""),
    )


def take_sign_off(record: TabletRecord, _true_time: TrueTime) -> None:
    """Sign the inspection and hand it in."""
    payload = Payload(record.payload)
    sign_off.sign(
        inspection=record.inspection,
        user=record.user,
        role=payload.text("role"),
        statement=payload.text("statement"),
        records_expected=payload.whole("count", None),
        tablet=record.tablet,
        record=record,
    )


def _append(table: type[Row], record: TabletRecord, **values: Any) -> Row:
    row = table(record=record, inspection=record.inspection, created_by=record.user, **values)
    row.full_clean()
    row.save(force_insert=True)
    return row


WRITERS: dict[RecordKind, Callable[[TabletRecord, TrueTime], None]] = {
    RecordKind.READING: take_reading,
    RecordKind.TEMPERATURE: take_temperature,
    RecordKind.CONDITION: take_condition,
    RecordKind.NOTE: take_note,
    RecordKind.CRITICAL: take_critical,
    RecordKind.LEFT_OUT: take_left_out,
    RecordKind.SIGN_OFF: take_sign_off,
}
"""Photos come in a request of their own: :mod:`inspections.services.photos`."""
