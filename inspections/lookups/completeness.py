"""What stands between an inspection and its signature."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inspections.lookups.field import inspection_sheet
from inspections.lookups.stops import Stop
from inspections.models import Condition, Inspection, LeftOut, Reading


@dataclass(frozen=True, slots=True)
class Rivals:
    """Readings of one point that two tablets or more made, none of them a repeat."""

    readings: list[Reading]

    @property
    def first(self) -> Reading:
        """The one that came first."""
        return self.readings[0]


def rivals_of(inspection: Inspection) -> list[Rivals]:
    """Return the points that more than one tablet has read, without those set aside."""
    rows = (
        inspection.readings.filter(
            corrects__isnull=True,
            corrected_by__isnull=True,
            set_aside__isnull=True,
            record__isnull=False,
            record__payload__is_repeat_of=None,
        )
        .select_related("element", "record__user")
        .order_by("pk")
    )
    by_point: dict[tuple[int, str, str, str], list[Reading]] = defaultdict(list)
    for row in rows:
        by_point[row.element_id, row.quantity, row.point, row.axis].append(row)
    return [
        Rivals(readings)
        for readings in by_point.values()
        if len({row.record.tablet for row in readings}) > 1
    ]


def unexplained(inspection: Inspection) -> list[Stop]:
    """Return the elements where something was not read and nobody said why."""
    left_out, rated = (
        set(rows.objects.filter(inspection=inspection).values_list("element_id", flat=True))
        for rows in (LeftOut, Condition)
    )
    return without_reason(inspection_sheet(inspection).stops, left_out, rated)


def without_reason(
    stops: Iterable[Stop], left_out: Collection[int], rated: Collection[int]
) -> list[Stop]:
    """Return the same of the stops of a visit, by the elements left out with a reason and rated.

    An element of which nothing was read but condition states were given was seen as a whole:
    they are what the visit has to say of it.
    """
    return [
        stop
        for stop in stops
        if stop.missing
        and stop.element.pk not in left_out
        and (stop.reads or stop.element.pk not in rated)
    ]


def codes_in_short(stops: Iterable[Stop]) -> str:
    """Return the first eight codes, and how many more there are."""
    codes = [stop.element.code for stop in stops]
    named = ", ".join(codes[:8])
    if len(codes) <= 8:
        return named
    return _("%(elements)s and %(count)s more") % {"elements": named, "count": len(codes) - 8}
