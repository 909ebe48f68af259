"""What must hold of every history."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.movement.invented_histories import SLOPE, histories, read
from tests.properties.strategies import between

SERIES = 12

steady = settings(derandomize=True, deadline=None, max_examples=30)
"""A dozen histories an example, the same ones each time."""


@st.composite
def planted(draw):
    """Draw histories with one cause or none."""
    visits, seed = draw(st.integers(1, 14)), draw(st.integers(0, 10_000))
    cause = draw(
        st.sampled_from([{}, {"ratio": 0.0}, {"drift": 5.0}, {"step": 30.0}, {"blunder": -50.0}])
    )
    return histories(SERIES, visits, seed, **cause)[0]


def same_words(found, wanted):
    assert found.response.tolist() == wanted.response.tolist()
    assert found.findings.tolist() == wanted.findings.tolist()
    assert found.alternatives.tolist() == wanted.alternatives.tolist()
    assert found.missing.tolist() == wanted.missing.tolist()
    for name in ("value", "lower", "upper"):
        np.testing.assert_allclose(
            getattr(found.ratio, name), getattr(wanted.ratio, name), rtol=1e-5, atol=1e-6
        )


@steady
@given(planted(), between(-50.0, 50.0), between(-2000.0, 2000.0), between(-100.0, 100.0))
def test_where_value_and_time_are_counted_from_does_not_matter(columns, value, years, degrees):
    moved = columns | {
        "value": columns["value"] + value,
        "time_years": columns["time_years"] + years,
    }
    limits = (0.0 + value, 120.0 + value)
    found = read(moved, SERIES, now=10.0 + years, limits=limits)
    wanted = read(columns, SERIES)
    same_words(found, wanted)
    np.testing.assert_allclose(
        found.limit_in_years.value, wanted.limit_in_years.value, rtol=1e-4, atol=1e-4
    )
    hotter = read(columns | {"temperature_c": columns["temperature_c"] + degrees}, SERIES)
    assert hotter.response.tolist() == wanted.response.tolist()


@steady
@given(planted(), st.sampled_from([1 / 25.4, 0.001, 10.0]))
def test_the_unit_of_the_quantity_does_not_matter(columns, unit):
    other = columns | {name: columns[name] * unit for name in ("value", "u_value")}
    found = read(other, SERIES, slope=SLOPE * unit, limits=(0.0, 120.0 * unit))
    same_words(found, read(columns, SERIES))


@steady
@given(planted())
def test_the_mirrored_element_shows_the_same(columns):
    mirrored = columns | {"value": -columns["value"]}
    found, wanted = read(mirrored, SERIES, -SLOPE, limits=(-120.0, 0.0)), read(columns, SERIES)
    same_words(found, wanted)
    np.testing.assert_allclose(
        found.drift_per_year.value, -wanted.drift_per_year.value, rtol=1e-5, atol=1e-6
    )


@steady
@given(planted(), st.integers(0, 1000))
def test_the_order_of_rows_does_not_matter(columns, seed):
    order = np.random.default_rng(seed).permutation(columns["value"].size)
    shuffled = {name: values[order] for name, values in columns.items()}
    same_words(read(shuffled, SERIES), read(columns, SERIES))


@steady
@given(planted())
def test_a_history_alone_is_read_as_among_others(columns):
    together = read(columns, SERIES)
    for series in (0, SERIES - 1):
        here = columns["series"] == series
        alone = {name: values[here] for name, values in columns.items()} | {
            "series": np.zeros(here.sum(), dtype=int)
        }
        one = read(alone, 1)
        assert one.response[0] == together.response[series]
        assert one.ratio.value[0] == pytest.approx(
            together.ratio.value[series], rel=1e-6, nan_ok=True
        )
