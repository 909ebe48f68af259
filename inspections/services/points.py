"""What was read at one point: the mean of its repeats, and which readings belong together."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from django.db.models import QuerySet

from inspections.form_spec import FIELDS
from inspections.models import AgencySettings, Inspection, Reading
from inspections.models.choices import InspectionState
from inspections.services.device_figures import ChannelKey

DAY_S = 86_400.0


class PointKey(NamedTuple):
    """One point in one visit at one time; repeats of it are averaged."""

    channel: ChannelKey
    inspection_id: int
    taken_at: dt.datetime


class Point(NamedTuple):
    """Mean of the repeats of one point."""

    key: PointKey
    reading_id: int
    element_id: int
    state: str
    visited_on: dt.date
    values: list[float]
    accuracy: float

    @property
    def accepted(self) -> bool:
        """True where its visit was accepted."""
        return self.state == InspectionState.ACCEPTED

    @property
    def handed_in(self) -> bool:
        """True unless its visit is still open."""
        return self.state != InspectionState.OPEN

    @property
    def day(self) -> float:
        """When it was read, in days since 1970 UTC."""
        return self.key.taken_at.timestamp() / DAY_S


def points_of(bridge_id: int, agency: AgencySettings) -> list[Point]:
    """Return the points of a bridge, oldest first, leaving out what a later row corrects."""
    return points_of_each([bridge_id], agency)[bridge_id]


def points_of_each(bridge_ids: Sequence[int], agency: AgencySettings) -> dict[int, list[Point]]:
    """Return the points of some bridges by bridge, oldest first."""
    columns = ("pk", "bridge_id", "state", "date")
    bridge_of, visits = {}, {}
    here = Inspection.objects.filter(bridge__in=bridge_ids).order_by()
    for pk, bridge_id, *about in here.values_list(*columns):
        bridge_of[pk], visits[pk] = bridge_id, tuple(about)
    found: dict[int, list[Point]] = {bridge_id: [] for bridge_id in bridge_ids}
    readings = Reading.objects.filter(inspection__bridge__in=bridge_ids)
    for point in points_in(readings, visits, agency):
        found[bridge_of[point.key.inspection_id]].append(point)
    return found


def points_in(
    readings: QuerySet[Reading],
    visits: Mapping[int, tuple[str, dt.date]],
    agency: AgencySettings,
) -> list[Point]:
    """Return the points of some readings, oldest first.

    ``visits``: state and day of each of their visits.
    """
    grouped: dict[PointKey, Point] = {}
    accuracies = {name: agency.accuracy_of(field.dimension) for name, field in FIELDS.items()}
    rows = (
        readings.filter(corrected_by__isnull=True, set_aside__isnull=True)
        .order_by("taken_at", "repeat", "pk")
        .values_list(
            "installation_id", "quantity", "point", "axis", "inspection_id", "taken_at", "pk",
            "element_id", "value", "accuracy", "instrument__accuracy",
        )
    )  # fmt: skip
    for installation_id, quantity, point, axis, inspection_id, taken_at, *rest in rows:
        pk, element_id, value, accuracy, of_instrument = rest
        key = PointKey(ChannelKey(installation_id, quantity, point, axis), inspection_id, taken_at)
        stated = next(
            (each for each in (accuracy, of_instrument) if each is not None),
            accuracies[quantity],
        )
        if key not in grouped:
            grouped[key] = Point(key, pk, element_id, *visits[inspection_id], [], stated)
        grouped[key].values.append(value)
    return list(grouped.values())


def moments_of(points: Sequence[Point], day: np.ndarray, window_h: float) -> np.ndarray:
    """Return the number of the moment that each point belongs to, (n,).

    Readings of one visit within the window of a temperature share its error, so they count
    as one moment; those of a long visit hours later are another one.  ``day`` (n,) is when each
    was read.  Numbers rise in the order of the points.
    """
    visit = np.array([point.key.inspection_id for point in points], dtype=np.int64)
    _, visit = np.unique(visit, return_inverse=True)
    first = np.full(visit.max(initial=-1) + 1, np.inf)
    np.minimum.at(first, visit, day)
    part = ((day - first[visit]) / (window_h / 24.0) + 1e-9).astype(np.int64)
    numbers: dict[tuple[int, int], int] = {}
    return np.array(
        [
            numbers.setdefault(each, len(numbers))
            for each in zip(visit.tolist(), part.tolist(), strict=True)
        ],
        dtype=np.int64,
    )
