"""What must hold of every heat balance, whatever the section and the weather."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from movement.heat_balance.climate import Exchange
from movement.heat_balance.effective import effective_temperature
from movement.heat_balance.sections import (
    composite_girders,
    concrete_box,
    concrete_girders,
    concrete_slab,
    cut,
    steel_box,
)
from tests.properties.strategies import between, steady

surfacings = st.one_of(st.just(0.0), between(0.01, 0.2))
sections = st.one_of(
    st.builds(concrete_slab, between(0.15, 1.5), surfacings),
    st.builds(concrete_girders, between(0.6, 3.0), surfacings),
    st.builds(concrete_box, between(1.2, 6.0), surfacings),
    st.builds(composite_girders, between(0.8, 3.0), between(0.02, 0.15), surfacings),
    st.builds(steel_box, surfacings),
)
HOURS = 40
airs = st.lists(between(-30.0, 40.0), min_size=HOURS, max_size=HOURS).map(np.array)
suns = st.lists(between(0.0, 1000.0), min_size=HOURS, max_size=HOURS).map(np.array)
few = steady.__class__(steady, max_examples=15)


def last(layers, air, sun, exchange=None):
    padded = [np.concatenate([np.full(160, each.mean()), each]) for each in (air, sun)]
    found = effective_temperature(cut([layers]), *padded, exchange=exchange)
    return found.temperature_c[0, -HOURS:]


@few
@given(sections, airs)
def test_without_sun_and_sky_a_deck_stays_between_the_coldest_and_the_warmest_air(layers, air):
    dull = Exchange(clear_share=0.0)
    found = last(layers, air, np.zeros(HOURS), dull)
    # a hair for the second-order steps, which may pass a sharp jump by a little
    assert found.min() >= air.min() - 0.2 * np.ptp(air) - 1e-9
    assert found.max() <= air.max() + 0.2 * np.ptp(air) + 1e-9


@few
@given(sections, airs, suns, between(0.0, 300.0))
def test_more_sun_never_cools(layers, air, sun, more):
    assert (last(layers, air, sun + more) >= last(layers, air, sun) - 1e-9).all()


@few
@given(sections, airs, between(-8.0, 8.0))
def test_a_thermometer_that_reads_high_shifts_the_deck_as_much(layers, air, shift):
    # without long-wave exchange the balance is linear in the air
    plain = Exchange(emissivity=0.0)
    here = last(layers, air, np.zeros(HOURS), plain)
    there = last(layers, air + shift, np.zeros(HOURS), plain)
    assert there == pytest.approx(here + shift, abs=1e-6)


@few
@given(sections, airs, suns)
def test_what_is_not_refused_gets_a_finite_number_and_band(layers, air, sun):
    found = effective_temperature(cut([layers]), np.tile(air, 8), np.tile(sun, 8))
    assert np.isfinite(found.temperature_c[0, -1])
    assert 1.0 < found.u_temperature_k[0, -1] < 15.0
