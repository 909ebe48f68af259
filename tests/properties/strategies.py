"""Random but plausible bearings and joints, the same ones in every run."""

from dataclasses import dataclass

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st

from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides, Thresholds
from movement.results import Judgement
from movement.verdict import judge

steady = settings(derandomize=True, deadline=None, max_examples=150)
"""Same examples each time and no clock: a failure is a failure of the code."""


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Return finite floats of a range."""
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


temperatures_c = between(-40.0, 55.0)
stations_m = between(0.0, 400.0)
skews_deg = between(-60.0, 60.0)
# An alignment is straight or curves so little that no arc here passes half a circle.
radii_m = st.one_of(st.just(np.nan), between(150.0, 5000.0), between(-5000.0, -150.0))


@dataclass(frozen=True)
class Case:
    """One element with two sides, its setting, reading, limits and extremes, in any unit."""

    lever: tuple[float, float]
    expansion: tuple[float, float]
    shortening: tuple[float, float]
    u_lever: float
    u_expansion: float
    u_shortening: float
    set_at: float
    set_temperature: float
    u_set_at: float
    u_set_temperature: float
    value: float
    u_value: float
    temperature: float
    u_temperature: float
    lower: float
    upper: float
    extremes: tuple[float, float]


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Draw one in mm and degC; about half of them are good ones near their expected value."""
    lever = draw(st.tuples(between(-150e3, 150e3), st.one_of(st.just(0.0), between(-150e3, 0.0))))
    expansion = draw(st.tuples(between(8e-6, 13e-6), between(8e-6, 13e-6)))
    shortening = draw(st.tuples(between(0.0, 4e-4), between(0.0, 4e-4)))
    set_at, set_temperature = draw(between(0.0, 120.0)), draw(between(0.0, 30.0))
    temperature = draw(temperatures_c)
    near = set_at + sum(
        a * (b * (temperature - set_temperature) - e)
        for a, b, e in zip(lever, expansion, shortening, strict=True)
    )
    middle = draw(between(-50.0, 150.0))
    reach = draw(between(20.0, 400.0))
    return Case(
        lever=lever,
        expansion=expansion,
        shortening=shortening,
        u_lever=draw(between(0.0, 2000.0)),
        u_expansion=draw(between(0.0, 2e-6)),
        u_shortening=draw(between(0.0, 1e-4)),
        set_at=set_at,
        set_temperature=set_temperature,
        u_set_at=draw(between(0.0, 5.0)),
        u_set_temperature=draw(between(0.0, 5.0)),
        value=near + draw(between(-12.0, 12.0)),
        u_value=draw(between(0.2, 3.0)),
        temperature=temperature,
        u_temperature=draw(between(0.1, 5.0)),
        lower=middle - reach,
        upper=middle + reach,
        extremes=(draw(between(-50.0, -20.0)), draw(between(30.0, 60.0))),
    )


def judge_cases(many: list[Case], thresholds: Thresholds | None = None) -> Judgement:
    """Judge them all in one call."""

    def column(name: str) -> np.ndarray:
        return np.array([getattr(each, name) for each in many], dtype=float)

    extremes = column("extremes")
    lower, upper = column("lower"), column("upper")
    return judge(
        Sides.of(
            column("lever"),
            column("expansion"),
            column("shortening"),
            column("u_lever")[:, np.newaxis],
            column("u_expansion")[:, np.newaxis],
            column("u_shortening")[:, np.newaxis],
        ),
        Setting.of(
            column("set_at"),
            column("set_temperature"),
            column("u_set_at"),
            column("u_set_temperature"),
        ),
        Measured.of(
            column("value"), column("temperature"), column("u_value"), column("u_temperature")
        ),
        Limits.of(lower, upper, (lower + upper) / 2.0),
        DesignExtremes.of(extremes[:, 0], extremes[:, 1]),
        thresholds or Thresholds(),
    )


NUMBERS = (
    "residual",
    "residual_in_u",
    "use_now",
    "use_at_min",
    "use_at_max",
    "carried_to_min",
    "carried_to_max",
    "lower_at_c",
    "upper_at_c",
)
"""The numbers of a judgement."""
