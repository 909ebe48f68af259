"""The order of a day's bridges that asks for the least way, along straight lines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

EARTH_RADIUS_KM = 6371.0088
"""Mean radius of the Earth: R1 of the IUGG, (2a + b)/3 of GRS 80."""
EXACT_STOPS = 9
"""So many stops are tried in every order that can be the least; more are improved step by step."""
BEGINNINGS = 4
_NOTHING = 1e-9

Place = tuple[float, float]
"""Latitude north and longitude east [deg]."""


@dataclass(frozen=True, slots=True)
class Route:
    """Stops in the order to visit them, and the way between them along straight lines.

    Attributes
    ----------
    order : tuple of int
        Rows of the stops given.
    legs_km : tuple of float
        Way to each stop from the one before it; the first from the start, 0 where none is given.
    back_km : float
        Way from the last stop to the start; 0 where none is given.
    exact : bool
        No order is shorter; else a shorter one may exist.
    """

    order: tuple[int, ...]
    legs_km: tuple[float, ...]
    back_km: float
    exact: bool

    @property
    def total_km(self) -> float:
        """The way to the last stop."""
        return sum(self.legs_km)


def great_circle_km(one: Place, other: Place) -> float:
    """Return the shortest way between two places on a sphere, by the haversine formula."""
    lat, lon, to_lat, to_lon = map(math.radians, (*one, *other))
    half = (
        math.sin((to_lat - lat) / 2) ** 2
        + math.cos(lat) * math.cos(to_lat) * math.sin((to_lon - lon) / 2) ** 2
    )
    return 2 * EARTH_RADIUS_KM * math.asin(math.sqrt(min(1.0, half)))


def least_way(stops: Sequence[Place], start: Place | None = None) -> Route:
    """Return the order of stops with the least way from a start to the last of them.

    Without a start the day may begin at any stop.  Up to ``EXACT_STOPS`` the order is the
    least there is; beyond, the nearest next stop is taken each time and the way is then
    improved by turning stretches round and moving single stops, until neither shortens it;
    from the ``BEGINNINGS`` first stops that lie nearest, the least way of all is kept.
    """
    places = list(stops)
    way = [[great_circle_km(one, other) for other in places] for one in places]
    first = [0.0 if start is None else great_circle_km(start, place) for place in places]
    exact = len(places) <= EXACT_STOPS
    order = _least(way, first) if exact else _improved(way, first)
    legs = [first[order[0]], *(way[one][other] for one, other in pairwise(order))] if order else []
    back = great_circle_km(places[order[-1]], start) if order and start is not None else 0.0
    return Route(tuple(order), tuple(legs), back, exact)


def _least(way: list[list[float]], first: list[float]) -> list[int]:
    """Return the shortest order, by dynamic programming over sets of stops (Held, Karp 1962)."""
    count = len(first)
    if not count:
        return []
    # The least way through a set of stops to its last one, and the order.
    best = {(frozenset((stop,)), stop): (first[stop], [stop]) for stop in range(count)}
    for size in range(2, count + 1):
        for chosen in combinations(range(count), size):
            whole = frozenset(chosen)
            for last in chosen:
                rest = whole - {last}
                length, before = min((best[rest, stop][0] + way[stop][last], stop) for stop in rest)
                best[whole, last] = (length, [*best[rest, before][1], last])
    everything = frozenset(range(count))
    return min(best[everything, last] for last in range(count))[1]


def _improved(way: list[list[float]], first: list[float]) -> list[int]:
    nearest = sorted(range(len(first)), key=lambda stop: (first[stop], stop))
    found = []
    for beginning in nearest[:BEGINNINGS]:
        order = _nearest_next(way, beginning)
        while better := _shorter(order, way, first):
            order = better
        found.append(order)
    return min(found, key=lambda each: _length(each, way, first))


def _nearest_next(way: list[list[float]], beginning: int) -> list[int]:
    order, left = [beginning], set(range(len(way))) - {beginning}
    while left:
        nearest = min(left, key=lambda stop: (way[order[-1]][stop], stop))
        order.append(nearest)
        left.discard(nearest)
    return order


def _shorter(order: list[int], way: list[list[float]], first: list[float]) -> list[int] | None:
    """Return the best order that one turned stretch or one moved stop gives, if it is shorter."""
    found = min(_neighbours(order), key=lambda each: _length(each, way, first), default=order)
    if _length(found, way, first) < _length(order, way, first) - _NOTHING:
        return found
    return None


def _neighbours(order: list[int]) -> list[list[int]]:
    count = len(order)
    turned = [
        order[:begin] + order[begin : end + 1][::-1] + order[end + 1 :]
        for begin, end in combinations(range(count), 2)
    ]
    moved = []
    for place, stop in enumerate(order):
        rest = order[:place] + order[place + 1 :]
        moved += [[*rest[:to], stop, *rest[to:]] for to in range(count) if to != place]
    return turned + moved


def _length(order: list[int], way: list[list[float]], first: list[float]) -> float:
    return first[order[0]] + sum(way[one][other] for one, other in pairwise(order))
