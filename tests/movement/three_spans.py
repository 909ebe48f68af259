"""A bridge of three spans held at its first pier, read without any error."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest

from movement.whole_bridge import (
    Cause,
    Elements,
    Outcome,
    Readings,
    Supports,
    Units,
    Visits,
    diagnose,
)

STATIONS_M = np.array([0.0, 40.0, 85.0, 120.0])
HELD = 1
ALPHA = 1.2e-5
SET_C = 10.0
TEMPERATURES_C = np.array([-8.0, 3.0, 12.0, 21.0, 30.0, 16.0, 1.0, 25.0])
SUPPORT = np.array([0, 0, 1, 1, 2, 2, 3, 3, 0, 3])
"""Two bearings at each support, then the gap at either end."""
EFFECT = np.array([1.0] * 8 + [1.0, -1.0])
LONG = 6
"""A bearing 80 m from where the deck is held."""
NAN = float("nan")


def moved_mm(temperature_c=TEMPERATURES_C, alpha=ALPHA, held=HELD):
    """Return where each element stands at each visit, set at zero."""
    arm_mm = 1000.0 * (STATIONS_M[SUPPORT] - STATIONS_M[held])
    return (EFFECT * arm_mm)[:, None] * alpha * (np.asarray(temperature_c) - SET_C)


@dataclass
class Bridge:
    """The five tables, to be changed before they are read."""

    value_mm: np.ndarray = field(default_factory=moved_mm)
    temperature_c: np.ndarray = field(default_factory=TEMPERATURES_C.copy)
    time_days: np.ndarray = field(default_factory=lambda: 300.0 + 97.0 * np.arange(8))
    station_m: np.ndarray = field(default_factory=STATIONS_M.copy)
    fixed_station_m: float = STATIONS_M[HELD]
    lever_mm: np.ndarray = field(
        default_factory=lambda: EFFECT * 1000.0 * (STATIONS_M[SUPPORT] - STATIONS_M[HELD])
    )
    effect: np.ndarray = field(default_factory=EFFECT.copy)
    setting_mm: float = 0.0
    u_temperature_k: float = 2.5

    def tables(self):
        elements, visits = self.value_mm.shape
        return (
            Units.of([HELD], [self.fixed_station_m]),
            Supports.of(np.zeros(4, dtype=int), self.station_m),
            Elements.of(
                np.zeros(elements, dtype=int),
                SUPPORT,
                self.lever_mm,
                self.effect,
                ALPHA,
                self.setting_mm,
                SET_C,
                setting_time_days=0.0,
                can_stick=np.arange(elements) < 8,
            ),
            Visits.of(
                np.zeros(visits, dtype=int),
                self.time_days,
                self.temperature_c,
                self.u_temperature_k,
            ),
            Readings.of(
                np.repeat(np.arange(elements), visits),
                np.tile(np.arange(visits), elements),
                self.value_mm.ravel(),
            ),
        )

    def diagnose(self):
        return diagnose(*self.tables())


def first(found):
    """Return the first explanation of the one unit, as a dict."""
    assert found.outcome.tolist() == [Outcome.EXPLAINED]
    names = ("cause", "element", "support", "visit", "last_before", "size", "low", "high")
    return {name: getattr(found.ranked, name)[0, 0].item() for name in names}


def assert_named(found, cause, size, **places):
    said = first(found)
    assert Cause(said["cause"]) == cause
    assert {name: said[name] for name in places} == places
    assert said["low"] < size < said["high"]
    assert said["size"] == pytest.approx(size, rel=0.12, abs=0.03)
