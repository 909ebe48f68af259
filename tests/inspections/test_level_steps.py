"""Level difference across a joint: read without a temperature, held against the owner's limit."""

import datetime as dt

import pytest

from inspections.drawing.place import place_drawing
from inspections.drawing.shapes import Rect
from inspections.exchange.readings_csv import import_readings
from inspections.models import Reading, Verdict
from inspections.plain.texts import generated
from inspections.services.readings import RowsRefused
from inspections.wording import sentence
from inventory.units import System
from tests.api.calls import Caller, is_problem
from tests.inspections.field_pages import enter, form_of, page_of
from tests.inspections.plain_rows import facts, measured, place
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

MM_PER_IN = 25.4


def a_joint(**design: float):
    return make_element(make_unit(make_bridge("B-1")), "strip_seal", code="J", design=design)


def verdict_of(joint, value: float) -> Verdict:
    visit = make_inspection(joint.bridge, dt.date(2024, 6, 1))
    read(visit, joint, "level_step", value, point="left")
    return Verdict.objects.get(inspection=visit, quantity="level_step")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("step_mm", "word"),
    [(4.0, "In range"), (-4.0, "In range"), (9.5, "Watch"), (10.5, "Out of range"),
     (-10.5, "Out of range")],
)  # fmt: skip
def test_either_side_may_stand_higher_by_the_limit_of_the_joint(step_mm, word):
    verdict = verdict_of(a_joint(level_limit_mm=10.0), step_mm)
    assert verdict.get_verdict_display() == word
    assert verdict.expected is None


@pytest.mark.django_db
def test_without_a_limit_on_record_it_cannot_be_judged_and_says_why():
    verdict = verdict_of(a_joint(), 12.0)
    assert verdict.get_verdict_display() == "Cannot judge"
    assert "enter the device's capacity" in sentence(verdict, System.SI)


@pytest.mark.django_db
def test_a_step_that_no_joint_has_is_refused_with_a_remedy():
    joint = a_joint()
    with pytest.raises(RowsRefused) as refused:
        read(make_inspection(joint.bridge), joint, "level_step", -310.0, point="left")
    assert "is below" in refused.value.readings[0].message
    assert "Check the unit" in refused.value.readings[0].message


@pytest.mark.django_db
def test_it_is_taken_by_form_in_fractions_of_an_inch_and_holds_no_visit_up(as_role):
    joint = a_joint(level_limit_mm=10.0)
    visit = make_inspection(joint.bridge, dt.date(2024, 6, 1))
    assert "Level difference" in page_of(as_role("inspector").get(form_of(visit, joint)))
    enter(as_role("inspector"), visit, joint, **{"level_step-left-1": "3/8 in"})
    row = Reading.objects.get(quantity="level_step")
    assert (row.value, row.typed) == (pytest.approx(3 / 8 * MM_PER_IN), "3/8 in")
    missing = page_of(as_role("inspector").get(form_of(visit, joint)))
    assert "Still to be read here" in missing
    assert "level" not in missing.split("Still to be read here")[1].split("</p>")[0].lower()


@pytest.mark.django_db
def test_it_comes_in_by_file():
    a_joint()
    import_readings(
        "bridge_code,inspection_date,team,taken_at,element_code,point,level_step_in\n"
        "B-1,2024-06-01,two,2024-06-01 08:30,J,right,-0.25\n"
    )
    assert Reading.objects.get().value == pytest.approx(-0.25 * MM_PER_IN)


def test_the_side_ahead_is_drawn_as_high_as_it_stands():
    tops = {}
    for step_mm in (6.0, -6.0):
        drawing = place_drawing(
            facts(
                place=place("strip_seal", sides=(True, True), support_kind="pier"),
                measured=measured("level_step", value=step_mm, expected=None, then=None),
            ),
            System.SI,
        )
        decks = [each for each in drawing.shapes if isinstance(each, Rect) and each.style == "deck"]
        behind, ahead = sorted(decks, key=lambda each: each.x)
        tops[step_mm] = behind.y - ahead.y  # y runs downwards
    assert tops[6.0] > 0 > tops[-6.0]


def test_in_plain_words_it_is_a_step_in_the_road_and_no_gap():
    told = generated(
        facts(
            place=place("strip_seal"),
            measured=measured("level_step", value=-14.0, expected=None, then=None),
        ),
        System.SI,
    )
    assert "One side of the road stood 14\u00a0mm above the other." in told["found"]
    assert "Cars get a jolt at a step in the road." in told["meaning"]
    assert "seal can tear" not in told["meaning"]


@pytest.mark.django_db
def test_another_program_sends_it_in_its_own_unit_and_is_refused_what_cannot_be():
    joint = a_joint(level_limit_mm=10.0)
    caller = Caller(make_user("inspector"))
    visit = make_inspection(joint.bridge, dt.date(2024, 6, 1))
    row = {"element": joint.pk, "quantity": "level_step", "point": "centre",
           "taken_at": "2024-06-01T08:30:00Z"}  # fmt: skip
    address = f"inspections/{visit.pk}/records/"
    assert caller.post(address, {"readings": [row | {"typed": "1/4 in"}]}).status_code == 201
    assert Reading.objects.get().value == pytest.approx(MM_PER_IN / 4)
    told = is_problem(caller.post(address, {"readings": [row | {"typed": "2 ft"}]}), 400)
    assert any("above 300" in each["message"] for each in told["errors"])
