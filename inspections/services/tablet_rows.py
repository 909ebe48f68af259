"""From a record's payload to the row that it stands for, one writer a kind."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple, TypeVar

from django.contrib.auth.models import AbstractBaseUser
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.form_spec import FIELDS
from inspections.models import (
    Condition,
    CriticalFinding,
    FieldNote,
    Inspection,
    Instrument,
    LeftOut,
    TabletRecord,
)
from inspections.models.choices import ReadingQuantity, RecordKind
from inspections.services import readings, sign_off
from inspections.services.new_rows import NewReading, NewTemperature
from inspections.services.on_record import Devices, OnRecord
from inspections.services.rows_passed import RowsPassed
from inspections.services.tablet_lookups import Joining, Named
from inventory.decimal_mark import with_mark
from inventory.models import Element
from inventory.units import Dimension, parse
from movement.errors import InputError

AGREE_WITHIN = 0.01
"""Tablet and server may differ by this in the stored unit, mm for a length."""

TrueTime = Callable[[dt.datetime], dt.datetime]
Row = TypeVar("Row", bound=models.Model)
REQUIRED: Any = object()
QUANTITIES = frozenset(ReadingQuantity.values)


class Payload:
    """The values of a record, each fetched with its check."""

    def __init__(self, values: dict[str, Any]) -> None:
        self.values = values

    def text(self, name: str, default: Any = REQUIRED) -> str:
        """Return a text."""
        return self._get(name, str, mark("a text"), default)

    def whole(self, name: str, default: Any = REQUIRED) -> int:
        """Return a whole number."""
        return self._get(name, int, mark("a whole number"), default)

    def yes_or_no(self, name: str) -> bool:
        """Return true or false."""
        return bool(self._get(name, bool, mark("true or false"), REQUIRED))

    def number(self, name: str) -> float:
        """Return a number."""
        return float(self._get(name, (int, float), mark("a number"), REQUIRED))

    def time(self, name: str) -> dt.datetime:
        """Return a time with its offset."""
        text = self.text(name)
        try:
            told = dt.datetime.fromisoformat(text)
        except ValueError:
            told = None
        if told is None or told.tzinfo is None:
            raise InputError(
                name,
                _("«%(text)s» is no time with its offset") % {"text": text},
                _("Enter it anew"),
            )
        return told

    def _get(self, name: str, kind: type | tuple[type, ...], words: str, default: Any) -> Any:
        value = self.values.get(name)
        if value is None and default is not REQUIRED:
            return default
        # True is a whole number to Python, but not to us.
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            raise InputError(
                name, _("is not %(what)s") % {"what": _(words)}, _("Enter it anew on the tablet")
            )
        return value


def _element(named: Named, payload: Payload, needed: bool = True) -> Element | None:
    pk = payload.whole("element", REQUIRED if needed else None)
    if pk is None:
        return None
    found = named.elements.get(pk)
    if found is None:
        raise InputError(
            "element",
            _("is not of %(bridge)s") % {"bridge": named.bridge.code},
            _("Take the inspection along anew"),
        )
    return found


def _named(record: TabletRecord) -> Named:
    return Named(record.inspection.bridge, [record.payload])


def _agreed(payload: Payload, name: str, dimension: Dimension) -> float:
    """Return the value that both sides read in what was typed."""
    typed = parse("typed", payload.text("typed"), dimension)
    shown = payload.number(name)
    if not abs(typed.value - shown) <= AGREE_WITHIN:
        raise InputError(
            "typed",
            _("«%(typed)s» is %(value)s, but the tablet took it for %(shown)s")
            % {
                "typed": typed.typed,
                "value": with_mark(f"{typed.value:.4g} {dimension.value}"),
                "shown": with_mark(f"{shown:.4g}"),
            },
            _("Load the app anew, then enter it again"),
        )
    return typed.value


def _instrument(named: Named, payload: Payload) -> Instrument | None:
    pk = payload.whole("instrument", None)
    if pk is None:
        return None
    found = named.instrument(pk)
    if found is None:
        raise InputError("instrument", _("is not known any more"), _("Choose another one"))
    return found


class Measured(NamedTuple):
    """A reading or temperature of a record, before it is known what stands beside it."""

    row: NewReading | NewTemperature
    first_uid: str | None = None
    """Of a second measurement: the record of the first."""


def measured(record: TabletRecord, true_time: TrueTime, named: Named) -> Measured:
    """Return what a record tells of a reading or temperature."""
    if record.kind == RecordKind.TEMPERATURE:
        return Measured(_temperature(record, true_time, named))
    return _reading(record, true_time, named)


def append_measured(
    inspection: Inspection,
    told: Sequence[Measured],
    devices: Devices,
    user: AbstractBaseUser,
    passed: RowsPassed | None = None,
) -> None:
    """Append readings and temperatures of an inspection that is held: all of them or none."""
    elements = {each.row.element.pk for each in told if isinstance(each.row, NewReading)}
    on_record = OnRecord.of([inspection], elements, devices, passed)
    joining = Joining(inspection, on_record, [each.first_uid for each in told])
    rows = readings.VisitRows(
        inspection,
        [
            joining.numbered(each.row, each.first_uid)
            for each in told
            if isinstance(each.row, NewReading)
        ],
        [joining.at_free_second(each.row) for each in told if isinstance(each.row, NewTemperature)],
    )
    recording = readings.Recording([rows], on_record)
    [outcome] = recording.checked()
    if not isinstance(outcome, readings.Recorded):
        raise outcome
    recording.write(user)


def take_one_measured(record: TabletRecord, true_time: TrueTime) -> None:
    """Append a reading or temperature."""
    told = measured(record, true_time, _named(record))
    append_measured(record.inspection, [told], Devices(), record.user)


def _reading(record: TabletRecord, true_time: TrueTime, named: Named) -> Measured:
    payload = Payload(record.payload)
    quantity = payload.text("quantity")
    if quantity not in QUANTITIES:
        raise InputError(
            "quantity",
            _("«%(quantity)s» is not known") % {"quantity": quantity},
            _("Load the app anew"),
        )
    value = _agreed(payload, "value", FIELDS[quantity].dimension)
    new = NewReading(
        element=_element(named, payload),
        quantity=quantity,
        value=value,
        typed=payload.text("typed"),
        taken_at=true_time(payload.time("taken_at")),
        point=payload.text("point", ""),
        axis=payload.text("axis", ""),
        instrument=_instrument(named, payload),
        remark=payload.text("remark", ""),
        record=record,
    )
    return Measured(new, payload.text("is_repeat_of", None))


def _temperature(record: TabletRecord, true_time: TrueTime, named: Named) -> NewTemperature:
    payload = Payload(record.payload)
    unit_pk = payload.whole("unit", None)
    unit = None if unit_pk is None else named.units.get(unit_pk)
    if unit_pk is not None and unit is None:
        raise InputError("unit", _("is not of this bridge"), _("Take the inspection along anew"))
    return NewTemperature(
        place=payload.text("place"),
        temperature_c=_agreed(payload, "temperature_c", Dimension.TEMPERATURE),
        typed=payload.text("typed"),
        taken_at=true_time(payload.time("taken_at")),
        unit=unit,
        sunlit=payload.yes_or_no("sunlit"),
        instrument=_instrument(named, payload),
        record=record,
    )


def take_condition(record: TabletRecord, _true_time: TrueTime) -> None:
    """Append the condition of an element."""
    payload = Payload(record.payload)
    states = {name: payload.whole(name) for name in ("cs1", "cs2", "cs3", "cs4", "total")}
    _append(
        Condition,
        record,
        element=_element(_named(record), payload),
        defect=payload.whole("defect"),
        remark=payload.text("remark", ""),
        **states,
    )


def take_note(record: TabletRecord, _true_time: TrueTime) -> None:
    """Append a note."""
    payload = Payload(record.payload)
    element = _element(_named(record), payload, needed=False)
    _append(FieldNote, record, element=element, text=payload.text("text"))


def take_critical(record: TabletRecord, true_time: TrueTime) -> None:
    """Append a critical finding."""
    payload = Payload(record.payload)
    _append(
        CriticalFinding,
        record,
        element=_element(_named(record), payload, needed=False),
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
        element=_element(_named(record), payload),
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
    RecordKind.READING: take_one_measured,
    RecordKind.TEMPERATURE: take_one_measured,
    RecordKind.CONDITION: take_condition,
    RecordKind.NOTE: take_note,
    RecordKind.CRITICAL: take_critical,
    RecordKind.LEFT_OUT: take_left_out,
    RecordKind.SIGN_OFF: take_sign_off,
}
"""Photos come in a request of their own: :mod:`inspections.services.photos`."""
