"""Values as people write them."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from inventory.units import Dimension, conversion, parse
from movement.errors import InputError
from tests.properties.strategies import steady

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
EXACT = 1e-14  # relative: what a double rounds


def value(text: str, dimension: Dimension, unit: str = "") -> float:
    return parse("gap_mm", text, dimension, unit).value


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # 1 in = 25.4 mm and 1 ft = 304.8 mm exactly; 2 3/16 in = 55.5625 mm by hand
        ("2 3/16 in", 55.5625),
        ('2-3/16"', 55.5625),
        ("2–3/16 in", 55.5625),
        ('2 - 3/16"', 55.5625),
        ("2 3/16 inches", 55.5625),
        ("2 3/16 IN.", 55.5625),
        ("2 3 / 16 in", 55.5625),
        ("-2-3/16 in", -55.5625),
        ("−2 3/16 in", -55.5625),
        ("+2 3/16 in", 55.5625),
        ("3/16 in", 4.7625),
        ("½ in", 12.7),
        ("½in", 12.7),
        ('2½"', 63.5),
        ("2 ½”", 63.5),
        ("-½ in", -12.7),
        ("2 3⁄16″", 55.5625),
        ("1' 2-3/8\"", 365.125),
        ("1′ 2 3/8″", 365.125),
        ("1 ft 2 3/8 in", 365.125),
        ("1ft2in", 355.6),
        ("1'-2\"", 355.6),
        ("1' 2''", 355.6),
        ("1' 2", 355.6),
        ("-1' 2\"", -355.6),
        ("1' ½\"", 317.5),
        ("6'", 1828.8),
        ("1.5 ft", 457.2),
        (".5 in", 12.7),
        ("2.5 in.", 63.5),
        ("55.5 mm", 55.5),
        ("55.5mm", 55.5),
        ("  55.5   mm ", 55.5),
        ("55.5\u202fmm", 55.5),
        ("5.5 cm", 55.0),
        ("0.055 m", 55.0),
        ("1e1 mm", 10.0),
        ("1E-1 mm", 0.1),
        ("5. mm", 5.0),
        ("0", 0.0),
    ],
)
def test_a_length_is_read_as_people_write_it(text, mm):
    assert value(text, LENGTH) == pytest.approx(mm, rel=EXACT, abs=0.0)


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("2 3/16", "in", 55.5625),
        ("2½", "in", 63.5),
        ("-3", "in", -76.2),
        ("1' 2", "mm", 355.6),  # feet tell the unit of what follows them
        ("55.5 mm", "in", 55.5),  # a unit that is written counts
        ("55.5", "", 55.5),
        ("2", "ft", 609.6),
    ],
)
def test_a_number_alone_takes_the_unit_of_the_form(text, unit, mm):
    assert value(text, LENGTH, unit) == pytest.approx(mm, rel=EXACT)


@pytest.mark.parametrize(
    ("text", "degc"),
    [
        ("68 F", 20.0),
        ("68 °F", 20.0),
        ("68°f", 20.0),
        ("68 ° F", 20.0),
        ("68 ℉", 20.0),
        ("68 deg F", 20.0),
        ("32 F", 0.0),
        ("-40 F", -40.0),
        ("212 degF", 100.0),
        ("20 °C", 20.0),
        ("20", 20.0),
        ("-5 C", -5.0),
        ("−5 °C", -5.0),
        ("‑5 ºC", -5.0),
        ("0 C", 0.0),
    ],
)
def test_a_temperature_is_a_point(text, degc):
    # NIST SP 811 (2008), B.9: t/degC = (t/degF - 32) / 1.8
    assert value(text, TEMPERATURE) == pytest.approx(degc, abs=1e-13)


@pytest.mark.parametrize(
    ("text", "kelvin"),
    [("18 F", 10.0), ("18 °F", 10.0), ("-9 F", -5.0), ("10 C", 10.0), ("10 K", 10.0), ("10", 10)],
)
def test_a_change_of_temperature_is_no_point(text, kelvin):
    assert value(text, CHANGE) == pytest.approx(kelvin, rel=EXACT)


def test_eighteen_degrees_fahrenheit_are_ten_kelvin_of_change_and_eight_below_zero_as_a_point():
    assert value("18 F", CHANGE) == pytest.approx(10.0, rel=EXACT)
    assert value("18 F", TEMPERATURE) == pytest.approx(-7.8, abs=0.05)


@pytest.mark.parametrize(
    ("text", "dimension", "wanted"),
    [
        ("4 mrad", ROTATION, 4.0),
        ("0.004 rad", ROTATION, 4.0),
        ("0.23 deg", ROTATION, 4.01426),  # pi / 180 x 230
        ("0.23°", ROTATION, 4.01426),
        ("3.5 deg", TILT, 3.5),
        ("3.5°", TILT, 3.5),
        ("-3½ °", TILT, -3.5),
        ("61.0865 mrad", TILT, 3.5),
        ("120 kN", FORCE, 120.0),
        ("27 kip", FORCE, 120.102),
        ("27 kips", FORCE, 120.102),
        ("395 ft", STATION, 120.396),
        ("120.5", STATION, 120.5),
        ("12050 cm", STATION, 120.5),
        ("130 psi", STRESS, 0.896318),  # NIST SP 811: 6.894 757 E-03 MPa
        ("1 ksi", STRESS, 6.894757),
        ("0.9 MPa", STRESS, 0.9),
        ("100 in2", AREA, 64516.0),  # NIST SP 811: 6.4516 E-04 m2, exact
        ("100 in²", AREA, 64516.0),
        ("100 sq in", AREA, 64516.0),
        ("645.16 cm2", AREA, 64516.0),
        ("64516 mm²", AREA, 64516.0),
        ("6.5e-6 per F", EXPANSION, 11.7e-6),
        ("6.5e-6/F", EXPANSION, 11.7e-6),
        ("6.5e-6 1/degF", EXPANSION, 11.7e-6),
        ("11.7e-6 per °C", EXPANSION, 11.7e-6),
        ("11.7e-6 /°C", EXPANSION, 11.7e-6),
        ("11.7e-6 1/K", EXPANSION, 11.7e-6),
        ("0.0000117", EXPANSION, 11.7e-6),
        ("24", COUNT, 24.0),
    ],
)
def test_other_quantities_are_read_in_their_units(text, dimension, wanted):
    assert value(text, dimension) == pytest.approx(wanted, rel=5e-6)  # to the digits given


def test_what_was_typed_is_kept_beside_the_value():
    assert parse("gap_mm", "  2 3/16 in ", LENGTH).typed == "2 3/16 in"
    assert parse("gap_mm", "½ in", LENGTH).typed == "½ in"


USE_LENGTH = "Use one of mm, cm, m, in, ft."


@pytest.mark.parametrize(
    ("text", "dimension", "message", "remedy"),
    [
        ("55,5 mm", LENGTH, "«55,5 mm» is not a value", "decimal point, not a comma: 55.5"),
        ("55,5", LENGTH, "not a value", "decimal point"),
        ("1,234.5 mm", LENGTH, "not a value", "1234.5"),
        ("20,5 °C", TEMPERATURE, "not a value", "decimal point"),
        ("2 400 kN", FORCE, "«2 400 kN» is not a value", "nothing between thousands: 1234.5"),
        ("1\u202f234.5", LENGTH, "is not a value", "nothing between thousands"),
        ("5 furlongs", LENGTH, "«furlongs» is no unit of this quantity", USE_LENGTH),
        ("5 kN", LENGTH, "«kN» is no unit", USE_LENGTH),
        ("5 C", LENGTH, "«C» is no unit", USE_LENGTH),
        ("5 mm", TEMPERATURE, "«mm» is no unit", "Use one of °C, °F."),
        ("300 K", TEMPERATURE, "«K» is no unit", "Use one of °C, °F."),
        ("5 mm", CHANGE, "«mm» is no unit", "Use one of K, °C, °F."),
        ("2 in", ROTATION, "«in» is no unit", "Use one of mrad, rad, deg."),
        ("2'", TILT, "«'» is no unit", "Use one of deg, mrad, rad."),
        ("5 t", FORCE, "«t» is no unit", "Use one of kN, kip."),
        ("5 mm", COUNT, "«mm» is no unit", "Write the number alone."),
        ("", LENGTH, "«» is not a value", '2 3/16 in or 2-3/16".'),
        ("   ", LENGTH, "«» is not a value", "55.5 mm"),
        ("nan", LENGTH, "«nan» is not a value", "55.5 mm"),
        ("inf", LENGTH, "not a value", "55.5 mm"),
        ("-inf mm", LENGTH, "not a value", "55.5 mm"),
        ("1e999 mm", LENGTH, "not a value", "55.5 mm"),
        ("1e307 m", LENGTH, "not a value", "55.5 mm"),
        ("1/0 in", LENGTH, "«1/0 in» is not a value", "2 3/16 in"),
        ("2 3/0 in", LENGTH, "not a value", "2 3/16 in"),
        ("2 19/16 in", LENGTH, "not a value", "2 3/16 in"),
        ("9" * 400 + "/1 in", LENGTH, "not a value", "2 3/16 in"),
        ("closed", LENGTH, "«closed» is not a value", "55.5 mm"),
        ("mm", LENGTH, "not a value", "55.5 mm"),
        ("12 mm 13 mm", LENGTH, "not a value", "55.5 mm"),
        ("12 13", LENGTH, "not a value", "55.5 mm"),
        ("12-13 mm", LENGTH, "not a value", "55.5 mm"),
        ("12 mm / 13 mm", LENGTH, "not a value", "55.5 mm"),
        ("2 1/ in", LENGTH, "not a value", "2 3/16 in"),
        ("2.5 3/16 in", LENGTH, "not a value", "2 3/16 in"),
        ("1' 2 mm", LENGTH, "mixes feet with mm", "1' 2\""),
        ("1.2.3 mm", LENGTH, "not a value", "55.5 mm"),
        ("--5 mm", LENGTH, "not a value", "55.5 mm"),
        ("5 mm²", LENGTH, "no unit", USE_LENGTH),
        ("5 mm", AREA, "«mm» is no unit", "Use one of mm2, cm2, in2."),
        ("5 kN", STRESS, "«kN» is no unit", "Use one of MPa, psi, ksi."),
        ("11.7e-6 C", EXPANSION, "«C» is no unit", "Use one of per °C, per °F."),
        ("soft", STRESS, "not a value", "Write 0.9 MPa or 130 psi."),
        ("steel", EXPANSION, "not a value", "Write 11.7e-6 per C or 6.5e-6 per F."),
        ("–", LENGTH, "not a value", "55.5 mm"),
        ("cold", TEMPERATURE, "not a value", "Write 20 °C or 68 F."),
        ("warmer", CHANGE, "not a value", "Write 10 K or 18 F."),
        ("flat", ROTATION, "not a value", "Write 4 mrad or 0.23 deg."),
        ("upright", TILT, "not a value", "Write 3.5 deg."),
        ("heavy", FORCE, "not a value", "Write 120 kN or 27 kip."),
        ("far", STATION, "not a value", "Write 120.5 m or 395 ft."),
        ("many", COUNT, "not a value", "Write a number, such as 12.5."),
    ],
)
def test_what_is_no_value_is_refused_with_its_remedy(text, dimension, message, remedy):
    with pytest.raises(InputError) as refused:
        parse("gap_mm", text, dimension)
    assert refused.value.field == "gap_mm"
    assert message in refused.value.message
    assert remedy in refused.value.remedy


def test_a_column_with_an_unknown_unit_is_refused():
    with pytest.raises(InputError, match="no unit of this quantity"):
        conversion("furlong", LENGTH)
    with pytest.raises(InputError, match="no unit of this quantity"):
        parse("gap_mm", "5", LENGTH, unit="kip")


TYPED = st.one_of(
    st.text(max_size=24),
    st.text(alphabet="0123456789 .,/-+'\"°½¾²eE−–infamtkFCNd", max_size=24),
)


@steady
@given(TYPED, st.sampled_from([*Dimension]))
@example("9" * 5000 + " 1/2 in", LENGTH)
@example("9" * 5000 + "' 2\"", LENGTH)
@example("٣ mm", LENGTH)
@example("\x00", LENGTH)
def test_whatever_is_typed_gives_a_finite_value_or_an_error_that_says_so(text, dimension):
    try:
        found = parse("gap_mm", text, dimension).value
    except InputError as error:
        found = error
    if isinstance(found, InputError):
        assert found.field == "gap_mm"
        assert found.remedy
    else:
        assert math.isfinite(found)


@steady
@given(st.integers(0, 400), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_every_mark_of_a_tape_is_read_exactly(whole, top, bottom):
    top %= bottom
    assert value(f"{whole} {top}/{bottom} in", LENGTH) == pytest.approx(
        (whole + top / bottom) * 25.4, rel=EXACT
    )
    assert value(f'{whole}-{top}/{bottom}"', LENGTH) == value(f"{whole} {top}/{bottom} in", LENGTH)
