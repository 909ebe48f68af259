"""Rounding, catalogue sizes and gaps to set: what a designer and a crew rely on."""

import numpy as np
import pytest

from movement.capacity.preformed_seals import preformed_largest_gap_mm
from movement.errors import InputError
from movement.sizing import (
    gap_to_set_mm,
    rounded_mm,
    rounded_up_mm,
    smallest_size_mm,
    temperature_at_gap_c,
)

MM_PER_IN = 25.4


@pytest.mark.parametrize(
    ("value_mm", "step_mm", "rounded"),
    [
        (41.0, 5.0, 45.0),
        (45.0, 5.0, 45.0),
        (0.0, 5.0, 0.0),
        (0.01, 5.0, 5.0),
        (2.75 * MM_PER_IN, 0.25 * MM_PER_IN, 2.75 * MM_PER_IN),  # its own step, in spite of mm
        (2.76 * MM_PER_IN, 0.25 * MM_PER_IN, 3.00 * MM_PER_IN),
    ],
)
def test_a_rating_is_never_below_the_movement(value_mm, step_mm, rounded):
    assert float(rounded_up_mm(value_mm, step_mm)) == pytest.approx(rounded)


def test_an_accepted_excess_never_makes_a_negative_rating():
    assert rounded_up_mm([0.1, 5.1, np.nan], 5.0, 0.2) == pytest.approx(
        [0.0, 5.0, np.nan], nan_ok=True
    )


@pytest.mark.parametrize(("value", "nearest"), [(2.4, 0.0), (2.5, 5.0), (-2.5, -5.0), (7.4, 5.0)])
def test_halves_are_rounded_away_from_nothing(value, nearest):
    assert float(rounded_mm(value, 5.0)) == nearest


def test_the_smallest_size_that_does_is_taken_whatever_the_order_of_the_catalogue():
    found = smallest_size_mm([10.0, 50.0, 50.1, 0.0, 200.0, np.nan], [100.0, 50.0, 75.0])
    assert found == pytest.approx([50.0, 50.0, 75.0, 50.0, np.nan, np.nan], nan_ok=True)


def test_shortening_still_to_come_is_taken_off_the_gap_that_is_set():
    # final gap 50 mm at 15 degC, 1.2 mm/degC closing as it warms; at 25 degC with 8 mm to come
    assert float(gap_to_set_mm(50.0, 15.0, -1.2, 25.0, 8.0)) == pytest.approx(30.0)
    assert np.isnan(gap_to_set_mm(50.0, np.nan, -1.2, 25.0))


def test_temperature_at_which_a_gland_can_be_put_in():
    # 38 mm are there 5 K below the base where 32 mm stand at 18 degC and it closes 1.2 mm/degC
    found = temperature_at_gap_c(38.0, 32.0, 18.0, [-1.2, 0.0])
    assert found == pytest.approx([13.0, np.nan], nan_ok=True)


def test_a_gap_that_is_not_known_stays_not_known():
    assert np.isnan(preformed_largest_gap_mm(np.nan, 30.0))


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: rounded_up_mm(10.0, 0.0), "step_mm"),
        (lambda: rounded_up_mm(-1.0, 5.0), "value_mm"),
        (lambda: rounded_up_mm(10.0, 5.0, 5.0), "accepted_excess_mm"),
        (lambda: rounded_up_mm(10.0, 5.0, -0.1), "accepted_excess_mm"),
        (lambda: smallest_size_mm(10.0, []), "sizes_mm"),
        (lambda: smallest_size_mm(10.0, [50.0, -1.0]), "sizes_mm"),
        (lambda: gap_to_set_mm(np.inf, 15.0, -1.2, 25.0), "gap_at_base_mm"),
    ],
)
def test_what_makes_no_sense_is_refused_by_name(call, field):
    with pytest.raises(InputError) as refused:
        call()
    assert refused.value.field == field
