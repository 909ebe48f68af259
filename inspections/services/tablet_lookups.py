"""What records of one inspection name, each looked up once."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from functools import cached_property

from django.utils.translation import gettext as _

from inspections.models import Inspection, Instrument, Reading, TabletRecord, TemperatureReading
from inspections.services.new_rows import NewReading
from inventory.keys import may_be_key
from inventory.models import Element, Unit
from movement.errors import InputError

Point = tuple[int, str, str, str]
"""Element, quantity, point and axis."""


class Lookups:
    """Rows that belong to an inspection; what is taken meanwhile is told to it.

    The inspection is to be held, so that nobody else adds to it.
    """

    def __init__(self, records: Sequence[TabletRecord]) -> None:
        self.inspection: Inspection = records[0].inspection
        self._payloads = [each.payload for each in records]
        self._instruments: dict[int, Instrument | None] = {}

    @cached_property
    def elements(self) -> dict[int, Element]:
        """Those elements of its bridge that are named, by key."""
        told = (payload.get("element") for payload in self._payloads)
        named = {pk for pk in told if isinstance(pk, int)}
        of_bridge = Element.objects.filter(bridge_id=self.inspection.bridge_id).order_by()
        return of_bridge.in_bulk([pk for pk in named if may_be_key(Element, pk)])

    @cached_property
    def units(self) -> dict[int, Unit]:
        """The units of its bridge by key."""
        return Unit.objects.filter(bridge_id=self.inspection.bridge_id).order_by().in_bulk()

    def instrument(self, pk: int) -> Instrument | None:
        """Return an instrument; None where it is not known."""
        if pk not in self._instruments:
            self._instruments[pk] = Instrument.objects.filter(pk=pk).first()
        return self._instruments[pk]

    @cached_property
    def _readings(self) -> tuple[dict[tuple[Point, dt.datetime], int], dict[uuid.UUID, tuple]]:
        """The highest number at each point and time, and point and time of each record."""
        highest: dict[tuple[Point, dt.datetime], int] = {}
        of_record: dict[uuid.UUID, tuple] = {}
        rows = Reading.objects.filter(inspection=self.inspection).order_by()
        columns = ("element_id", "quantity", "point", "axis", "taken_at", "repeat", "record_id")
        for *point, taken_at, repeat, record_id in rows.values_list(*columns):
            at = (tuple(point), taken_at)
            highest[at] = max(repeat, highest.get(at, 0))
            if record_id is not None:
                of_record[record_id] = at
        return highest, of_record

    def numbered(self, new: NewReading, first_uid: str | None) -> NewReading:
        """Give a reading the next free number at its point and time.

        A second measurement joins the time of the first one, whose record is ``first_uid``.
        """
        highest, of_record = self._readings
        point = (new.element.pk, new.quantity, new.point, new.axis)
        taken_at = new.taken_at
        if first_uid is not None:
            of_first, taken_at = of_record.get(_as_uid(first_uid), (None, taken_at))
            if of_first != point:
                raise InputError(
                    "is_repeat_of",
                    _("has not arrived yet"),
                    _("Send again when the first one has gone"),
                )
        at = (point, taken_at)
        highest[at] = highest.get(at, 0) + 1
        if new.record is not None:
            of_record[new.record.uid] = at
        return new._replace(taken_at=taken_at, repeat=highest[at])

    @cached_property
    def _temperatures(self) -> set[tuple[int | None, str, dt.datetime]]:
        rows = TemperatureReading.objects.filter(inspection=self.inspection).order_by()
        return set(rows.values_list("unit_id", "place", "taken_at"))

    def free_second(self, unit: Unit | None, place: str, taken_at: dt.datetime) -> dt.datetime:
        """Return a time at which no temperature of a place is recorded, and keep it.

        Two tablets may read one place in one minute: the later is put a second on.
        """
        unit_id = None if unit is None else unit.pk
        while (unit_id, place, taken_at) in self._temperatures:
            taken_at += dt.timedelta(seconds=1)
        self._temperatures.add((unit_id, place, taken_at))
        return taken_at


def _as_uid(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None
