"""What must hold of every effective temperature."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from movement.temperature import Way, WayUncertainty, best_of, from_surfaces, mean_of_preceding
from tests.properties.strategies import between, steady, temperatures_c

or_blank = st.one_of(st.just(np.nan), temperatures_c)
records = st.lists(or_blank, min_size=1, max_size=120)


@steady
@given(records, st.randoms(use_true_random=False), st.sampled_from([24.0, 48.0]))
def test_the_order_of_the_air_record_does_not_matter(air, random, span_h):
    rows = list(enumerate(air))
    at = [len(air) - 1.0, len(air) / 2.0]
    in_order = mean_of_preceding(*np.array(rows, dtype=float).T, at, span_h)
    random.shuffle(rows)
    shuffled = mean_of_preceding(*np.array(rows, dtype=float).T, at, span_h)
    assert shuffled == pytest.approx(in_order, nan_ok=True)


@steady
@given(records, between(-5.0, 125.0))
def test_a_mean_lies_within_its_record(air, at_h):
    found = float(mean_of_preceding(np.arange(float(len(air))), air, at_h, 24.0))
    if not np.isnan(found):
        assert np.nanmin(air) - 1e-9 <= found <= np.nanmax(air) + 1e-9


@steady
@given(records, between(-1000.0, 500_000.0))
def test_the_epoch_of_the_hours_does_not_matter(air, epoch_h):
    hours, at = np.arange(float(len(air))), len(air) - 0.5
    here = mean_of_preceding(hours, air, at, 24.0)
    whole = np.floor(epoch_h)
    assert mean_of_preceding(hours + whole, air, at + whole, 24.0) == pytest.approx(
        here, nan_ok=True
    )


@steady
@given(
    st.lists(or_blank, min_size=2, max_size=2),
    st.lists(or_blank, min_size=3, max_size=3),
    between(0.0, 1.0),
)
def test_the_mean_of_surfaces_lies_between_the_coldest_and_the_warmest(deck, girder, share):
    found = float(from_surfaces(deck, girder, share))
    known = np.array([*deck, *girder])
    if np.isnan(deck).all() or np.isnan(girder).all():
        assert np.isnan(found)
    else:
        assert np.nanmin(known) - 1e-9 <= found <= np.nanmax(known) + 1e-9


@steady
@given(st.dictionaries(st.sampled_from(list(Way)), st.tuples(or_blank, or_blank), min_size=1))
def test_the_best_of_many_readings_is_the_best_of_each(candidates):
    together = best_of(candidates, WayUncertainty())
    for row in range(2):
        known = [way for way in Way if not np.isnan(candidates.get(way, (np.nan,) * 2)[row])]
        assert together.way[row] == (known[0] if known else 0)
        wanted = candidates[known[0]][row] if known else np.nan
        assert together.temperature_c[row] == pytest.approx(wanted, nan_ok=True)
