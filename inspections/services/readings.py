"""Every write of readings and temperatures: form, file and command reach this one."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inspections.form_spec import QUANTITIES_OF_DEVICE
from inspections.models import Inspection, Instrument, Reading, TemperatureReading
from inspections.models.choices import InspectionState
from inspections.services.judge import judge_bridges
from inventory.models import Element, Installation, Unit

DAYS_AROUND_VISIT = 2
CLOCK_TOLERANCE = dt.timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class NewReading:
    """A measured value on its way in; ``value`` is in the stored unit of its quantity."""

    element: Element
    quantity: str
    value: float
    typed: str
    taken_at: dt.datetime
    point: str = ""
    axis: str = ""
    repeat: int = 1
    instrument: Instrument | None = None
    accuracy: float | None = None
    remark: str = ""


@dataclass(frozen=True, slots=True)
class NewTemperature:
    """A temperature on its way in."""

    place: str
    temperature_c: float
    typed: str
    taken_at: dt.datetime
    unit: Unit | None = None
    sunlit: bool = False
    instrument: Instrument | None = None


@dataclass(frozen=True, slots=True)
class RowProblem:
    """What is wrong with one of the rows handed in."""

    row: int
    field: str
    message: str


class RowsRefused(Exception):  # noqa: N818 - reads as what happened; the problems are inside
    """Some rows cannot be taken, so none was."""

    def __init__(
        self, readings: list[RowProblem] | None = None, temperatures: list[RowProblem] | None = None
    ) -> None:
        self.readings = readings or []
        self.temperatures = temperatures or []
        super().__init__(f"{len(self.readings) + len(self.temperatures)} rows refused")


@dataclass(slots=True)
class Recorded:
    """What was written: rows added, and rows that stood there already, the same."""

    added: int = 0
    already_there: int = 0
    inspections: set[int] = field(default_factory=set)


@transaction.atomic
def record(
    *,
    inspection: Inspection,
    readings: list[NewReading],
    temperatures: list[NewTemperature],
    user: AbstractBaseUser | None = None,
    judge: bool = True,
) -> Recorded:
    """Append readings and temperatures to an open inspection; the same row twice is one row.

    ``judge=False`` leaves judging to a caller that writes several inspections.

    Raises
    ------
    RowsRefused
        With every row that cannot be taken, its field and the remedy; none is written.
    ValidationError
        If the inspection is no longer open.
    """
    fresh_readings, seen = _checked_readings(inspection, readings, user)
    fresh_temperatures, seen_temperatures = _checked_temperatures(inspection, temperatures, user)
    if (fresh_readings or fresh_temperatures) and inspection.state != InspectionState.OPEN:
        raise ValidationError(
            f"{inspection} is {inspection.get_state_display().lower()}: nothing can be added."
            " Have it returned, or correct single readings."
        )
    Reading.objects.bulk_create(fresh_readings, batch_size=500)
    TemperatureReading.objects.bulk_create(fresh_temperatures, batch_size=500)
    if judge and (fresh_readings or fresh_temperatures):
        judge_bridges([inspection.bridge_id])
    return Recorded(
        len(fresh_readings) + len(fresh_temperatures), seen + seen_temperatures, {inspection.pk}
    )


@transaction.atomic
def correct_reading(
    *, reading: Reading, value: float, typed: str, reason: str, user: AbstractBaseUser
) -> Reading:
    """Append a correction of a reading; the old row stays and is no longer judged."""
    if not reason.strip():
        raise ValidationError({"remark": "Say why the reading is corrected."})
    if Reading.objects.filter(corrects=reading).exists():
        raise ValidationError("This reading has been corrected already. Correct the newer one.")
    correction = Reading(
        **{
            name: getattr(reading, name)
            for name in (
                "inspection",
                "element",
                "installation",
                "quantity",
                "point",
                "axis",
                "repeat",
                "taken_at",
                "instrument",
                "accuracy",
            )
        },
        value=value,
        typed=typed,
        remark=reason,
        corrects=reading,
        created_by=user,
    )
    correction.full_clean()
    correction.save(force_insert=True)
    judge_bridges([reading.inspection.bridge_id])
    return correction


def _checked_readings(
    inspection: Inspection, new: list[NewReading], user: AbstractBaseUser | None
) -> tuple[list[Reading], int]:
    zone = ZoneInfo(inspection.bridge.time_zone)
    installations = defaultdict(list)
    for row in Installation.objects.filter(element_id__in={each.element.pk for each in new}):
        installations[row.element_id].append(row)
    present = {
        key: value
        for *key_parts, value in inspection.readings.filter(corrects__isnull=True).values_list(
            "element_id", "quantity", "point", "axis", "repeat", "taken_at", "value"
        )
        for key in [tuple(key_parts)]
    }
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
            created_by=user,
        )
        local_day = each.taken_at.astimezone(zone).date()
        wrong = _time_problem(inspection, each.taken_at, local_day)
        installed = _installed_on(installations[each.element.pk], local_day)
        if each.element.bridge_id != inspection.bridge_id:
            wrong["element"] = f"{each.element} does not belong to {inspection.bridge.code}."
        elif installed is None:
            wrong.setdefault(
                "taken_at",
                f"No device stood at {each.element.code} on {local_day}. Check the date.",
            )
        elif each.quantity not in QUANTITIES_OF_DEVICE[installed.device_type]:
            wrong["quantity"] = (
                f"«{each.quantity}» is not read on a {installed.get_device_type_display().lower()}."
                f" Use {', '.join(QUANTITIES_OF_DEVICE[installed.device_type])}."
            )
        row.installation = installed
        wrong = wrong or _field_problems(row)
        key = (
            each.element.pk, each.quantity, each.point, each.axis, each.repeat, each.taken_at
        )  # fmt: skip
        if not wrong and key in present:
            if abs(present[key] - each.value) <= 1e-6:
                seen += 1
                continue
            wrong["value"] = (
                f"{present[key]:g} is recorded for this point and time, not {each.value:g}."
                " Correct that reading, or count this one as a repeat."
            )
        if wrong:
            problems += [RowProblem(index, name, message) for name, message in wrong.items()]
        else:
            present[key] = each.value
            fresh.append(row)
    if problems:
        raise RowsRefused(readings=problems)
    return fresh, seen


def _checked_temperatures(
    inspection: Inspection, new: list[NewTemperature], user: AbstractBaseUser | None
) -> tuple[list[TemperatureReading], int]:
    zone = ZoneInfo(inspection.bridge.time_zone)
    present = {
        tuple(key): value
        for *key, value in inspection.temperatures.values_list(
            "unit_id", "place", "taken_at", "temperature_c"
        )
    }
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
            created_by=user,
        )
        wrong = _time_problem(inspection, each.taken_at, each.taken_at.astimezone(zone).date())
        if each.unit is not None and each.unit.bridge_id != inspection.bridge_id:
            wrong["unit"] = f"{each.unit} does not belong to {inspection.bridge.code}."
        wrong = wrong or _field_problems(row)
        key = (each.unit.pk if each.unit else None, each.place, each.taken_at)
        if not wrong and key in present:
            if abs(present[key] - each.temperature_c) <= 1e-6:
                seen += 1
                continue
            wrong["temperature_c"] = (
                f"{present[key]:g} degC is recorded for this place and time, not"
                f" {each.temperature_c:g}. Check which is right and give that one."
            )
        if wrong:
            problems += [RowProblem(index, name, message) for name, message in wrong.items()]
        else:
            present[key] = each.temperature_c
            fresh.append(row)
    if problems:
        raise RowsRefused(temperatures=problems)
    return fresh, seen


def _time_problem(
    inspection: Inspection, taken_at: dt.datetime, local_day: dt.date
) -> dict[str, str]:
    if taken_at > timezone.now() + CLOCK_TOLERANCE:
        return {"taken_at": f"{taken_at:%Y-%m-%d %H:%M} lies in the future. Check the clock."}
    if abs((local_day - inspection.date).days) > DAYS_AROUND_VISIT:
        return {
            "taken_at": f"{local_day} is more than {DAYS_AROUND_VISIT} days from the inspection of"
            f" {inspection.date}. Check the date, or use another inspection."
        }
    return {}


def _installed_on(rows: list[Installation], day: dt.date) -> Installation | None:
    return next(
        (
            row
            for row in rows
            if row.installed_on <= day and (row.removed_on is None or day < row.removed_on)
        ),
        None,
    )


def _field_problems(row: Reading | TemperatureReading) -> dict[str, str]:
    """Return the first message of each field that the model's own validators refuse."""
    wrong: dict[str, str] = {}
    for check in (row.clean_fields, row.clean):
        try:
            check()
        except ValidationError as error:
            for name, messages in error.message_dict.items():
                wrong.setdefault(name, messages[0])
    return wrong
