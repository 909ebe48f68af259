"""The graphics: what they say, where they say it, and that nothing lies over anything else."""

import datetime as dt
import io
import itertools
import re
import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from inspections.drawing import palette
from inspections.drawing.chart import channels_of, expected_chart
from inspections.drawing.labels import width_of
from inspections.drawing.marks import mark_drawing
from inspections.drawing.pdf import to_pdf
from inspections.drawing.shapes import Circle, Drawing, Line, Lines, Polygon, Rect, Text
from inspections.drawing.strips import elevation_strip, travel_strip
from inspections.drawing.svg import to_svg
from inspections.models import ElementStatus, Verdict
from inspections.models.choices import VerdictWord
from inspections.selectors.statuses import BridgeStrip
from inventory.models import Bridge, Element, Support, Unit
from inventory.units import System
from movement.results import Reason

STYLE_SHEET = Path(__file__).parents[2] / "inspections/static/inspections/ledger.css"
SI, US = System.SI, System.US


def a_verdict(**fields) -> Verdict:
    """Return a judged offset between limits of 60 mm each way, not kept anywhere."""
    values = {
        "quantity": "offset_along",
        "value": 12.0,
        "temperature_c": 25.0,
        "u_temperature_k": 2.0,
        "u_reading": 1.0,
        "expected": 10.0,
        "u_residual": 2.0,
        "residual": 2.0,
        "residual_in_u": 1.0,
        "limit_lower": -60.0,
        "limit_upper": 60.0,
        "carried_to_min": -48.0,
        "carried_to_max": 36.0,
        "design_min_c": -35.0,
        "design_max_c": 49.0,
        "use_now": 0.2,
        "use_at_min": 0.8,
        "use_at_max": 0.6,
        "a": -15.0,
        "b": 1.0,
        "c0": 2.0,
        "c1": -0.04,
        "c2": 0.002,
        "verdict": VerdictWord.IN_RANGE,
        "taken_at": dt.datetime(2024, 7, 1, 12, tzinfo=dt.UTC),
    }
    return Verdict(**values | fields)


BARE = {
    # all that a reading may lack
    "expected": None,
    "u_residual": None,
    "residual": None,
    "residual_in_u": None,
    "limit_lower": None,
    "limit_upper": None,
    "carried_to_min": None,
    "carried_to_max": None,
    "design_min_c": None,
    "design_max_c": None,
    "temperature_c": None,
    "u_temperature_k": None,
    "a": None,
    "b": None,
    "c0": None,
    "c1": None,
    "c2": None,
    "verdict": VerdictWord.CANNOT_JUDGE,
    "reasons": int(Reason.NO_TEMPERATURE | Reason.NO_LIMITS),
}


def a_strip(
    supports: int = 3,
    girders: int = 2,
    verdict_of=lambda support, girder: 1,
    spacing_m: float = 40.0,
) -> BridgeStrip:
    """Return a bridge of one unit a pair of spans, with a joint at each end of a unit."""
    end = (supports - 1) * spacing_m
    units = [
        Unit(pk=1, code="U1", start_station_m=0.0, end_station_m=end / 2, fixed_station_m=0.0),
        Unit(pk=2, code="U2", start_station_m=end / 2, end_station_m=end, fixed_station_m=end),
    ]
    piers = [
        Support(
            pk=n,
            code=f"S{n}",
            kind="abutment" if n in (0, supports - 1) else "pier",
            station_m=n * spacing_m,
        )
        for n in range(supports)
    ]
    statuses = []
    for pier in piers:
        kinds = ["bearing"] * girders + ["joint"]
        for girder, kind in enumerate(kinds):
            place = Element(
                kind=kind, code=f"{pier.code}-{girder}", support=pier, station_m=pier.station_m
            )
            status = ElementStatus(element=place, verdict=verdict_of(pier.pk, girder))
            statuses.append(status)
    return BridgeStrip(Bridge(code="T-1"), units, piers, statuses)


def parsed(drawing: Drawing) -> ET.Element:
    """Return the root of a drawing's SVG."""
    return ET.fromstring(to_svg(drawing))  # noqa: S314 - what we have just written ourselves


