"""Every write of readings and temperatures: form, file and command reach this one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Self, TypeVar

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
    recording = Recording.locking([VisitRows(inspection, readings, temperatures)], Devices())
    [told] = recording.checked()
    if not isinstance(told, Recorded):
        raise told
    recording.write(user)
    if judge and told.added:
        judge_visits([inspection])
    return told


class Recording:
    """Rows of several inspections on their way in, within a transaction of the caller.

    The inspections are locked, and to check their rows asks the database nothing more.
    ``devices`` are kept by a caller that writes more visits to the same places.
    """

    def __init__(self, held: Sequence[VisitRows], on_record: OnRecord) -> None:
        self._visits = held
        self._on_record = on_record
        self._readings: list[FreshReading] = []
        self._temperatures: list[FreshTemperature] = []

    @classmethod
    def locking(cls, visits: Sequence[VisitRows], devices: Devices) -> Self:
        """Lock the inspections and read what their rows are held to."""
        here = _locked([each.inspection.pk for each in visits])
        elements = {row.element.id for each in visits for row in each.readings}
        on_record = OnRecord.of(here.values(), elements, devices)
        return cls(
            [replace(each, inspection=here[each.inspection.pk]) for each in visits], on_record
        )

    def checked(self) -> list[Recorded | RowsRefused | ValidationError]:
        """Return what is to be written of each inspection, or the refusal that `record` raises.

        Nothing of one that is refused will be written, and it is for the caller to say what
        becomes of the others.
        """
        return [self._checked(each) for each in self._visits]

    def write(self, user: AbstractBaseUser | None) -> None:
        """Append the rows that have been checked, without judging them."""
        now = timezone.now()
        write_readings(self._readings, user, now)
        write_temperatures(self._temperatures, user, now)

    def _checked(self, rows: VisitRows) -> Recorded | RowsRefused | ValidationError:
        inspection = rows.inspection
        fresh, seen, wrong = checked_readings(inspection, rows.readings, self._on_record)
        fresh_temperatures, seen_temperatures, wrong_temperatures = checked_temperatures(
            inspection, rows.temperatures, self._on_record
        )
        added = len(fresh) + len(fresh_temperatures)
        if wrong or wrong_temperatures:
            return RowsRefused(wrong, wrong_temperatures)
        if added and inspection.state != InspectionState.OPEN:
            return ValidationError(
                _(
                    "%(inspection)s is %(state)s: nothing can be added. Have it returned, or"
                    " correct single readings."
                )
                % {
                    "inspection": inspection,
                    "state": in_sentence(inspection.get_state_display()),
                }
            )
        self._readings += fresh
        self._temperatures += fresh_temperatures
        return Recorded(added, seen + seen_temperatures, {inspection.pk})


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
