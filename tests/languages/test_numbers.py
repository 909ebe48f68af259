"""Numbers with a decimal comma: what is shown is read back, and nothing is read in two ways."""

import pytest
from django.core.exceptions import ValidationError
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from inspections.typed_fields import TypedField
from inventory.units import Dimension, System, shown

SHOWN = [Dimension.LENGTH, Dimension.TEMPERATURE, Dimension.ROTATION, Dimension.TILT,
         Dimension.FORCE]  # fmt: skip


def taken(text: str, dimension: Dimension, system: System = System.SI):
    """Read what a German reader typed."""
    with translation.override("de"):
        return TypedField(dimension, system, label="Wert").clean(text)


def refusal(text: str) -> str:
    """Return why a German reader's length is refused."""
    with pytest.raises(ValidationError) as refused:
        taken(text, Dimension.LENGTH)
    return refused.value.messages[0]


@given(
    value=st.floats(-9999, 9999),
    dimension=st.sampled_from(SHOWN),
    system=st.sampled_from(System),
)
def test_a_number_shown_in_german_is_read_back_as_the_same(value, dimension, system):
    english = shown(value, dimension, system)
    with translation.override("de"):
        german = shown(value, dimension, system)

    assert "." not in german
    back = TypedField(dimension, system, label="value").clean(english)
    assert taken(german, dimension, system).value == back.value


@given(whole=st.integers(0, 99_999), decimals=st.text("0123456789", min_size=1, max_size=6))
def test_comma_and_point_are_the_same_number_or_the_point_is_refused(whole, decimals):
    comma = taken(f"{whole},{decimals}", Dimension.LENGTH)
    assert comma.value == float(f"{whole}.{decimals}")
    assert comma.typed == f"{whole}.{decimals} mm"
    may_be_thousands = len(decimals) == 3 and 0 < whole < 1000
    if may_be_thousands:
        assert "auf zwei Arten lesbar" in refusal(f"{whole}.{decimals}")
    else:
        assert taken(f"{whole}.{decimals}", Dimension.LENGTH).value == comma.value


@pytest.mark.parametrize(
    ("typed", "value_mm"),
    [("−12,5", -12.5), ("-12.5", -12.5), (",5", 0.5), ("0,125", 0.125), ("0.125", 0.125),
     ("5,5 cm", 55.0), ("1234,5", 1234.5), ("1234", 1234.0), ("2 3/16 in", 55.5625)],
)  # fmt: skip
def test_what_people_write(typed, value_mm):
    assert taken(typed, Dimension.LENGTH).value == pytest.approx(value_mm)


@pytest.mark.parametrize("typed", ["1.234", "1.234,5", "1,234.5", "1,2,3", "-1.234 mm"])
def test_what_could_be_read_in_two_ways_is_refused_with_the_remedy(typed):
    assert refusal(typed) == (
        f"«{typed}» ist auf zwei Arten lesbar. Schreiben Sie ein Komma vor die Dezimalen und"
        " nichts zwischen die Tausender: 1,234 oder 1234."
    )


def test_a_message_names_what_was_typed_and_the_limit_with_commas():
    with translation.override("de"), pytest.raises(ValidationError) as refused:
        TypedField(Dimension.LENGTH, System.SI, (0, 30.5), label="Spalt").clean("99,25")
    assert refused.value.messages[0].startswith("«99,25» liegt über 30,5")


def test_english_refuses_a_comma_as_before():
    with pytest.raises(ValidationError) as refused:
        TypedField(Dimension.LENGTH, System.SI, label="gap").clean("12,5")
    assert "decimal point, not a comma" in refused.value.messages[0]