def middle(shape) -> tuple[float, float]:
    """Return the middle of a shape's extent."""
    if isinstance(shape, Circle):
        return shape.x, shape.y
    xs, ys = zip(*shape.points, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def marks(drawing: Drawing, layer: str = "mark") -> list[tuple[float, float]]:
    """Return where verdict marks stand, in their order."""
    return [
        middle(shape)
        for shape in drawing.shapes
        if isinstance(shape, Circle | Polygon) and shape.style.startswith(f"{layer}-")
    ]


def walls(drawing: Drawing) -> list[float]:
    """Return the places of a travel strip's limits, from left to right."""
    return sorted(s.x1 for s in drawing.shapes if isinstance(s, Line) and s.style == "limit")


def texts(drawing: Drawing) -> list[str]:
    """Return every text, its narrow spaces as plain ones."""
    return [s.text.replace("\u202f", " ") for s in drawing.shapes if isinstance(s, Text)]


def overlapping(drawing: Drawing) -> list[tuple[str, str]]:
    """Return pairs of texts that lie over one another."""
    boxes = []
    for each in (s for s in drawing.shapes if isinstance(s, Text) and s.style != "mark-query"):
        width = width_of(each.text, each.style)
        left = each.x - {"start": 0.0, "middle": width / 2, "end": width}[each.anchor]
        size = palette.STYLES[each.style].size
        boxes.append((each.text, left, left + width, each.y - 0.75 * size, each.y))
    return [
        (one[0], two[0])
        for one, two in itertools.combinations(boxes, 2)
        if one[1] < two[2] and two[1] < one[2] and one[3] < two[4] and two[3] < one[4]
    ]


def every_drawing() -> list[Drawing]:
    """Return each kind of drawing, from rich to bare."""
    rich, bare = a_verdict(), a_verdict(**BARE)
    closed = a_verdict(
        value=-70.0, verdict=VerdictWord.OUT_OF_RANGE, reasons=int(Reason.PAST_LIMIT_NOW)
    )
    one_sided = a_verdict(quantity="key_gap", limit_lower=0.0, limit_upper=None)
    return [
        *(travel_strip(each, SI) for each in (rich, bare, closed, one_sided)),
        elevation_strip(a_strip(), SI),
        elevation_strip(BridgeStrip(Bridge(code="T-2"), [], [], []), SI),
        expected_chart([], SI),
        expected_chart([bare], SI),
        expected_chart([rich, bare, closed], SI),
        *(mark_drawing(word) for word in VerdictWord),
    ]


@pytest.mark.parametrize("drawing", every_drawing(), ids=lambda each: each.title)
def test_an_svg_is_sound_xml_told_in_words_and_styled_by_known_classes_alone(drawing):
    root = parsed(drawing)
    names = [each.get("id") for each in root if each.tag.endswith(("title", "desc"))]
    assert root.get("aria-labelledby").split() == names
    assert all(each.text for each in root if each.tag.endswith(("title", "desc")))
    classes = {each.get("class") for each in root if each.get("class")}
    assert classes <= {f"d-{name}" for name in palette.STYLES}
    assert not any(each.get("style") for each in root.iter())


def test_two_drawings_on_one_page_have_no_id_in_common():
    both = to_svg(mark_drawing(1)) + to_svg(mark_drawing(1))
    ids = re.findall(r' id="([^"]+)"', both)
    assert len(ids) == len(set(ids)) == 4


def test_a_name_with_markup_in_it_is_shown_as_it_is():
    strip = a_strip()
    strip.units[0].code = "<b>&U"
    assert "<b>&U" in [each.text for each in parsed(elevation_strip(strip, SI))]


def test_the_style_sheet_knows_every_style_as_the_palette_has_it():
    assert palette.css() in STYLE_SHEET.read_text(encoding="utf-8")
    schemes = STYLE_SHEET.with_name("frame.css").read_text(encoding="utf-8")
    assert palette.css_dark() in schemes
    assert palette.DARK.keys() == palette.COLOURS.keys()


def test_verdicts_differ_in_shape_and_not_in_colour_alone():
    outlines = set()
    for word in VerdictWord:
        shape = next(s for s in mark_drawing(word).shapes if not isinstance(s, Text))
        is_open = palette.STYLES[shape.style].fill == "paper"
        outlines.add((type(shape), len(getattr(shape, "points", ())), is_open))
    assert len(outlines) == len(VerdictWord)


def lightness(ink: str) -> float:
    """Return the relative luminance of a colour, as WCAG 2.2 defines it."""

    def linear(part: float) -> float:
        return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(int(ink[n : n + 2], 16) / 255) for n in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, as WCAG 2.2 defines it."""
    dark, light = sorted((lightness(one), lightness(other)))
    return (light + 0.05) / (dark + 0.05)


def test_marks_and_words_stay_readable_in_the_dark():
    paper = palette.DARK["paper"]
    for style in palette.STYLES.values():
        if style.size:  # 1.4.3: text needs a contrast of 4.5 to 1
            assert contrast(palette.DARK[style.fill], paper) >= 4.5
    for name in ("in-range", "watch", "out-of-range", "cannot-judge", "limit", "expected"):
        assert contrast(palette.DARK[name], paper) >= 3.0  # 1.4.11: graphics


def test_the_inks_of_the_verdicts_stay_readable_on_white_in_grey_print():
    for name in ("in-range", "watch", "out-of-range", "cannot-judge"):
        for ink in palette.COLOURS[name]:
            # WCAG 2.2, 1.4.11: graphics need a contrast of 3 to 1.
            assert contrast(ink, "#ffffff") >= 3.0


def test_paper_has_every_shape_of_the_screen_in_proportion():
    drawing = travel_strip(a_verdict(), SI)
    printed = to_pdf(drawing, 360.0)
    assert printed.height == pytest.approx(drawing.height / 2)
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(400.0, 400.0))
    printed.drawOn(canvas, 20.0, 100.0)
    canvas.save()
    with pdfplumber.open(file) as read:
        page = read.pages[0]
        drawn = Counter(Rect=len(page.rects), Line=len(page.lines), Circle=len(page.curves))
        printed_texts = [each["text"] for each in page.extract_words(keep_blank_chars=True)]
        ticks = [each for each in page.lines if each["x0"] == each["x1"]]
    shapes = Counter(type(each).__name__ for each in drawing.shapes)
    shapes["Line"] += sum(len(each.ends) // 2 for each in drawing.shapes if isinstance(each, Lines))
    assert drawn == Counter({name: shapes[name] for name in drawn})
    assert sorted(each.replace("\u202f", " ") for each in printed_texts) == sorted(texts(drawing))
    # Half as large as on the screen, from where it was put on the page.
    upright = sorted(
        each.x1 for each in drawing.shapes if isinstance(each, Line) and each.x1 == each.x2
    )
    assert sorted(each["x0"] for each in ticks) == pytest.approx(
        [20.0 + x / 2 for x in upright], abs=0.01
    )


@settings(max_examples=60, deadline=None)
@given(value=st.floats(-400, 400))
def test_the_measured_mark_lies_between_the_walls_exactly_when_the_value_does(value):
    drawing = travel_strip(a_verdict(value=value), SI)
    left, right = walls(drawing)
    ((x, _),) = marks(drawing)
    assert (left < x < right) == (-60.0 < value < 60.0)


@settings(max_examples=60, deadline=None)
@given(values=st.lists(st.integers(-59, 59), min_size=2, max_size=2, unique=True))
def test_the_measured_mark_moves_to_the_right_as_the_value_grows(values):
    low, high = sorted(values)
    ((x_low, _),) = marks(travel_strip(a_verdict(value=float(low)), SI))
    ((x_high, _),) = marks(travel_strip(a_verdict(value=float(high)), SI))
    assert x_low < x_high


@settings(max_examples=60, deadline=None)
@given(
    value=st.floats(-90, 90),
    expected=st.floats(-90, 90),
    cold=st.floats(-200, 200),
    hot=st.floats(-200, 200),
)
def test_mirrored_values_stand_at_mirrored_places(value, expected, cold, hot):
    def places(sign: float) -> list[float]:
        drawing = travel_strip(
            a_verdict(
                value=sign * value,
                expected=sign * expected,
                carried_to_min=sign * cold,
                carried_to_max=sign * hot,
            ),
            SI,
        )
        ticks = [s.x1 for s in drawing.shapes if isinstance(s, Line) and s.style == "expected"]
        return [x for x, _ in (*marks(drawing), *marks(drawing, "carried"))] + ticks

    width = travel_strip(a_verdict(), SI).width
    assert places(-1.0) == pytest.approx([width - x for x in places(1.0)])


@settings(max_examples=100, deadline=None)
@given(
    value=st.floats(-300, 300),
    expected=st.none() | st.floats(-300, 300),
    lower=st.none() | st.floats(-100, -1),
    upper=st.none() | st.floats(1, 100),
    carried=st.none() | st.tuples(st.floats(-300, 300), st.floats(-300, 300)),
    system=st.sampled_from(System),
)
def test_labels_of_a_travel_strip_never_lie_over_one_another(
    value, expected, lower, upper, carried, system
):
    cold, hot = carried or (None, None)
    drawing = travel_strip(
        a_verdict(
            value=value,
            expected=expected,
            limit_lower=lower,
            limit_upper=upper,
            carried_to_min=cold,
            carried_to_max=hot,
        ),
        system,
    )
    assert overlapping(drawing) == []


def test_labels_tell_values_and_temperatures_in_the_units_of_the_user():
    told = texts(travel_strip(a_verdict(value=25.4, temperature_c=20.0, expected=50.8), US))
    assert "measured 1.00 in at 68.0 °F" in told
    assert "expected 2.00 in ± 0.16 in" in told
    assert {"limit −2.36 in", "limit 2.36 in"} <= set(told)


def test_a_one_sided_limit_has_one_wall_and_an_open_end():
    drawing = travel_strip(a_verdict(quantity="key_gap", limit_lower=0.0, limit_upper=None), SI)
    assert len(walls(drawing)) == 1
    assert sum(s.style == "track-open" for s in drawing.shapes) == 1


def test_a_position_that_passes_a_limit_when_coldest_has_the_mark_of_out_of_range_there():
    drawing = travel_strip(
        a_verdict(carried_to_min=-75.0, reasons=int(Reason.PAST_LIMIT_AT_MIN)), SI
    )
    cold, hot = (s for s in drawing.shapes if s.style.startswith("carried-"))
    assert (cold.style, hot.style) == ("carried-out-of-range", "carried-in-range")
    assert middle(cold)[0] < walls(drawing)[0] < middle(hot)[0]


def test_a_strip_says_what_it_cannot_show():
    told = " ".join(texts(travel_strip(a_verdict(**BARE), SI)))
    assert "expected value (no temperature)" in told
    assert "limits (none recorded)" in told


def test_each_element_has_its_mark_over_its_support():
    drawing = elevation_strip(a_strip(supports=3, girders=2), SI)
    legend = len(VerdictWord)
    found = marks(drawing)[:-legend]
    assert len(found) == 9
    codes = {s.text: s.x for s in drawing.shapes if isinstance(s, Text) and s.text.startswith("S")}
    nearest = [min(("S0", "S1", "S2"), key=lambda each: abs(codes[each] - x)) for x, _ in found]
    assert sorted(nearest) == ["S0"] * 3 + ["S1"] * 3 + ["S2"] * 3


def test_a_bridge_of_nine_supports_and_six_girders_stays_legible():
    drawing = elevation_strip(a_strip(supports=9, girders=6), SI)
    found = marks(drawing)[: -len(VerdictWord)]
    assert len(found) == 9 * 7
    gaps = [
        max(abs(one[0] - two[0]), abs(one[1] - two[1]))
        for one, two in itertools.combinations(found, 2)
    ]
    assert min(gaps) > 11.0
    assert overlapping(drawing) == []


def test_where_marks_do_not_fit_they_are_counted_with_the_worst_on_top():
    drawing = elevation_strip(
        a_strip(supports=21, girders=12, verdict_of=lambda pier, girder: 3 if girder == 5 else 1),
        SI,
    )
    counted = [s.style for s in drawing.shapes if s.style.startswith("mark-")]
    assert "11" in texts(drawing)
    first_bearing = counted.index("mark-out-of-range")
    assert counted[first_bearing : first_bearing + 2] == ["mark-out-of-range", "mark-in-range"]
    assert overlapping(drawing) == []


@settings(max_examples=25, deadline=None)
@given(supports=st.integers(2, 60), spacing_m=st.floats(0.5, 200), system=st.sampled_from(System))
def test_labels_of_an_elevation_strip_never_lie_over_one_another(supports, spacing_m, system):
    drawing = elevation_strip(a_strip(supports=supports, spacing_m=spacing_m), system)
    assert overlapping(drawing) == []
    assert all(0 <= x <= drawing.width for x, _ in marks(drawing))


def test_stations_are_told_in_feet_where_the_user_wants_feet():
    told = texts(elevation_strip(a_strip(spacing_m=30.48), US))
    assert "Station, ft" in told
    assert "200" in told


def test_the_words_of_an_elevation_strip_name_what_is_flagged():
    strip = a_strip(verdict_of=lambda pier, girder: 3 if (pier, girder) == (1, 0) else 1)
    assert "S1-0" in elevation_strip(strip, SI).description


def readings(*pairs: tuple[float | None, float], **fields) -> list[Verdict]:
    """Return verdicts of one channel a year apart: temperature and value."""
    return [
        a_verdict(
            temperature_c=temperature_c,
            value=value,
            taken_at=dt.datetime(2015 + n, 3, 1, tzinfo=dt.UTC),
            **fields,
        )
        for n, (temperature_c, value) in enumerate(pairs)
    ]


def test_a_reading_just_as_expected_lies_on_the_line():
    # a = -15, b = 1: -15 + 20 = 5
    drawing = expected_chart(readings((-10.0, -25.0), (20.0, 5.0)), SI)
    line = next(s for s in drawing.shapes if isinstance(s, Line) and s.style == "expected")
    for x, y in marks(drawing):
        share = (x - line.x1) / (line.x2 - line.x1)
        assert y == pytest.approx(line.y1 + share * (line.y2 - line.y1))


def test_warmer_readings_stand_to_the_right_and_greater_ones_higher():
    cold, warm = marks(expected_chart(readings((-10.0, -30.0), (20.0, 9.0)), SI))
    assert cold[0] < warm[0]
    assert cold[1] > warm[1]


def test_a_reading_without_a_temperature_stands_in_a_lane_beside_the_plot():
    drawing = expected_chart(readings((10.0, -5.0), (None, 4.0)), SI)
    lane = next(s for s in drawing.shapes if isinstance(s, Rect) and s.style == "lane")
    inside = [lane.x < x < lane.x + lane.width for x, _ in marks(drawing)]
    assert inside == [False, True]


def test_a_chart_dates_its_first_last_and_flagged_readings_only():
    rows = readings((-10.0, -24.0), (0.0, -15.0), (10.0, 30.0), (20.0, 5.0), (30.0, 15.0))
    rows[2].verdict = VerdictWord.OUT_OF_RANGE
    dates = [each for each in texts(expected_chart(rows, SI)) if each.startswith("20")]
    assert sorted(each for each in dates if "-" in each) == [
        "2015-03-01",
        "2017-03-01",
        "2019-03-01",
    ]


@settings(max_examples=40, deadline=None)
@given(
    pairs=st.lists(
        st.tuples(st.none() | st.floats(-40, 45), st.floats(-80, 80)), min_size=1, max_size=12
    ),
    verdict=st.sampled_from(list(VerdictWord)),
    width=st.sampled_from([360.0, 720.0]),
    system=st.sampled_from(System),
)
def test_labels_of_a_chart_never_lie_over_one_another(pairs, verdict, width, system):
    drawing = expected_chart(readings(*pairs, verdict=verdict), system, width=width, height=220.0)
    assert overlapping(drawing) == []


def test_a_chart_without_an_expected_line_says_so():
    told = " ".join(texts(expected_chart([a_verdict(**BARE)], SI)))
    assert "No expected line" in told


def test_a_band_far_wider_than_the_limits_does_not_press_the_readings_flat():
    rows = readings((-10.0, -24.0), (20.0, 5.0), c0=4e6)
    drawing = expected_chart(rows, SI)
    upper, lower = (s for s in drawing.shapes if isinstance(s, Line) and s.style == "limit")
    assert abs(upper.y1 - lower.y1) > 0.33 * drawing.height


def test_readings_are_charted_by_installation_quantity_point_and_axis():
    def one(year: int, **fields) -> Verdict:
        return a_verdict(taken_at=dt.datetime(year, 1, 1, tzinfo=dt.UTC), **fields)

    first, second = "11111111-1111-1111-1111-111111111111", "22222222-2222-2222-2222-222222222222"
    found = channels_of(
        [
            one(2024, installation_id=first, quantity="gap", point="left", axis="square"),
            one(2020, installation_id=first, quantity="gap", point="left", axis="square"),
            one(2021, installation_id=first, quantity="gap", point="left", axis="road"),
            one(2021, installation_id=first, quantity="gap", point="right", axis="square"),
            one(2025, installation_id=second, quantity="gap", point="left", axis="square"),
        ]
    )
    assert [[each.taken_at.year for each in channel] for channel in found] == [
        [2020, 2024],
        [2021],
        [2021],
        [2025],
    ]
