"""What must hold of the checks of every air record."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from movement.record_checks import Suspect, suspects
from tests.properties.strategies import between, steady

records = st.lists(between(-40.0, 45.0), min_size=2, max_size=120).map(np.array)
NOT_STUCK = 0xFF ^ Suspect.STUCK
gentle = st.lists(between(-1.5, 1.5), min_size=60, max_size=120).map(
    lambda steps: np.clip(np.cumsum(steps), -12.0, 12.0)
)


@steady
@given(records, between(-1e5, 5e5))
def test_the_epoch_does_not_matter(air, epoch_h):
    at = np.arange(float(air.size))
    assert (suspects(at, air) == suspects(at + np.floor(epoch_h), air)).all()


@steady
@given(records)
def test_a_record_with_every_sign_turned_has_the_same_signs_in_doubt(air):
    at = np.arange(float(air.size))
    here, there = suspects(at, air), suspects(at, -air)
    only = [Suspect.SIGN | Suspect.STUCK, Suspect.SIGN, Suspect.STUCK, 0]
    if np.isin(here, only).all() and np.isin(there, only).all():
        assert (here == there).all()


@steady
@given(gentle, st.integers(8, 40), st.integers(1, 12), between(14.0, 25.0))
def test_a_lost_sign_in_gentle_weather_is_found_whole_and_alone(air, start, length, level_c):
    wrong = air + level_c
    run = slice(start, start + length)
    wrong[run] = -wrong[run]
    small = np.abs(wrong[[start, start + length - 1]]).min() < 7.0
    flags = suspects(np.arange(float(air.size)), wrong)
    if not small:
        assert (flags[run] & (Suspect.SIGN | Suspect.CELSIUS | Suspect.SPIKE) > 0).all()
        assert not (np.delete(flags, np.arange(run.start, run.stop)) & NOT_STUCK).any()


@steady
@given(gentle)
def test_gentle_weather_is_never_in_doubt_but_for_a_stuck_value(air):
    flags = suspects(np.arange(float(air.size)), air)
    assert not (flags & NOT_STUCK).any()
