"""Checks that every new row passes, whichever way it came in."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.form_spec import FIELDS, QUANTITIES_OF_DEVICE
from inspections.models import Inspection, Instrument, Reading, TemperatureReading
from inspections.selectors.devices import device_on
from inspections.services.new_rows import NewReading, NewTemperature, RowProblem
from inventory.decimal_mark import with_mark
from inventory.models import Installation
from inventory.units import Dimension
from inventory.words import in_sentence

DAYS_AROUND_VISIT = 2
CLOCK_TOLERANCE = dt.timedelta(minutes=10)
SAME_VALUE = 1e-6
"""Two values closer than this are one value written twice, in the stored unit."""


class _Stored(NamedTuple):
    """What a reading on record holds besides its key."""

    value: float
    accuracy: float | None
    instrument_id: int | None


@dataclass(frozen=True, slots=True)
class OnRecord:
    """What new rows are held to: devices by element, rows by inspection and what they are of.

    Of a point or place it is all that ever stood there, the last of it as it stands now: a row
    that was handed in once stays known when it has been corrected, and so does its correction.
    """

    devices: dict[int, list[Installation]]
    readings: dict[int, dict[tuple, list[_Stored]]]
    temperatures: dict[int, dict[tuple, list[tuple[float, bool]]]]

    @classmethod
    def of(cls, inspections: Collection[Inspection], element_ids: Iterable[int]) -> OnRecord:
        """Read what stands in some inspections, and at some elements, in three queries."""
        found = cls(defaultdict(list), defaultdict(dict), defaultdict(dict))
        for device in Installation.objects.filter(element_id__in=set(element_ids)).order_by():
            found.devices[device.element_id].append(device)
        for visit, *of, value, accuracy, instrument_id in (
            Reading.objects.filter(inspection__in=inspections)
            .order_by("pk")
            .values_list(
                "inspection_id", "element_id", "quantity", "point", "axis", "repeat", "taken_at",
                "value", "accuracy", "instrument_id",
            )
        ):  # fmt: skip
            stored = _Stored(value, accuracy, instrument_id)
            found.readings[visit].setdefault(tuple(of), []).append(stored)
        for visit, *of, value, sunlit in (
            TemperatureReading.objects.filter(inspection__in=inspections)
            .order_by("pk")
            .values_list("inspection_id", "unit_id", "place", "taken_at", "temperature_c", "sunlit")
        ):
            found.temperatures[visit].setdefault(tuple(of), []).append((value, sunlit))
        return found


def checked_readings(
    inspection: Inspection,
    new: list[NewReading],
    user: AbstractBaseUser | None,
    on_record: OnRecord,
) -> tuple[list[Reading], int, list[RowProblem]]:
    """Return the rows to write, and how many stand there already, and what is wrong."""
    zone = ZoneInfo(inspection.bridge.time_zone)
    present = on_record.readings[inspection.pk]
    fresh, problems, seen = [], [], 0
    for index, each in enumerate(new):
        row = Reading(
            inspection=inspection,
            element=each.element,
            quantity=each.quantity,
            point=each.point,
            axis=each.axis,
            repeat=each.repeat,
            value=each.value,
            typed=each.typed,
            taken_at=each.taken_at,
            instrument=each.instrument,
            accuracy=each.accuracy,
            remark=each.remark,
            record=each.record,
            created_by=user,
        )
        local_day = each.taken_at.astimezone(zone).date()
        wrong = _time_problem(inspection, each.taken_at.astimezone(zone))
        installed = device_on(on_record.devices[each.element.pk], local_day)
        if each.element.bridge_id != inspection.bridge_id:
            wrong["element"] = _("%(what)s does not belong to %(bridge)s.") % {
                "what": each.element,
                "bridge": inspection.bridge.code,
            }
        elif installed is None:
            wrong.setdefault(
                "taken_at",
                _("No device stood at %(element)s on %(day)s. Check the date.")
                % {"element": each.element.code, "day": local_day},
            )
        elif each.quantity not in QUANTITIES_OF_DEVICE[installed.device_type]:
            wrong["quantity"] = _("«%(quantity)s» is not read on a %(device)s. Use %(wanted)s.") % {
                "quantity": each.quantity,
                "device": in_sentence(installed.get_device_type_display()),
                "wanted": ", ".join(QUANTITIES_OF_DEVICE[installed.device_type]),
            }
        row.installation = installed
        if each.quantity in FIELDS:
            wrong |= _instrument_problem(each.instrument, FIELDS[each.quantity].dimension)
        wrong = wrong or _field_problems(row)
        key = (
            each.element.pk, each.quantity, each.point, each.axis, each.repeat, each.taken_at
        )  # fmt: skip
        if not wrong and key in present:
            wrong = _differs(row, present[key])
            if not wrong:
                seen += 1
                continue
        if wrong:
            problems += [RowProblem(index, name, message) for name, message in wrong.items()]
        else:
            present[key] = [_Stored(row.value, row.accuracy, row.instrument_id)]
            fresh.append(row)
    return fresh, seen, problems


def checked_temperatures(
    inspection: Inspection,
    new: list[NewTemperature],
    user: AbstractBaseUser | None,
    on_record: OnRecord,
) -> tuple[list[TemperatureReading], int, list[RowProblem]]:
    """Return the rows to write, and how many stand there already, and what is wrong."""
    zone = ZoneInfo(inspection.bridge.time_zone)
    present = on_record.temperatures[inspection.pk]
    fresh, problems, seen = [], [], 0
    for index, each in enumerate(new):
        row = TemperatureReading(
            inspection=inspection,
            unit=each.unit,
            place=each.place,
            sunlit=each.sunlit,
            temperature_c=each.temperature_c,
            typed=each.typed,
            taken_at=each.taken_at,
            instrument=each.instrument,
            record=each.record,
            created_by=user,
        )
        wrong = _time_problem(inspection, each.taken_at.astimezone(zone))
        if each.unit is not None and each.unit.bridge_id != inspection.bridge_id:
            wrong["unit"] = _("%(what)s does not belong to %(bridge)s.") % {
                "what": each.unit,
                "bridge": inspection.bridge.code,
            }
        wrong |= _instrument_problem(each.instrument, Dimension.TEMPERATURE)
        wrong = wrong or _field_problems(row)
        key = (each.unit.pk if each.unit else None, each.place, each.taken_at)
        if not wrong and key in present:
            same = [sunlit for value, sunlit in present[key] if _same(value, each.temperature_c)]
            if not same:
                wrong["temperature_c"] = _(
                    "%(recorded)s degC is recorded for this place and time, not %(given)s."
                    " Correct that temperature, or give the time of this one."
                ) % {
                    "recorded": with_mark(f"{present[key][-1][0]:g}"),
                    "given": with_mark(f"{each.temperature_c:g}"),
                }
            elif each.sunlit not in same:
                wrong["sunlit"] = (
                    _(
                        "It is recorded as taken in the sun. Correct that temperature, or say the"
                        " same."
                    )
                    if same[-1]
                    else _(
                        "It is recorded as taken in the shade. Correct that temperature, or say"
                        " the same."
                    )
                )
            else:
                seen += 1
                continue
        if wrong:
            problems += [RowProblem(index, name, message) for name, message in wrong.items()]
        else:
            present[key] = [(each.temperature_c, each.sunlit)]
            fresh.append(row)
    return fresh, seen, problems


def _time_problem(inspection: Inspection, taken_at: dt.datetime) -> dict[str, str]:
    """Say what is wrong with a time, told in the bridge's time zone."""
    if taken_at > timezone.now() + CLOCK_TOLERANCE:
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


def _differs(row: Reading, stored: list[_Stored]) -> dict[str, str]:
    """Say how a row differs from what stands at its point; empty where it is the same."""
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
