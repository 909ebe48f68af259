"""The drawing of a page in plain words: it shows what was read, and no label lies over another."""

import pytest
from django.utils.translation import override

from inspections.drawing.labels import width_of
from inspections.drawing.palette import COLOURS, STYLES
from inspections.drawing.place import place_drawing
from inspections.drawing.shapes import Drawing, Line, Polygon, Rect, Text
from inspections.form_spec import QUANTITIES_OF_DEVICE
from inspections.plain.facts import Then
from inventory.models.choices import KIND_OF_DEVICE, ElementKind
from inventory.units import System
from tests.inspections.plain_rows import every_kind, facts, measured, place
from tests.inspections.test_drawing import overlapping, parsed

SI, US = System.SI, System.US


def texts(drawing: Drawing) -> list[str]:
    return [each.text.replace("\u00a0", " ") for each in drawing.shapes if isinstance(each, Text)]


def width(drawing: Drawing, style: str) -> float:
    """Return the width of the arrow in a style; those of the key at the foot left out."""
    found = [
        [x for x, _ in each.points]
        for each in drawing.shapes
        if isinstance(each, Polygon) and each.style == style and each.points[0][1] < 70.0
    ]
    return max(max(xs) - min(xs) for xs in found)


READS = [
    (device, quantity)
    for device, quantities in QUANTITIES_OF_DEVICE.items()
    for quantity in quantities
]
VALUES = [(17.4, 33.1), (-17.4, 33.1), (0.0, 25.0), (2.9, 0.0), (0.2, 0.3), (25.3, None)]


@pytest.fixture(params=["en", "de"])
def each_language(request):
    """Draw in each language that is spoken."""
    with override(request.param):
        yield


@pytest.mark.usefixtures("each_language")
@pytest.mark.parametrize(("device", "quantity"), READS)
def test_no_label_lies_over_another_or_is_cut_whatever_is_read(device, quantity):
    for value, expected in VALUES:
        for sides in ((True, False), (False, True), (True, True)):
            for system in (SI, US):
                one = facts(
                    place=place(
                        device, sides=sides, support_kind="pier" if all(sides) else "abutment"
                    ),
                    measured=measured(quantity, value=value, expected=expected),
                )
                drawing = place_drawing(one, system)
                assert overlapping(drawing) == []
                assert not [each for each in texts(drawing) if "…" in each]


@pytest.mark.usefixtures("each_language")
@pytest.mark.parametrize(
    ("device", "quantity"),
    [each for each in READS if KIND_OF_DEVICE[each[0]] == ElementKind.RESTRAINT],
)
def test_no_label_lies_over_another_at_a_hinge(device, quantity):
    hinge = place(device, sides=(True, True), support_kind="hinge", ties=True)
    for value, expected in VALUES:
        one = facts(place=hinge, measured=measured(quantity, value=value, expected=expected))
        drawing = place_drawing(one, US)
        assert overlapping(drawing) == []
        assert not [each for each in texts(drawing) if "…" in each]


@pytest.mark.usefixtures("each_language")
def test_every_label_lies_within_the_drawing():
    for one in every_kind():
        drawing = place_drawing(one, US)
        assert overlapping(drawing) == []
        for each in drawing.shapes:
            if isinstance(each, Text):
                wide = width_of(each.text, each.style)
                left = each.x - {"start": 0.0, "middle": wide / 2, "end": wide}[each.anchor]
                assert left >= 0.0
                assert left + wide <= drawing.width
                assert each.y <= drawing.height


def test_the_arrows_are_as_long_as_what_moved_and_what_should_have():
    drawing = place_drawing(facts(), SI)
    assert "moved 17 mm" in texts(drawing)
    assert "should have moved 33 mm" in texts(drawing)
    assert width(drawing, "moved") / width(drawing, "should") == pytest.approx(17.4 / 33.1)


