"""Sizes of a section: what they change, what they cannot be, and how far back they reach."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.heat_balance.effective import effective_temperature, longest_warm_up_h
from movement.heat_balance.sections import (
    composite_girders,
    concrete_box,
    concrete_girders,
    concrete_slab,
    cut,
    steel_box,
)
from tests.weather import year_2017

DECKS = [
    steel_box(),
    composite_girders(),
    concrete_slab(0.6),
    concrete_girders(1.2),
    concrete_box(2.0),
]


def test_no_weather_of_a_year_makes_a_section_remember_longer_than_is_looked_back():
    air, sun, wind = (each.reshape(12, -1) for each in year_2017())  # twelve pieces of a year
    for deck in DECKS:
        cells = cut([deck])
        found = effective_temperature(cells, air, sun, wind)
        assert (found.warm_up_h <= longest_warm_up_h(cells)[0]).all()
        # and not without end: a record is sought for it
        assert longest_warm_up_h(cells)[0] < 3.0 * found.warm_up_h.min()


@pytest.mark.parametrize(
    ("thin", "thick"),
    [
        (concrete_girders(1.5, slab_m=0.18), concrete_girders(1.5, slab_m=0.30)),
        (concrete_box(2.0, slab_m=0.20), concrete_box(2.0, slab_m=0.40)),
        (composite_girders(1.5, slab_m=0.18), composite_girders(1.5, slab_m=0.30)),
    ],
)
def test_a_thicker_slab_stores_more_and_swings_less(thin, thick):
    air, sun, _ = year_2017()
    july = slice(24 * 190, 24 * 204)
    found = effective_temperature(cut([thin, thick]), air[july], sun[july]).temperature_c[:, -72:]
    assert np.ptp(found[0]) > np.ptp(found[1])
    stored = cut([thin, thick]).capacity.sum(axis=0)
    assert stored[0] < stored[1]


def test_a_deeper_steel_box_shows_more_of_itself_to_the_air():
    shallow, deep = (cut([steel_box(depth_m=depth)]).sides.sum() for depth in (1.0, 3.0))
    assert deep == pytest.approx(3.0 * shallow)


@pytest.mark.parametrize(
    "make",
    [
        lambda: concrete_girders(0.22),
        lambda: concrete_box(0.4),
        lambda: concrete_box(2.0, 0.1, 1.9),
    ],
)
def test_a_slab_that_leaves_nothing_below_it_is_refused(make):
    with pytest.raises(InputError, match="leave nothing") as refused:
        make()
    assert refused.value.field == "slab_m"
