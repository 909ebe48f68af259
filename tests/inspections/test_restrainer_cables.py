"""Restrainer cables: slack that the deck takes up as it moves, and the force that they hold."""

import pytest

from inspections.drawing.place import place_drawing
from inspections.drawing.shapes import Line
from inspections.form_spec import fields_for
from inspections.models import Verdict
from inspections.models.choices import VerdictWord
from inspections.wording import sentence
from inspections.wording_capacity import needs_words
from inventory.units import System
from tests.inspections.capacity_rows import KN_PER_KIP, device_with, the_check
from tests.inspections.plain_rows import facts, measured, place

SETTING = {"setting_source": "measured", "setting_temperature_c": 10.0}
HOTTEST_C = 440.0 / 9.0  # 120 degF
NARROW_SPACE = "\u202f"


@pytest.mark.django_db
class TestSlackIsJudged:
    def verdict(self, slack_mm: float) -> Verdict:
        cable = device_with(
            "restrainer_cable",
            {"gap_ahead_mm": 60.0, "gap_min_mm": 5.0},
            [("slack", slack_mm, "ahead")],
            temperature_c=30.0,
            installation=SETTING,
        )
        return Verdict.objects.get(reading__element=cable)

    def test_a_deck_that_grew_has_taken_up_its_share_of_the_slack(self):
        verdict = self.verdict(37.0)
        # 1.17 mm for each degC, 20 degC warmer than when set
        assert verdict.expected == pytest.approx(60.0 - 1.17 * 20.0)
        assert verdict.carried_to_max == pytest.approx(37.0 - 1.17 * (HOTTEST_C - 30.0))
        assert verdict.verdict != VerdictWord.OUT_OF_RANGE

    def test_a_cable_that_would_be_taut_in_the_heat_is_out_of_range(self):
        verdict = self.verdict(20.0)
        assert verdict.carried_to_max < 5.0
        assert verdict.verdict == VerdictWord.OUT_OF_RANGE
        told = sentence(verdict, System.SI).replace(NARROW_SPACE, " ")
        assert told.startswith("Slack, ahead 20.0 mm at 30.0 °C: 16.6 mm less than the 36.6 mm")


def test_a_cable_is_asked_for_its_slack_and_a_key_for_its_gap():
    cable, key = fields_for("restrainer_cable"), fields_for("shear_key")
    assert [each.quantity.label for each in cable] == ["Slack"]
    assert "taut" in cable[0].why
    assert [each.quantity.label for each in key] == ["Key gap"]
    assert "cable" not in key[0].why


@pytest.mark.django_db
def test_a_cable_without_readings_is_asked_for_its_slack_on_the_side_it_has():
    cable = device_with("restrainer_cable", {"gap_back_mm": 40.0, "gap_min_mm": 5.0})
    told = needs_words(the_check(cable, "Slack remains, back"))
    assert told == "cannot check: needs a reading of the slack, back"


def test_a_cable_with_half_its_slack_is_drawn_half_as_deep():
    drawing = place_drawing(
        facts(
            place=place("restrainer_cable"),
            measured=measured("slack", value=20.0, expected=40.0),
        ),
        System.SI,
    )
    deep = {
        style: max(abs(each.y2 - each.y1) for each in drawing.shapes
                   if isinstance(each, Line) and each.style == style)
        for style in ("cable", "should-edge")
    }  # fmt: skip
    assert deep["cable"] / deep["should-edge"] == pytest.approx(0.5)


@pytest.mark.django_db
class TestCablesAreHeldAgainstTheirForce:
    DESIGN = {"horizontal_demand_kn": 870.0, "cable_count": 10, "cable_diameter_mm": 19.0}

    def test_ten_cables_share_the_force(self):
        check = the_check(device_with("restrainer_cable", self.DESIGN), "Cables below yield")
        assert check.use == pytest.approx(870.0 / (10 * 39.1 * KN_PER_KIP), rel=0.001)
        assert check.edition == "Missouri DOT, Earthquake Restrainers (2004)"
        assert check.family == "other"

    def test_cables_of_another_size_are_not_judged_by_it(self):
        cable = device_with("restrainer_cable", self.DESIGN | {"cable_diameter_mm": 25.4})
        told = needs_words(the_check(cable, "Cables below yield"))
        assert told == "cannot check: needs «Diameter of one cable» within the range of the rule"

    def test_what_the_register_lacks_is_asked_for_in_words(self):
        cable = device_with("restrainer_cable", {"horizontal_demand_kn": 870.0})
        told = needs_words(the_check(cable, "Cables below yield"))
        assert told == "cannot check: needs «Cables» and «Diameter of one cable»"
