"""The key of a chart: every line that is drawn is named in it, however narrow the chart."""

import datetime as dt

import pytest
from django.utils.translation import override

from inspections.drawing.chart import expected_chart
from inspections.drawing.labels import width_of
from inspections.drawing.shapes import Drawing, Line, Rect, Text
from inspections.drawing.time_chart import time_chart
from inventory.units import System
from movement.history.findings import Finding
from tests.inspections.test_drawing import BARE, a_verdict, marks, overlapping, readings, texts
from tests.inspections.test_drawing_history import FOLLOWING, a_history

NAMED = {"expected", "band", "step", "fitted", "fitted-edge"}
SIGN = 22.0
STEP = {
    "findings": Finding.STEP,
    "alternatives": Finding.STEP,
    "step_after": dt.date(2016, 3, 1),
    "step_before": dt.date(2017, 3, 1),
}


def signs(drawing: Drawing) -> dict[str, float]:
    """Return each sign of the key with its height: the short ones at the foot."""
    found = {}
    for each in drawing.shapes:
        if isinstance(each, Line) and each.x2 - each.x1 == SIGN and each.y1 == each.y2:
            found[each.style] = each.y1
        if isinstance(each, Rect) and each.width == SIGN:
            found[each.style] = each.y + each.height / 2
    return {style: y for style, y in found.items() if style in NAMED}


def drawn(width: float, **fields) -> list[Drawing]:
    """Return both charts of readings with a fitted line, and of the same without."""
    rows = readings(*FOLLOWING)
    charts = []
    for history in (a_history(**fields), None):
        charts += [
            time_chart(rows, history, System.SI, width=width, height=0.46 * width),
            expected_chart(rows, System.SI, history=history, width=width, height=0.46 * width),
        ]
    return charts


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("width", [360.0, 480.0, 560.0, 720.0])
@pytest.mark.parametrize("fields", [{}, STEP, {"level_high": None}])
def test_all_that_a_chart_draws_stands_in_its_key(language, width, fields):
    with override(language):
        for drawing in drawn(width, **fields):
            assert set(signs(drawing)) == NAMED & {each.style for each in drawing.shapes}
            assert overlapping(drawing) == []
            assert not any(each.endswith("…") for each in texts(drawing))


def test_what_finds_no_room_in_the_key_begins_a_row_of_its_own():
    wide, narrow = (
        expected_chart(readings(*FOLLOWING), System.SI, history=a_history(), width=width)
        for width in (720.0, 300.0)
    )
    assert len(set(signs(wide).values())) == 1
    below = signs(narrow)
    assert below["expected"] < below["fitted"] <= below["fitted-edge"] < narrow.height
    plot = max(y for _, y in marks(narrow))
    assert plot < below["expected"] - 30.0  # the name of the axis stands between


def test_a_narrow_chart_says_in_full_why_it_has_no_expected_line():
    told = expected_chart([a_verdict(**BARE)], System.SI, width=240.0)
    words = "No expected line: no setting or baseline, or no fixed point, is on record."
    assert words in " ".join(texts(told))
    for each in (s for s in told.shapes if isinstance(s, Text) and s.anchor == "start"):
        assert each.x + width_of(each.text, each.style) <= told.width
