"""Checks that every new row passes, whichever way it came in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from functools import cache
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.form_spec import FIELDS, QUANTITIES_OF_DEVICE
from inspections.lookups.devices import device_on
from inspections.models import Inspection, Instrument, Reading, TemperatureReading
from inspections.services.new_rows import (
    FreshReading,
    FreshTemperature,
    NewReading,
    NewTemperature,
    RowProblem,
)
from inspections.services.on_record import OnRecord, Stored
from inventory.decimal_mark import with_mark
from inventory.models import Installation
from inventory.units import Dimension
from inventory.words import in_sentence

DAYS_AROUND_VISIT = 2
CLOCK_TOLERANCE = dt.timedelta(minutes=10)
SAME_VALUE = 1e-6
"""Two values closer than this are one value written twice, in the stored unit."""


def checked_readings(
    inspection: Inspection, new: list[NewReading], on_record: OnRecord
) -> tuple[list[FreshReading], int, list[RowProblem]]:
    """Return the rows to write, and how many stand there already, and what is wrong."""
    present = on_record.readings[inspection.pk]
    times = _Times(inspection, on_record)
    devices, passed, home = on_record.devices, on_record.passed, inspection.bridge_id
    fresh, problems, seen = [], [], 0
    for index, each in enumerate(new):
        element = each.element
        local_day, out_of_time = times[each.taken_at]
        installed = device_on(devices[element.id], local_day)
        if (
            installed is not None
            and not out_of_time
            and element.bridge_id == home
            and passed.has_like(each, installed)
        ):
            wrong = {}
        else:
            wrong = _reading_problems(inspection, each, local_day, installed, out_of_time)
            if not wrong and installed is not None:
                passed.add(each, installed)
        key = (
            element.id, each.quantity, each.point, each.axis, each.repeat, each.taken_at
        )  # fmt: skip
        if not wrong and key in present:
            wrong = _differs(each, present[key])
            if not wrong:
                seen += 1
                continue
        if wrong:
            problems += [RowProblem(index, name, message) for name, message in wrong.items()]
        elif installed is not None:
            present[key] = [each]
            fresh.append(FreshReading(inspection.id, installed.id, each))
    return fresh, seen, problems


def checked_temperatures(
    inspection: Inspection, new: list[NewTemperature], on_record: OnRecord
) -> tuple[list[FreshTemperature], int, list[RowProblem]]:
    """Return the rows to write, and how many stand there already, and what is wrong."""
    present = on_record.temperatures[inspection.pk]
    times = _Times(inspection, on_record)
    fresh, problems, told, seen = [], [], set(), 0
    for index, each in enumerate(new):
        _local_day, out_of_time = times[each.taken_at]
        at_home = each.unit is None or each.unit.bridge_id == inspection.bridge_id
        if at_home and not out_of_time and on_record.passed.has_like(each):
            wrong = {}
        else:
            wrong = _temperature_problems(inspection, each, out_of_time)
            if not wrong:
                on_record.passed.add(each)
        key = (each.unit.pk if each.unit else None, each.place, each.taken_at)
        if not wrong and key in present:
            wrong = _differs_in_temperature(each, present[key])
            if not wrong:
                # A file repeats the temperatures of an hour beside each reading: one value.
                seen += key not in told
                told.add(key)
                continue
        if wrong:
            problems += [RowProblem(index, name, message) for name, message in wrong.items()]
        else:
            present[key] = [(each.temperature_c, each.sunlit)]
            told.add(key)
            fresh.append(FreshTemperature(inspection.pk, each))
    return fresh, seen, problems


class _Times(dict[dt.datetime, tuple[dt.date, dict[str, str]]]):
    """The local day of a time, and what is wrong with the time; a visit repeats a few of them."""

    def __init__(self, inspection: Inspection, on_record: OnRecord) -> None:
        super().__init__()
        self._inspection = inspection
        self._zone = ZoneInfo(inspection.bridge.time_zone)
        self._latest = timezone.now() + CLOCK_TOLERANCE
        self._day = inspection.date.toordinal()
        self._local = on_record.local_times[inspection.bridge.time_zone]

    def __missing__(self, taken_at: dt.datetime) -> tuple[dt.date, dict[str, str]]:
        known = self._local.get(taken_at)
        if known is None:
            local = taken_at.astimezone(self._zone)
            known = self._local[taken_at] = local, local.date(), local.toordinal()
        local, local_day, number = known
        wrong = {}
        # Both are in UTC as a rule; compared with a local time, each would be turned into it first.
        if taken_at > self._latest or abs(number - self._day) > DAYS_AROUND_VISIT:
            wrong = _time_problem(self._inspection, local, self._latest)
        told = self[taken_at] = local_day, wrong
        return told


def _reading_problems(
    inspection: Inspection,
    new: NewReading,
    local_day: dt.date,
    installed: Installation | None,
    out_of_time: dict[str, str],
) -> dict[str, str]:
    """Say what is wrong with a reading, by field."""
    wrong = dict(out_of_time)
    if new.element.bridge_id != inspection.bridge_id:
        wrong["element"] = _("%(what)s does not belong to %(bridge)s.") % {
            "what": new.element,
            "bridge": inspection.bridge.code,
        }
    elif installed is None:
        wrong.setdefault(
            "taken_at",
            _("No device stood at %(element)s on %(day)s. Check the date.")
            % {"element": new.element.code, "day": local_day},
        )
    elif new.quantity not in QUANTITIES_OF_DEVICE[installed.device_type]:
        wrong["quantity"] = _("«%(quantity)s» is not read on a %(device)s. Use %(wanted)s.") % {
            "quantity": new.quantity,
            "device": in_sentence(installed.get_device_type_display()),
            "wanted": ", ".join(QUANTITIES_OF_DEVICE[installed.device_type]),
        }
    if new.quantity in FIELDS:
        wrong |= _instrument_problem(new.instrument, FIELDS[new.quantity].dimension)
    return wrong or _field_problems(
        Reading(inspection=inspection, installation=installed, **new._asdict())
    )


def _temperature_problems(
    inspection: Inspection, new: NewTemperature, out_of_time: dict[str, str]
) -> dict[str, str]:
    """Say what is wrong with a temperature, by field."""
    wrong = dict(out_of_time)
    if new.unit is not None and new.unit.bridge_id != inspection.bridge_id:
        wrong["unit"] = _("%(what)s does not belong to %(bridge)s.") % {
            "what": new.unit,
            "bridge": inspection.bridge.code,
        }
    wrong |= _instrument_problem(new.instrument, Dimension.TEMPERATURE)
    return wrong or _field_problems(TemperatureReading(inspection=inspection, **new._asdict()))


def _time_problem(
    inspection: Inspection, taken_at: dt.datetime, latest: dt.datetime
) -> dict[str, str]:
    """Say what is wrong with a time, told in the bridge's time zone."""
    if taken_at > latest:
        told = _("%(time)s lies in the future. Check the clock.")
        return {"taken_at": told % {"time": f"{taken_at:%Y-%m-%d %H:%M}"}}
    local_day = taken_at.date()
    if abs((local_day - inspection.date).days) > DAYS_AROUND_VISIT:
        return {
            "taken_at": _(
                "%(day)s is more than %(days)s days from the inspection of %(date)s. Check the"
                " date, or use another inspection."
            )
            % {"day": local_day, "days": DAYS_AROUND_VISIT, "date": inspection.date}
        }
    return {}


