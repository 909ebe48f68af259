"""What records of one inspection name, and what their rows join, each looked up once."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Sequence
from functools import cached_property

from django.utils.translation import gettext as _

from inspections.models import Inspection, Instrument, Reading
from inspections.services.new_rows import NewReading, NewTemperature
from inspections.services.on_record import OnRecord
from inspections.services.standing_register import StandingRegister
from inventory.keys import may_be_key
from inventory.models import Bridge, Element, Unit
from movement.errors import InputError

Point = tuple[int, str, str, str]
"""Element, quantity, point and axis."""


class Named:
    """Rows that payloads name; those of the bridge are taken from its register where it is read."""

    def __init__(
        self,
        bridge: Bridge,
        payloads: Iterable[dict],
        register: StandingRegister | None = None,
    ) -> None:
        self.bridge = bridge
        self._payloads = payloads
        self._register = register
        self._instruments: dict[int, Instrument | None] = {}

    @cached_property
    def elements(self) -> dict[int, Element]:
        """Elements of the bridge by key, those that are named at least."""
        if self._register is not None:
            return {each.pk: each for each in self._register.elements}
        told = (payload.get("element") for payload in self._payloads)
        named = {pk for pk in told if isinstance(pk, int)}
        of_bridge = Element.objects.filter(bridge_id=self.bridge.pk).order_by()
        return of_bridge.in_bulk([pk for pk in named if may_be_key(Element, pk)])

    @cached_property
    def units(self) -> dict[int, Unit]:
        """The units of the bridge by key."""
        if self._register is not None:
            return {each.pk: each for each in self._register.units}
        return Unit.objects.filter(bridge_id=self.bridge.pk).order_by().in_bulk()

    def instrument(self, pk: int) -> Instrument | None:
        """Return an instrument; None where it is not known."""
        if pk not in self._instruments:
            self._instruments[pk] = Instrument.objects.filter(pk=pk).first()
        return self._instruments[pk]


class Joining:
    """Gives new rows of an inspection their number or second beside what is on record.

    The inspection is to be held, so that nobody else adds to it.
    """

    def __init__(
        self, inspection: Inspection, on_record: OnRecord, first_uids: Sequence[str | None]
    ) -> None:
        self._inspection = inspection
        self._firsts = {_as_uid(each) for each in first_uids if each is not None}
        self._highest: dict[tuple[Point, dt.datetime], int] = {}
        for *point, repeat, taken_at in on_record.readings[inspection.pk]:
            at = (tuple(point), taken_at)
            self._highest[at] = max(repeat, self._highest.get(at, 0))
        self._taken = set(on_record.temperatures[inspection.pk])
        self._new: dict[uuid.UUID, tuple[Point, dt.datetime]] = {}

    @cached_property
    def _stored(self) -> dict[uuid.UUID, tuple[Point, dt.datetime]]:
        """Point and time of those first measurements that came before."""
        rows = Reading.objects.filter(
            inspection=self._inspection, record__in=self._firsts - {None}
        ).order_by()
        columns = ("record_id", "element_id", "quantity", "point", "axis", "taken_at")
        return {
            uid: (tuple(point), taken_at) for uid, *point, taken_at in rows.values_list(*columns)
        }

    def numbered(self, new: NewReading, first_uid: str | None) -> NewReading:
        """Give a reading the next free number at its point and time.

        A second measurement joins the time of the first one, whose record is ``first_uid``.
        """
        point = (new.element.pk, new.quantity, new.point, new.axis)
        taken_at = new.taken_at
        if first_uid is not None:
            first = _as_uid(first_uid)
            of_first, taken_at = self._new.get(first) or self._stored.get(first) or (None, taken_at)
            if of_first != point:
                raise InputError(
                    "is_repeat_of",
                    _("has not arrived yet"),
                    _("Send again when the first one has gone"),
                )
        at = (point, taken_at)
        self._highest[at] = self._highest.get(at, 0) + 1
        if new.record is not None:
            self._new[new.record.uid] = at
        return new._replace(taken_at=taken_at, repeat=self._highest[at])

    def at_free_second(self, new: NewTemperature) -> NewTemperature:
        """Put a temperature at a time at which none of its place is recorded.

        Two tablets may read one place in one minute: the later is put a second on.
        """
        unit_id = None if new.unit is None else new.unit.pk
        taken_at = new.taken_at
        while (unit_id, new.place, taken_at) in self._taken:
            taken_at += dt.timedelta(seconds=1)
        self._taken.add((unit_id, new.place, taken_at))
        return new._replace(taken_at=taken_at)


def _as_uid(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None
