"""What was read at one point: the mean of its repeats, and which readings belong together."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from inspections.form_spec import FIELDS
from inspections.models import AgencySettings, Reading
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
    grouped: dict[PointKey, Point] = {}
    rows = (
        Reading.objects.filter(
            inspection__bridge_id=bridge_id, corrected_by__isnull=True, set_aside__isnull=True
        )
        .order_by("taken_at", "repeat", "pk")
        .values_list(
            "installation_id", "quantity", "point", "axis", "inspection_id", "taken_at", "pk",
            "element_id", "inspection__state", "inspection__date", "value", "accuracy",
            "instrument__accuracy",
        )
    )  # fmt: skip
    for installation_id, quantity, point, axis, inspection_id, taken_at, *rest in rows:
        pk, element_id, state, visited_on, value, accuracy, of_instrument = rest
        key = PointKey(ChannelKey(installation_id, quantity, point, axis), inspection_id, taken_at)
        stated = next(
            (each for each in (accuracy, of_instrument) if each is not None),
            agency.accuracy_of(FIELDS[quantity].dimension),
        )
        if key not in grouped:
            grouped[key] = Point(key, pk, element_id, state, visited_on, [], stated)
        grouped[key].values.append(value)
    return list(grouped.values())


def moments_of(points: Sequence[Point], window_h: float) -> np.ndarray:
    """Return the number of the moment that each point belongs to, (n,).

    Readings of one visit within the window of a temperature share its error, so they count
    as one moment; those of a long visit hours later are another one.
    """
    first: dict[int, float] = {}
    for point in points:
        visit = point.key.inspection_id
        first[visit] = min(first.get(visit, point.day), point.day)
    numbers: dict[tuple[int, int], int] = {}
    window = window_h / 24.0
    return np.array(
        [
            numbers.setdefault(
                (
                    point.key.inspection_id,
                    int((point.day - first[point.key.inspection_id]) / window + 1e-9),
                ),
                len(numbers),
            )
            for point in points
        ],
        dtype=np.int64,
    )
