"""Readings that nothing foretells are held against their limits alone."""

import numpy as np

from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides, Thresholds
from movement.results import Reason, Verdict
from movement.verdict import judge


def judged(values, watch_use=np.nan, is_compared=False):
    nothing = np.full(len(values), np.nan)
    return judge(
        Sides.of(np.zeros((len(values), 1)), 1e-5),
        Setting.of(nothing, nothing, nothing, nothing),
        Measured.of(values, np.nan, 0.1, np.nan),
        Limits.of(0.2, np.nan, 2.2),
        DesignExtremes.of(np.nan, np.nan),
        Thresholds(),
        is_compared=is_compared,
        watch_use=watch_use,
    )


def test_without_a_setting_or_a_temperature_the_limit_decides():
    found = judged([2.0, 0.3, 0.2])
    assert list(found.verdict) == [Verdict.IN_RANGE, Verdict.WATCH, Verdict.OUT_OF_RANGE]
    assert np.isnan(found.residual).all()
    assert not (found.reasons & Reason.NO_SETTING).any()


def test_what_is_to_be_compared_still_asks_for_its_setting():
    found = judged([2.0], is_compared=True)
    assert list(found.verdict) == [Verdict.CANNOT_JUDGE]
    assert found.reasons[0] & Reason.NO_SETTING


def test_a_share_of_its_own_from_which_to_watch():
    # 1.0 of 2.2 down to 0.2 mm: 0.6 of the way
    found = judged([1.01, 0.99, 0.99], watch_use=[0.6, 0.6, np.nan])
    assert list(found.verdict) == [Verdict.IN_RANGE, Verdict.WATCH, Verdict.IN_RANGE]


def test_a_gap_above_that_of_a_new_sheet_uses_nothing_up():
    assert judged([2.6]).verdict[0] == Verdict.IN_RANGE
    assert judged([2.6]).use_now[0] < 0


def still(value):
    """Return what is said of a fixed bearing, u = 1 mm, at the fixed point of its unit."""
    return judge(
        Sides.of([[0.0]], 1e-5),
        Setting.of(0.0, 10.0, 0.8, 1.0),
        Measured.of([value], 25.0, 0.6, 1.0),
        Limits.of(np.nan, np.nan, 0.0),
        DesignExtremes.of(-20.0, 40.0),
        Thresholds(),
        needs_limit=False,
    )


def test_a_device_that_is_to_stand_still_is_judged_by_its_place_alone():
    assert [still(value).verdict[0] for value in (0.0, -1.9, 2.5, -3.5)] == [
        Verdict.IN_RANGE, Verdict.IN_RANGE, Verdict.WATCH, Verdict.OUT_OF_RANGE,
    ]  # fmt: skip
    assert not still(0.0).reasons[0]
    assert np.isnan(still(0.0).use_now[0])