def _instrument_problem(instrument: Instrument | None, dimension: Dimension) -> dict[str, str]:
    if instrument is None or instrument.dimension == dimension.value:
        return {}
    return {
        "instrument": _(
            "%(instrument)s reads %(dimension)s, not %(wanted)s. Choose the one that this was read"
            " with."
        )
        % {
            "instrument": instrument,
            "dimension": instrument.dimension,
            "wanted": dimension.value,
        }
    }


def _differs(row: NewReading, stored: Sequence[Stored | NewReading]) -> dict[str, str]:
    """Say how a reading differs from what stands at its point; empty where it is the same."""
    same_value = [each for each in stored if _same(each.value, row.value)]
    if not same_value:
        unit = FIELDS[row.quantity].dimension.value
        return {
            "value": _(
                "%(recorded)s is recorded for this point and time, not %(given)s. Correct that"
                " reading, or count this one as a repeat."
            )
            % {
                "recorded": with_mark(f"{stored[-1].value:g} {unit}"),
                "given": with_mark(f"{row.value:g} {unit}"),
            }
        }
    same = [each for each in same_value if _same(each.accuracy, row.accuracy)]
    if not same:
        return {
            "accuracy": _(
                "This reading is recorded with another accuracy, or with none. Say the same as the"
                " record."
            )
        }
    if all(each.instrument_id != row.instrument_id for each in same):
        return {
            "instrument": _(
                "This reading is recorded with another instrument, or with none. Say the same as"
                " the record."
            )
        }
    return {}


def _differs_in_temperature(
    row: NewTemperature, stored: list[tuple[float, bool]]
) -> dict[str, str]:
    """Say how a temperature differs from what stands at its place; empty where it is the same."""
    same = [sunlit for value, sunlit in stored if _same(value, row.temperature_c)]
    if not same:
        return {
            "temperature_c": _(
                "%(recorded)s degC is recorded for this place and time, not %(given)s."
                " Correct that temperature, or give the time of this one."
            )
            % {
                "recorded": with_mark(f"{stored[-1][0]:g}"),
                "given": with_mark(f"{row.temperature_c:g}"),
            }
        }
    if row.sunlit in same:
        return {}
    return {
        "sunlit": _(
            "It is recorded as taken in the sun. Correct that temperature, or say the same."
        )
        if same[-1]
        else _("It is recorded as taken in the shade. Correct that temperature, or say the same.")
    }


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= SAME_VALUE


def _field_problems(row: Reading | TemperatureReading) -> dict[str, str]:
    """Return the first message of each field that the model's own validators refuse."""
    wrong: dict[str, str] = {}
    relations = _relations(type(row))
    for check in (lambda: row.clean_fields(exclude=relations), row.clean):
        try:
            check()
        except ValidationError as error:
            for name, messages in error.message_dict.items():
                wrong.setdefault(name, messages[0])
    return wrong


@cache
def _relations(model: type[Reading] | type[TemperatureReading]) -> frozenset[str]:
    """Return the fields that are rows just loaded: looking each up again costs a query."""
    return frozenset(field.name for field in model._meta.concrete_fields if field.is_relation)
