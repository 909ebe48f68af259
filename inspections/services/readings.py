"""Every write of readings and temperatures: form, file and command reach this one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.models import Inspection, Reading, TemperatureReading
from inspections.models.choices import InspectionState
from inspections.services.judge import judge_bridges
from inspections.services.new_rows import (
    FreshReading,
    FreshTemperature,
    NewReading,
    NewTemperature,
    RowProblem,
    RowsRefused,
)
from inspections.services.on_record import Devices, OnRecord
from inspections.services.open_visits import judge_visits
from inspections.services.row_checks import checked_readings, checked_temperatures
from inspections.services.row_columns import write_readings, write_temperatures
from inventory.words import in_sentence

__all__ = [
    "NewReading",
    "NewTemperature",
    "Recorded",
    "RowProblem",
    "RowsRefused",
    "correct_reading",
    "correct_temperature",
    "record",
]


Row = TypeVar("Row", Reading, TemperatureReading)


@dataclass(slots=True)
class Recorded:
    """What was written: rows added, and rows that stood there already, the same."""

    added: int = 0
    already_there: int = 0
    inspections: set[int] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class VisitRows:
    """What is to be recorded in one inspection."""

    inspection: Inspection
    readings: list[NewReading]
    temperatures: list[NewTemperature]


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
    [told] = record_several(visits=[VisitRows(inspection, readings, temperatures)], user=user)
    if not isinstance(told, Recorded):
        raise told
    if judge and told.added:
        judge_visits([inspection])
    return told


@transaction.atomic
def record_several(
    *,
    visits: Sequence[VisitRows],
    user: AbstractBaseUser | None = None,
    devices: Devices | None = None,
) -> list[Recorded | RowsRefused | ValidationError]:
    """Append the rows of several inspections without judging them, as `record` does of one.

    Returns what was written of each, or the refusal that `record` would raise: nothing of that
    one was written then, and it is for the caller to say what becomes of the others.  ``devices``
    are kept by a caller that writes more visits to the same places.
    """
    here = _locked([each.inspection.pk for each in visits])
    on_record = OnRecord.of(
        here.values(),
        {row.element.id for each in visits for row in each.readings},
        Devices() if devices is None else devices,
    )
    told: list[Recorded | RowsRefused | ValidationError] = []
    readings: list[FreshReading] = []
    temperatures: list[FreshTemperature] = []
    for each in visits:
        inspection = here[each.inspection.pk]
        fresh, seen, wrong = checked_readings(inspection, each.readings, on_record)
        fresh_temperatures, seen_temperatures, wrong_temperatures = checked_temperatures(
            inspection, each.temperatures, on_record
        )
        added = len(fresh) + len(fresh_temperatures)
        if wrong or wrong_temperatures:
            told.append(RowsRefused(wrong, wrong_temperatures))
        elif added and inspection.state != InspectionState.OPEN:
            told.append(
                ValidationError(
                    _(
                        "%(inspection)s is %(state)s: nothing can be added. Have it returned, or"
                        " correct single readings."
                    )
                    % {
                        "inspection": inspection,
                        "state": in_sentence(inspection.get_state_display()),
                    }
                )
            )
        else:
            readings += fresh
            temperatures += fresh_temperatures
            told.append(Recorded(added, seen + seen_temperatures, {inspection.pk}))
    now = timezone.now()
    write_readings(readings, user, now)
    write_temperatures(temperatures, user, now)
    return told


@transaction.atomic
def correct_reading(
    *, reading: Reading, value: float, typed: str, reason: str, user: AbstractBaseUser
) -> Reading:
    """Append a correction of a reading; the old row stays and is no longer judged."""
    return _corrected(reading, {"value": value, "typed": typed}, reason, user)


@transaction.atomic
def correct_temperature(
    *,
    temperature: TemperatureReading,
    temperature_c: float,
    sunlit: bool,
    typed: str,
    reason: str,
    user: AbstractBaseUser,
) -> TemperatureReading:
    """Append a correction of a temperature; the old row stays and no longer counts."""
    changed = {"temperature_c": temperature_c, "sunlit": sunlit, "typed": typed}
    return _corrected(temperature, changed, reason, user)


def _corrected(row: Row, changed: dict[str, Any], reason: str, user: AbstractBaseUser) -> Row:
    """Append a copy of a row with what has changed, and judge its bridge again."""
    _locked([row.inspection_id])
    if not reason.strip():
        raise ValidationError({"remark": _("Say why it is corrected.")})
    if type(row).objects.filter(corrects=row).exists():
        raise ValidationError(_("This has been corrected already. Correct the newer one."))
    own = {"id", "created_at", "record", *changed}  # a correction was made at a desk
    copied = {
        field.name: getattr(row, field.name)
        for field in row._meta.concrete_fields
        if field.name not in own
    }
    correction = type(row)(
        **copied | changed | {"remark": reason, "corrects": row, "created_by": user}
    )
    correction.full_clean()
    correction.save(force_insert=True)
    judge_bridges([row.inspection.bridge_id])
    return correction


def _locked(keys: list[int]) -> dict[int, Inspection]:
    """Hold inspections, so that nothing else changes them before this write is through."""
    rows = Inspection.objects.select_related("bridge").select_for_update(of=("self",), no_key=True)
    return {row.pk: row for row in rows.filter(pk__in=keys).order_by("pk")}
