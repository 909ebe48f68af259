"""Stored values as people see them, and factors against NIST SP 811.

NIST SP 811 (2008), B.8 and B.9: factors from memory, high confidence.
"""

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory import units
from inventory.units import Dimension, System, conversion, parse, shown
from tests.properties.strategies import between, steady

LENGTH = Dimension.LENGTH
STATION = Dimension.STATION
TEMPERATURE = Dimension.TEMPERATURE
CHANGE = Dimension.TEMPERATURE_DIFFERENCE
ROTATION = Dimension.ROTATION
TILT = Dimension.TILT
FORCE = Dimension.FORCE
STRESS = Dimension.STRESS
AREA = Dimension.AREA
EXPANSION = Dimension.EXPANSION
COUNT = Dimension.COUNT
SI, US = System.SI, System.US
EXACT = 1e-14  # relative: what a double rounds


@pytest.mark.parametrize(
    ("spelling", "dimension", "factor", "offset"),
    [
        # NIST SP 811 (2008), B.8: inch, foot exact; kip 4.448 222 E+03 N, from the pound-force
        # 4.448 221 615 260 5 N exactly; degree 1.745 329 E-02 rad; B.9 for temperatures
        ("in", LENGTH, 25.4, 0.0),
        ("ft", LENGTH, 304.8, 0.0),
        ("ft", STATION, 0.3048, 0.0),
        ("in", STATION, 0.0254, 0.0),
        ("cm", LENGTH, 10.0, 0.0),
        ("m", LENGTH, 1000.0, 0.0),
        ("mm", STATION, 0.001, 0.0),
        ("kip", FORCE, 4.4482216152605, 0.0),
        ("degree", ROTATION, 17.453292519943295, 0.0),
        ("rad", ROTATION, 1000.0, 0.0),
        ("mrad", TILT, 0.0572957795130823, 0.0),
        ("°F", TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0),
        ("°C", TEMPERATURE, 1.0, 0.0),
        ("°F", CHANGE, 5.0 / 9.0, 0.0),
        ("°C", CHANGE, 1.0, 0.0),
        ("K", CHANGE, 1.0, 0.0),
        ("psi", STRESS, 0.00689475729316836, 0.0),
        ("in2", AREA, 645.16, 0.0),
        ("1/degF", EXPANSION, 1.8, 0.0),
        ("", COUNT, 1.0, 0.0),
    ],
)
def test_factors_are_those_of_nist_sp_811(spelling, dimension, factor, offset):
    found = conversion(spelling, dimension)
    assert found == pytest.approx((factor, offset), rel=EXACT)


@pytest.mark.parametrize(
    ("stored", "dimension", "system", "text"),
    [
        (55.5625, LENGTH, SI, "55.6\u202fmm"),
        (55.5625, LENGTH, US, "2.19\u202fin"),
        (-12.7, LENGTH, US, "−0.50\u202fin"),
        (120.5, STATION, SI, "120.50\u202fm"),
        (120.396, STATION, US, "395.00\u202fft"),
        (20.0, TEMPERATURE, SI, "20.0\u202f°C"),
        (20.0, TEMPERATURE, US, "68.0\u202f°F"),
        (-40.0, TEMPERATURE, US, "−40.0\u202f°F"),
        (10.0, CHANGE, SI, "10.0\u202fK"),
        (10.0, CHANGE, US, "18.0\u202f°F"),
        (-4.0, ROTATION, SI, "−4.0\u202fmrad"),
        (-4.0, ROTATION, US, "−4.0\u202fmrad"),
        (3.5, TILT, SI, "3.50°"),
        (120.0, FORCE, SI, "120\u202fkN"),
        (4448.2216152605, FORCE, US, "1000.0\u202fkip"),
        (0.9, STRESS, SI, "0.90\u202fMPa"),
        (0.896318, STRESS, US, "130\u202fpsi"),
        (64516.0, AREA, US, "100.0\u202fin²"),
        (11.7e-6, EXPANSION, SI, "0.0000117\u202fper °C"),
        (11.7e-6, EXPANSION, US, "0.00000650\u202fper °F"),
        (24.0, COUNT, SI, "24"),
        (0.0, LENGTH, SI, "0.0\u202fmm"),
        (-0.04, LENGTH, SI, "0.0\u202fmm"),  # nothing has no sign
        (-0.0, TILT, SI, "0.00°"),
    ],
)
def test_a_stored_value_is_shown_in_the_user_s_units(stored, dimension, system, text):
    assert shown(stored, dimension, system) == text


@pytest.mark.parametrize("nothing", [None, math.nan, math.inf, -math.inf])
def test_where_there_is_no_value_a_dash_is_shown(nothing):
    assert shown(nothing, LENGTH, SI) == "–"
    assert shown(nothing, TEMPERATURE, US, sign=True) == "–"


@pytest.mark.parametrize(
    ("stored", "text"),
    [
        (5.0, "+5.0\u202fmm"),
        (-5.0, "−5.0\u202fmm"),
        (0.0, "+0.0\u202fmm"),
        (-0.01, "+0.0\u202fmm"),
    ],
)
def test_a_sign_is_shown_where_it_tells_a_direction(stored, text):
    assert shown(stored, LENGTH, SI, sign=True) == text


HALF_A_DIGIT = {
    # half of the last digit shown, in the stored unit
    (LENGTH, SI): 0.05,
    (LENGTH, US): 0.005 * 25.4,
    (STATION, SI): 0.005,
    (STATION, US): 0.005 * 0.3048,
    (TEMPERATURE, SI): 0.05,
    (TEMPERATURE, US): 0.05 / 1.8,
    (CHANGE, SI): 0.05,
    (CHANGE, US): 0.05 / 1.8,
    (ROTATION, SI): 0.05,
    (ROTATION, US): 0.05,
    (TILT, SI): 0.005,
    (TILT, US): 0.005,
    (FORCE, SI): 0.5,
    (FORCE, US): 0.05 * 4.4482216152605,
    (STRESS, SI): 0.005,
    (STRESS, US): 0.5 * 0.00689475729316836,
    (AREA, SI): 0.5,
    (AREA, US): 0.05 * 645.16,
    (EXPANSION, SI): 0.5e-7,
    (EXPANSION, US): 0.5e-8 * 1.8,
    (COUNT, SI): 0.5,
    (COUNT, US): 0.5,
}


@steady
@given(st.sampled_from([*HALF_A_DIGIT]), between(-5000.0, 5000.0), st.booleans())
def test_what_is_shown_can_be_typed_again(shown_as, stored, sign):
    dimension, system = shown_as
    stored *= 1e-8 if dimension is EXPANSION else 1.0
    again = parse("gap_mm", shown(stored, dimension, system, sign), dimension).value
    assert again == pytest.approx(stored, abs=HALF_A_DIGIT[shown_as] * (1.0 + 1e-9), rel=0.0)


def test_reading_a_value_builds_no_registry_and_is_quick():
    registry = units.UREG
    start = time.perf_counter()
    for _ in range(2000):
        parse("gap_mm", "2 3/16 in", LENGTH)
        shown(55.5625, LENGTH, US)
    # some 10 ms here; a registry takes 100 ms to build, so one each would be minutes
    assert time.perf_counter() - start < 2.0
    assert units.UREG is registry
