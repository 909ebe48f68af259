"""Fitted lines and readings over the years: where they lie and what they say."""

import datetime as dt
import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.drawing import palette
from inspections.drawing.chart import expected_chart
from inspections.drawing.labels import width_of
from inspections.drawing.shapes import Circle, Drawing, Line, Polyline, Rect, Text
from inspections.drawing.time_chart import time_chart
from inspections.models import ElementHistory, Reading
from inspections.models.choices import ResponseWord
from inventory.units import System
from movement.history.findings import Finding
from tests.inspections.test_drawing import a_verdict, marks, overlapping, parsed, readings, texts

SI, US = System.SI, System.US
UTC = dt.UTC


def a_history(**fields) -> ElementHistory:
    """Return the history of an offset that follows at half of 1 mm/degC, not kept anywhere."""
    values = {
        "quantity": "offset_along",
        "response": ResponseWord.SLUGGISH,
        "visits": 4,
        "ratio": 0.5,
        "ratio_low": 0.4,
        "ratio_high": 0.6,
        "slope_per_c": 0.5,
        "slope_low_per_c": 0.4,
        "slope_high_per_c": 0.6,
        "level": 5.0,
        "level_low": 4.0,
        "level_high": 6.0,
        "mean_temperature_c": 10.0,
        "mean_at": dt.datetime(2017, 1, 1, tzinfo=UTC),
        "judged_at": dt.datetime(2020, 1, 1, tzinfo=UTC),
    }
    return ElementHistory(**values | fields)


def lines(drawing: Drawing, style: str) -> list:
    """Return polylines and lines of a style that lie in the plot, not in the key."""
    return [
        each
        for each in drawing.shapes
        if each.style == style
        and (
            isinstance(each, Polyline)
            or (isinstance(each, Line) and each.y1 < drawing.height - 20.0)
        )
    ]


def at(points, x: float) -> float:
    """Return the height of a drawn curve at a place."""
    for (x1, y1), (x2, y2) in itertools.pairwise(points):
        if x1 <= x <= x2:
            return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    raise AssertionError(f"{x} is off the curve")


FOLLOWING = ((-10.0, -5.0), (5.0, 2.5), (15.0, 7.5), (30.0, 15.0))
"""Readings that lie on the line of ``a_history``: 5 + 0.5 (T - 10)."""


def test_readings_on_the_fitted_line_lie_on_it_in_the_chart():
    drawing = expected_chart(readings(*FOLLOWING), SI, history=a_history())
    (fitted,) = lines(drawing, "fitted")
    for x, y in marks(drawing):
        assert at(fitted.points, x) == pytest.approx(y, abs=0.01)


def test_the_interval_of_the_fitted_line_is_narrowest_at_the_mean_temperature():
    drawing = expected_chart(readings(*FOLLOWING), SI, history=a_history())
    upper, lower = lines(drawing, "fitted-edge")
    gaps = [abs(one[1] - two[1]) for one, two in zip(upper.points, lower.points, strict=True)]
    narrowest = gaps.index(min(gaps))
    assert 0 < narrowest < len(gaps) - 1
    assert gaps[0] > 2 * min(gaps)


def test_without_a_history_the_chart_is_as_before():
    plain = expected_chart(readings(*FOLLOWING), SI)
    assert lines(plain, "fitted") == []
    assert "fitted to the readings" not in texts(plain)
    assert "fitted to the readings" in texts(
        expected_chart(readings(*FOLLOWING), SI, history=a_history())
    )


def test_over_the_years_readings_that_follow_the_fitted_slope_lie_level():
    drawing = time_chart(readings(*FOLLOWING), a_history(), SI)
    heights = [y for _, y in marks(drawing)]
    assert heights == pytest.approx([heights[0]] * 4)
    ordered = [x for x, _ in marks(drawing)]
    assert ordered == sorted(ordered)


