"""What must hold of every verdict."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from movement.errors import InputError
from movement.inputs import Thresholds
from movement.results import Verdict
from tests.properties.strategies import NUMBERS, Case, between, cases, judge_cases, steady

LISTS = st.lists(cases(), min_size=1, max_size=8)
PAIRS = {"lever", "expansion", "shortening", "extremes"}
DEGENERATE = Thresholds(watch_k=1e8, out_k=1e9, watch_use=1.0)
"""Almost nothing is to watch: "in range" is as likely as it can be."""


def assert_same(found, wanted):
    assert found.verdict.tolist() == wanted.verdict.tolist()
    assert found.reasons.tolist() == wanted.reasons.tolist()
    for name in NUMBERS:
        np.testing.assert_allclose(
            getattr(found, name), getattr(wanted, name), rtol=1e-12, atol=1e-12, err_msg=name
        )


def with_value(case: Case, name: str, side: int, value: float) -> Case:
    """Return the case with one of its numbers replaced."""
    if name not in PAIRS:
        return replace(case, **{name: value})
    pair = list(getattr(case, name))
    pair[side] = value
    return replace(case, **{name: tuple(pair)})


def as_one(found, row):
    """Return one row of a judgement, as a judgement of one."""
    return replace(found, **{each: getattr(found, each)[row : row + 1] for each in ROWS})


ROWS = ("verdict", "reasons", *NUMBERS)


@steady
@given(LISTS)
def test_many_readings_at_once_are_judged_as_one_by_one(many):
    together = judge_cases(many)
    for row, case in enumerate(many):
        assert_same(judge_cases([case]), as_one(together, row))


@steady
@given(LISTS, st.randoms(use_true_random=False))
def test_the_order_of_readings_does_not_matter(many, random):
    order = list(range(len(many)))
    random.shuffle(order)
    found, shuffled = judge_cases(many), judge_cases([many[row] for row in order])
    for row, was in enumerate(order):
        assert_same(as_one(shuffled, row), as_one(found, was))


@steady
@given(cases(), st.sampled_from([each.name for each in fields(Case)]), st.integers(0, 1))
def test_nothing_unknown_is_ever_in_range(case, name, side):
    # A good reading within wide limits, of which one number is then taken away.
    good = replace(case, lower=-1e6, upper=1e6)
    assert judge_cases([good], DEGENERATE).verdict.tolist() == [Verdict.IN_RANGE]
    unknown = with_value(good, name, side, np.nan)
    found = judge_cases([unknown], DEGENERATE)
    # A limit taken away takes the neutral position with it, so this holds for limits too.
    assert found.verdict.tolist() == [Verdict.CANNOT_JUDGE]
    assert found.reasons.item() != 0


@steady
@given(
    cases(),
    st.sampled_from([each.name for each in fields(Case)]),
    st.integers(0, 1),
    st.sampled_from([np.inf, -np.inf]),
)
def test_an_infinity_is_refused_wherever_it_stands(case, name, side, infinity):
    with pytest.raises(InputError):
        judge_cases([with_value(case, name, side, infinity)])


@steady
@given(cases(), between(1.0, 50.0))
def test_a_wider_limit_never_makes_a_verdict_worse(case, wider):
    # both limits, so that the neutral position stays
    found = judge_cases([case, replace(case, lower=case.lower - wider, upper=case.upper + wider)])
    assert found.verdict[1] <= found.verdict[0]


@steady
@given(cases(), between(1.0, 50.0))
def test_a_less_certain_reading_is_never_further_out(case, more):
    found = judge_cases([case, replace(case, u_value=case.u_value + more)])
    assert found.verdict[1] <= found.verdict[0]


@steady
@given(cases())
def test_seen_from_the_other_end_an_offset_has_the_same_verdict(case):
    def turned(pair):
        return tuple(-each for each in pair)

    back = replace(
        case,
        lever=turned(case.lever),
        set_at=-case.set_at,
        value=-case.value,
        lower=-case.upper,
        upper=-case.lower,
    )
    found = judge_cases([case, back])
    assert found.verdict[0] == found.verdict[1]
    assert found.reasons[0] == found.reasons[1]
    assert found.residual[0] == -found.residual[1]
    assert found.use_at_max[0] == pytest.approx(found.use_at_max[1], nan_ok=True)
    assert found.lower_at_c[0] == pytest.approx(found.upper_at_c[1], nan_ok=True)


def _far_from_every_threshold(found) -> bool:
    """True where rounding cannot tip a verdict."""
    edges = [
        *(np.abs(np.abs(found.residual_in_u) - k) for k in (2.0, 3.0)),
        *(np.abs(getattr(found, name) - 0.9) for name in NUMBERS[2:5]),
        *(np.abs(getattr(found, name) - 1.0) for name in NUMBERS[2:5]),
    ]
    return bool(min(float(np.min(edge)) for edge in edges) > 1e-6)


@steady
@given(cases())
def test_the_verdict_does_not_depend_on_the_scales_of_temperature_and_length(case):
    # The whole case in degrees Fahrenheit and inches; 1 in = 25.4 mm, F = 1.8 C + 32 (exact).
    def fahrenheit(point):
        return 1.8 * point + 32.0

    def inches(pair_or_one):
        return tuple(np.asarray(pair_or_one) / 25.4) if np.ndim(pair_or_one) else pair_or_one / 25.4

    us = replace(
        case,
        **{name: inches(getattr(case, name)) for name in (
            "lever", "u_lever", "set_at", "u_set_at", "value", "u_value", "lower", "upper"
        )},
        expansion=tuple(each / 1.8 for each in case.expansion),
        u_expansion=case.u_expansion / 1.8,
        set_temperature=fahrenheit(case.set_temperature),
        u_set_temperature=1.8 * case.u_set_temperature,
        temperature=fahrenheit(case.temperature),
        u_temperature=1.8 * case.u_temperature,
        extremes=tuple(fahrenheit(each) for each in case.extremes),
    )  # fmt: skip
    si_found = judge_cases([case])
    assume(_far_from_every_threshold(si_found))
    us_found = judge_cases([us])
    assert us_found.verdict.tolist() == si_found.verdict.tolist()
    assert us_found.reasons.tolist() == si_found.reasons.tolist()
    assert us_found.residual_in_u == pytest.approx(si_found.residual_in_u, rel=1e-6, abs=1e-6)
    assert us_found.carried_to_max * 25.4 == pytest.approx(si_found.carried_to_max, abs=1e-6)


@steady
@given(LISTS)
def test_a_verdict_is_no_milder_than_its_reasons(many):
    found = judge_cases(many)
    for verdict, off, use in zip(
        found.verdict,
        np.abs(found.residual_in_u),
        np.max([found.use_now, found.use_at_min, found.use_at_max], axis=0),
        strict=True,
    ):
        if off > 3.0 or use > 1.0 + 1e-9:
            assert verdict == Verdict.OUT_OF_RANGE
        elif off > 2.0 or use > 0.9:
            assert verdict >= Verdict.WATCH
        elif use < 1.0 - 1e-9:
            assert verdict == Verdict.IN_RANGE