def test_what_went_the_wrong_way_points_the_other_way():
    drawing = place_drawing(facts(measured=measured(value=-17.4)), SI)
    arrows = [e for e in drawing.shapes if isinstance(e, Polygon) and e.points[0][1] < 70.0]
    tips = {each.style: each.points[3][0] - each.points[0][0] for each in arrows}
    assert tips["moved"] < 0 < tips["should"]


def test_a_gap_is_drawn_as_it_was_read_with_where_its_edges_should_be():
    joint = facts(
        place=place("strip_seal", sides=(True, True), support_kind="pier"),
        measured=measured("gap", value=20.0, expected=40.0),
    )
    drawing = place_drawing(joint, SI)
    decks = sorted(
        (each for each in drawing.shapes if isinstance(each, Rect) and each.style == "deck"),
        key=lambda each: each.x,
    )
    apart = decks[1].x - (decks[0].x + decks[0].width)
    edges = [e.x1 for e in drawing.shapes if isinstance(e, Line) and e.style == "should-edge"]
    assert apart / (max(edges) - min(edges)) == pytest.approx(0.5)
    assert {"gap 20 mm", "should be 40 mm"} <= set(texts(drawing))


def test_movement_drawn_larger_than_it_is_is_said_wherever_an_arrow_is_drawn():
    told = "Movement is drawn larger than it is."
    assert told in texts(place_drawing(facts(), SI))
    rods = facts(
        place=place("anchor_rods"), measured=measured("broken_rods", value=1.0, expected=0.0)
    )
    assert told not in texts(place_drawing(rods, SI))
    assert "1 rod broken or missing" in texts(place_drawing(rods, SI))


def test_the_thermometers_show_both_temperatures_with_their_days():
    drawing = place_drawing(facts(), US)
    assert {"50 °F", "73 °F", "Jun 2009", "Jul 2026"} <= set(texts(drawing))
    columns = [e for e in drawing.shapes if isinstance(e, Rect) and e.style == "warmth"]
    colder, warmer = sorted(columns, key=lambda each: each.x)
    assert colder.height < warmer.height


def test_a_temperature_that_nobody_took_leaves_its_thermometer_empty():
    drawing = place_drawing(facts(measured=measured(temperature_c=None)), SI)
    assert "not taken" in texts(drawing)
    columns = [e for e in drawing.shapes if isinstance(e, Rect) and e.style == "warmth"]
    assert len(columns) == 1


def test_without_a_reading_the_place_is_drawn_and_says_that_it_was_not_measured():
    for device in ("pot", "strip_seal", "shear_key", "anchor_rods"):
        drawing = place_drawing(facts(place=place(device), measured=None), SI)
        assert {"not measured yet", "deck", "support"} <= set(texts(drawing))
        assert overlapping(drawing) == []
        assert "not measured yet" in drawing.description


def test_an_unknown_start_claims_no_movement():
    lone = measured(then=None, expected=None)
    told = texts(place_drawing(facts(measured=lone), SI))
    assert "stands 17 mm off its mark" in told
    assert not [each for each in told if "moved" in each]


def test_a_start_without_a_day_is_named_without_one():
    reading = measured(then=Then("reading", 1.0, 2.0, None, None))
    drawing = place_drawing(facts(measured=reading), SI)
    assert "at the reading before" in texts(drawing)


def test_what_was_and_what_should_have_been_differ_without_colour():
    moved, should = STYLES["moved"], STYLES["should"]
    assert COLOURS[moved.fill][1] == "#000000"
    assert (should.fill, COLOURS[should.stroke][1]) == ("paper", "#000000")
    assert STYLES["should-edge"].dash


def test_the_drawing_is_read_out_in_words():
    root = parsed(place_drawing(facts(), SI))
    told = "".join(root.itertext())
    assert "The bearing at the far end of the bridge, seen from the side." in told
    assert "moved 17 mm; should have moved 33 mm." in told
    assert root.get("role") == "img"


def test_a_bridge_without_parts_has_words_for_a_drawing():
    drawing = place_drawing(facts(place=None, measured=None), SI)
    assert texts(drawing) == ["No bearing or joint of this bridge is in our files yet."]