def test_over_the_years_a_drift_is_a_sloping_line_through_the_readings():
    drifting = [(t, y + 2.0 * n) for n, (t, y) in enumerate(FOLLOWING)]
    history = a_history(
        findings=Finding.DRIFT, drift_per_year=2.0, drift_low_per_year=1.8,
        drift_high_per_year=2.2, level=8.0, level_low=7.0, level_high=9.0,
        mean_at=dt.datetime(2016, 9, 1, tzinfo=UTC),
    )  # fmt: skip
    drawing = time_chart(readings(*drifting), history, SI)
    (fitted,) = lines(drawing, "fitted")
    for x, y in marks(drawing):
        assert at(fitted.points, x) == pytest.approx(y, abs=1.0)
    assert fitted.points[0][1] > fitted.points[-1][1]  # upwards: y grows downwards


def test_over_the_years_a_step_is_shaded_between_its_two_visits_and_a_blunder_ringed():
    rows = readings(*FOLLOWING)
    for number, row in enumerate(rows):
        row.reading = Reading(pk=number, value=row.value, taken_at=row.taken_at)
    history = a_history(
        findings=Finding.STEP | Finding.BLUNDER,
        alternatives=Finding.STEP | Finding.BLUNDER,
        step_size=9.0,
        step_after=dt.date(2017, 3, 1),
        step_before=dt.date(2018, 3, 1),
        blunder_reading=rows[3].reading,
    )
    drawing = time_chart(rows, history, SI)
    places = marks(drawing)
    (step,) = (s for s in drawing.shapes if isinstance(s, Rect) and s.style == "step" and s.y < 200)
    assert step.x == pytest.approx(places[2][0], abs=1.0)
    assert step.x + step.width == pytest.approx(places[3][0], abs=1.0)
    (ring,) = (s for s in drawing.shapes if isinstance(s, Circle) and s.style == "ring")
    assert (ring.x, ring.y) == pytest.approx(places[3])


def test_over_the_years_nothing_is_drawn_of_fewer_than_two_readings_with_a_temperature():
    assert time_chart(readings((10.0, 5.0), (None, 4.0)), None, SI) is None
    assert time_chart(readings(*FOLLOWING, b=None), None, SI) is None


def test_before_a_line_is_fitted_the_expected_slope_takes_the_temperature_out():
    # b = 1 mm/degC
    drawing = time_chart(readings((0.0, 3.0), (10.0, 13.0), (20.0, 23.0)), None, SI)
    heights = [y for _, y in marks(drawing)]
    assert heights == pytest.approx([heights[0]] * 3)
    assert "no line could be fitted yet" in texts(drawing)


def test_the_chart_over_the_years_names_its_temperature_in_the_users_units():
    drawing = time_chart(readings(*FOLLOWING), a_history(), US)
    assert "Offset along, carried to 50.0 °F [in]" in texts(drawing)
    assert "4 readings from 2015-03-01" in drawing.description
    assert "Follows the temperature at 0.50" in drawing.description


@settings(max_examples=60, deadline=None)
@given(
    values=st.lists(
        st.tuples(st.floats(-30, 45), st.floats(-80, 80)), min_size=2, max_size=9
    ),
    width=st.sampled_from((360.0, 560.0, 720.0)),
    fields=st.sampled_from(
        ({}, {"findings": Finding.STEP, "step_after": dt.date(2016, 3, 1),
              "step_before": dt.date(2017, 3, 1)}, {"slope_per_c": None}, {"level_high": None})
    ),
)  # fmt: skip
def test_words_of_both_charts_stay_apart_and_within_the_drawing(values, width, fields):
    history = a_history(**fields)
    rows = readings(*values)
    for drawing in (
        time_chart(rows, history, SI, width=width, height=width * 0.46),
        expected_chart(rows, SI, history=history, width=width, height=width * 0.46),
    ):
        assert overlapping(drawing) == []
        for each in (s for s in drawing.shapes if isinstance(s, Text) and s.anchor == "start"):
            assert each.x + width_of(each.text, each.style) <= width + 0.5
        styles = {s.style for s in drawing.shapes}
        assert styles <= set(palette.STYLES)
        assert parsed(drawing).get("class") == "drawing"


def test_a_reading_that_cannot_be_judged_is_drawn_all_the_same():
    rows = [
        *readings(*FOLLOWING),
        a_verdict(verdict=0, taken_at=dt.datetime(2021, 1, 1, tzinfo=UTC)),
    ]
    assert len(marks(time_chart(rows, a_history(), SI))) == 5
