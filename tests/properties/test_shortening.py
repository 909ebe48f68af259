"""What must hold of every shortening, whichever rule gives it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from movement.concrete import Concrete, ShorteningBasis
from movement.shortening import shortening_between
from tests.properties.strategies import between, steady

concretes = st.builds(
    Concrete.of,
    strength_mpa=between(20.0, 85.0),
    humidity_percent=between(40.0, 100.0),
    notional_size_mm=between(100.0, 1200.0),
    curing_end_d=between(0.0, 30.0),
    stress_mpa=between(0.0, 12.0),
    loading_d=between(1.0, 400.0),
    cement=st.sampled_from(["S", "N", "R"]),
)
bases = st.sampled_from(list(ShorteningBasis))
ages = between(0.0, 40_000.0)


def strain(concrete, first, second, basis):
    return float(shortening_between(concrete, "concrete", first, second, basis).strain)


@steady
@given(concretes, ages, ages, ages, bases)
def test_what_comes_in_two_spells_adds_up(concrete, first, second, third, basis):
    whole = strain(concrete, first, third, basis)
    parts = strain(concrete, first, second, basis) + strain(concrete, second, third, basis)
    assert parts == pytest.approx(whole, abs=1e-12)


@steady
@given(concretes, ages, ages, bases)
def test_concrete_never_grows_longer(concrete, first, second, basis):
    early, late = sorted((first, second))
    assert strain(concrete, early, late, basis) >= 0.0


@steady
@given(concretes, bases, between(0.0, 59.0))
def test_moist_air_holds_shortening_back(concrete, basis, drier):
    values = {name: getattr(concrete, name) for name in Concrete.__slots__}
    moist = Concrete.of(**(values | {"humidity_percent": 99.0}))
    dry = Concrete.of(**(values | {"humidity_percent": 99.0 - drier}))
    assert strain(dry, 0.0, 2e4, basis) >= strain(moist, 0.0, 2e4, basis) - 1e-12


@steady
@given(concretes, bases, between(1.0, 2.0))
def test_creep_is_proportional_to_stress(concrete, basis, factor):
    values = {name: getattr(concrete, name) for name in Concrete.__slots__}
    more = Concrete.of(**(values | {"stress_mpa": concrete.stress_mpa * factor}))
    one, two = (
        float(shortening_between(each, "concrete", 500.0, 2e4, basis).creep)
        for each in (concrete, more)
    )
    assert two == pytest.approx(one * factor, abs=1e-15)


@steady
@given(st.lists(st.tuples(concretes, bases, ages), min_size=1, max_size=6))
def test_many_units_together_are_each_alone(rows):
    names = Concrete.__slots__
    together = Concrete.of(
        **{name: np.array([getattr(each, name)[()] for each, _, _ in rows]) for name in names}
    )
    found = shortening_between(
        together, "concrete", 100.0, [age for _, _, age in rows], [str(b) for _, b, _ in rows]
    )
    for row, (concrete, basis, age) in enumerate(rows):
        alone = strain(concrete, 100.0, age, basis)
        assert float(found.strain[row]) == pytest.approx(alone, abs=1e-15)
