"""The order of a day's bridges."""

import random
from itertools import pairwise, permutations

import pytest

from inspections import routing
from inspections.routing import EARTH_RADIUS_KM, great_circle_km, least_way


def length(places, order, start=None) -> float:
    way = [start] if start else []
    way += [places[each] for each in order]
    return sum(great_circle_km(one, other) for one, other in pairwise(way))


def scattered(count: int, seed: int) -> list[tuple[float, float]]:
    dice = random.Random(seed)
    return [(dice.uniform(46, 48), dice.uniform(6, 10)) for _ in range(count)]


@pytest.mark.parametrize(
    ("one", "other", "radius_km", "expected_km"),
    [
        # Rosetta Code, task «Haversine formula», commentary: two airports, for two radii.
        ((36.12, -86.67), (33.94, -118.40), 6371.0, 2886.444442837983),
        ((36.12, -86.67), (33.94, -118.40), 6372.8, 2887.259950607110),
        # A quarter and half of the circumference, 2 pi R.
        ((0.0, 0.0), (90.0, 45.0), 6371.0, 10007.543398010286),
        ((0.0, 20.0), (0.0, -160.0), 6371.0, 20015.086796020572),
    ],
)
def test_great_circle_distances_are_the_known_ones(one, other, radius_km, expected_km):
    found = great_circle_km(one, other) * radius_km / EARTH_RADIUS_KM
    assert found == pytest.approx(expected_km, rel=1e-9)


def test_a_distance_across_the_date_line_is_short():
    # One degree of a great circle is 60.04 nautical miles of 1.852 km on this sphere.
    assert great_circle_km((0.0, 179.5), (0.0, -179.5)) == pytest.approx(111.195, abs=1e-3)


@pytest.mark.parametrize("with_start", [True, False])
@pytest.mark.parametrize("seed", range(6))
def test_few_stops_come_in_the_shortest_order_that_there_is(seed, with_start):
    places = scattered(6, seed)
    start = (47.0, 8.0) if with_start else None
    route = least_way(places, start)
    shortest = min(length(places, order, start) for order in permutations(range(6)))
    assert route.exact
    assert route.total_km == pytest.approx(shortest)
    assert length(places, route.order, start) == pytest.approx(route.total_km)


def test_the_step_by_step_way_is_near_the_shortest(monkeypatch):
    excess = []
    for seed in range(12):
        places, start = scattered(7, seed), (47.0, 8.0)
        shortest = least_way(places, start).total_km
        with monkeypatch.context() as patch:
            patch.setattr(routing, "EXACT_STOPS", 0)
            route = least_way(places, start)
        assert not route.exact
        assert sorted(route.order) == list(range(7))
        excess.append(route.total_km / shortest - 1)
    # Never shorter than the shortest; the bound is what turning and moving should reach.
    assert min(excess) >= -1e-9
    assert max(excess) < 0.05


def test_many_stops_on_a_line_come_in_their_order():
    places = [(0.0, lon / 10) for lon in (7, 3, 14, 1, 9, 12, 2, 11, 5, 8, 4, 13)]
    route = least_way(places, (0.0, 0.0))
    assert [places[each][1] for each in route.order] == sorted(lon for _, lon in places)
    assert route.total_km == pytest.approx(great_circle_km((0, 0), (0, 1.4)))
    assert route.back_km == pytest.approx(route.total_km)


def test_no_stop_and_one_stop_are_routes_too():
    assert least_way([]).order == ()
    assert least_way([]).total_km == 0
    assert least_way([(1.0, 1.0)], (1.0, 2.0)).order == (0,)
