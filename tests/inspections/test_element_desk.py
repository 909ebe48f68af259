"""An element's page: position at both extremes, charts that tell their figures, the record."""

import datetime as dt
import html
import re

import pytest

from inspections.models import Condition, CriticalFinding, Event, FieldNote, Flag, Photo, Verdict
from inspections.services.decisions import decide
from inspections.services.judge import judge_bridges
from inventory.models.choices import EndReason
from inventory.services.installations import reset_installation
from tests.inspections.desk_rows import words
from tests.make import (
    SET_AT_20_C,
    UTC,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

pytestmark = pytest.mark.django_db

DESIGN = {"movement_back_mm": 90.0, "movement_ahead_mm": 90.0}
VISITS = ((2021, -41.0, -15.0), (2022, -20.0, 3.0), (2023, 12.0, 30.0), (2024, 3.0, 22.0))


@pytest.fixture
def bearing():
    return make_element(
        make_unit(make_bridge("B-1")), code="P-1", installation=SET_AT_20_C, design=DESIGN
    )


def visit(bearing, year, offset_mm, temperature_c):
    inspection = make_inspection(bearing.bridge, dt.date(year, 6, 1))
    read(inspection, bearing, "offset_along", offset_mm, temperature_c, accept=True)
    return inspection


def page_of(client, bearing):
    response = client.get(f"/elements/{bearing.pk}/")
    assert response.status_code == 200
    return response.content.decode()


def spots(page, chart=0):
    """What the marks of one chart tell, in their order."""
    drawn = re.findall(r"<svg.*?</svg>", page, re.DOTALL)
    told = [re.findall(r'data-told="([^"]*)"', each) for each in drawn]
    return [html.unescape(each) for each in [each for each in told if each][chart]]


def test_the_position_at_both_extremes_is_that_of_the_deciding_reading(as_role, bearing):
    visit(bearing, 2024, 3.0, 22.0)
    response = as_role("engineer").get(f"/elements/{bearing.pk}/")
    verdict = Verdict.objects.get()
    told = {each.when: each for each in response.context["places"]}
    for when, value, use in (
        ("as measured", verdict.value, verdict.use_now),
        ("carried to the coldest", verdict.carried_to_min, verdict.use_at_min),
        ("carried to the hottest", verdict.carried_to_max, verdict.use_at_max),
    ):
        assert told[when].position.replace("−", "-").startswith(f"{value:.1f}")
        assert told[when].use == use
    # 90 mm each way: what is clear and where it stands make up the whole room
    clear_mm = float(told["carried to the coldest"].clear.split("\u202f")[0])
    assert clear_mm + abs(verdict.carried_to_min) == pytest.approx(90.0, abs=0.11)


def test_a_place_past_its_limit_says_by_how_much(as_role, bearing):
    visit(bearing, 2024, -100.0, 22.0)
    response = as_role("engineer").get(f"/elements/{bearing.pk}/")
    assert response.context["places"][0].clear == "10.0\u202fmm past"


def test_every_mark_tells_the_figures_of_the_table_beneath(as_role, bearing):
    for each in VISITS:
        visit(bearing, *each)
    page = page_of(as_role("engineer"), bearing)
    told = spots(page)
    assert len(told) == len(VISITS)
    rows = re.search(r'class="figures-of".*?</details>', page, re.DOTALL).group()
    for line, (year, offset_mm, temperature_c) in zip(told, VISITS, strict=True):
        date, temperature, value = re.match(r"(\S+), (.*?): (.*?);", line).groups()
        assert date == f"{year}-06-01"
        assert value.replace("−", "-") == f"{offset_mm:.1f}\u202fmm"
        assert temperature.replace("−", "-") == f"{temperature_c:.1f}\u202f°C"
        expected, residual = re.search(r"expected (.*?), off by (.*?);", line).groups()
        for figure in (date, temperature, value, expected, residual):
            assert figure in rows


def test_an_earlier_device_is_shown_apart_and_never_joined(as_role, bearing):
    for each in VISITS[:2]:
        visit(bearing, *each)
    bearing.refresh_from_db()
    reset_installation(element=bearing, reset_on=dt.date(2022, 9, 1), setting=SET_AT_20_C)
    for each in VISITS[2:]:
        visit(bearing, *each)
    response = as_role("engineer").get(f"/elements/{bearing.pk}/")
    [channel] = response.context["history"].channels
    assert [each.date[:4] for each in channel.earlier] == ["2021", "2022"]
    assert [each.date[:4] for each in channel.readings] == ["2023", "2024"]
    page = response.content.decode()
    assert [line[:4] for line in spots(page, 0)] == ["2023", "2024"]
    assert [line[:4] for line in spots(page, 1)] == ["2021", "2022", "2023", "2024"]
    assert page.count('class="d-earlier"') == 2
    assert f"{EndReason.RESET.label.split()[0].lower()} 2022-09-01" in page


def test_one_reading_after_a_reset_still_shows_what_stood_there_before(as_role, bearing):
    for each in VISITS[:2]:
        visit(bearing, *each)
    bearing.refresh_from_db()
    reset_installation(element=bearing, reset_on=dt.date(2022, 9, 1), setting=SET_AT_20_C)
    visit(bearing, *VISITS[2])
    page = page_of(as_role("engineer"), bearing)
    assert page.count('class="d-earlier"') == 2
    assert "reset 2022-09-01" in page


def test_the_table_holds_the_value_that_the_chart_over_the_years_plots(as_role, bearing):
    for each in VISITS:
        visit(bearing, *each)
    page = page_of(as_role("engineer"), bearing)
    rows = re.search(r'class="figures-of".*?</details>', page, re.DOTALL).group()
    named = re.search(r"carried to ([^<,]*?\u202f°C)", page).group(1)
    assert f"Carried to {named}</th>" in rows
    carried = [re.search(r"; carried (.*?);", line).group(1) for line in spots(page, 1)]
    assert len(carried) == len(VISITS)
    for value in carried:
        assert value.endswith("\u202fmm")
        assert f"{value}</td>" in rows


def test_a_visit_after_an_event_stands_in_a_square_and_is_named(as_role, bearing):
    flood = Event.objects.create(
        kind="flood",
        name="Flood of May",
        within_days=7,
        occurred_at=dt.datetime(2023, 5, 20, tzinfo=UTC),
    )
    for each in VISITS:
        inspection = visit(bearing, *each)
        if each[0] == 2023:
            type(inspection).objects.filter(pk=inspection.pk).update(event=flood)
    page = page_of(as_role("engineer"), bearing)
    assert page.count('class="d-after-event"') == 2
    for chart in (0, 1):
        named = [line[:4] for line in spots(page, chart) if "after the event Flood of May" in line]
        assert named == ["2023"]
    rows = re.search(r'class="figures-of".*?</details>', page, re.DOTALL).group()
    assert rows.count("after the event Flood of May") == 1
    assert "In a square: read on a visit after an event" in page


def test_before_its_first_reading_a_device_is_told_apart_from_the_one_before(as_role, bearing):
    for each in VISITS[:3]:
        visit(bearing, *each)
    bearing.refresh_from_db()
    reset_installation(element=bearing, reset_on=dt.date(2024, 9, 1), setting=SET_AT_20_C)
    response = as_role("engineer").get(f"/elements/{bearing.pk}/")
    page = response.content.decode()
    assert "The present device has no reading yet." in page
    assert 'until <span class="nowrap">2024-09-01' in page
    assert [line[:4] for line in spots(page)] == ["2021", "2022", "2023"]
    assert 'href="#charts-head"' in page


def test_days_are_those_of_the_bridge(as_role):
    unit = make_unit(make_bridge("B-9", time_zone="America/Denver"))
    bearing = make_element(unit, installation=SET_AT_20_C, design=DESIGN)
    inspection = make_inspection(unit.bridge, dt.date(2023, 6, 1))
    read(inspection, bearing, "offset_along", 3.0, 22.0, hour=23)
    inspection.readings.update(taken_at=dt.datetime(2023, 6, 2, 4, 30, tzinfo=UTC))
    judge_bridges([unit.bridge_id])
    [line] = spots(page_of(as_role("engineer"), bearing))
    assert line.startswith("2023-06-01")


def test_its_flags_stand_first_with_the_last_decision(as_role, bearing):
    visit(bearing, 2024, 30.0, -15.0)
    flag = Flag.objects.get(cause="position")
    decide(
        flag=flag,
        kind="accept",
        reason="Known since the widening",
        user=make_user("engineer"),
        until=dt.date(2090, 1, 1),
    )
    page = words(as_role("manager").get(f"/elements/{bearing.pk}/"))
    assert "Known since the widening" in page
    assert page.index("Known since the widening") < page.index("Position now and at both extremes")


def test_photos_conditions_notes_and_critical_findings_stand_in_the_order_of_time(as_role, bearing):
    for year, caption in ((2024, "later"), (2022, "before")):
        inspection = make_inspection(bearing.bridge, dt.date(year, 6, 1))
        at = dt.datetime(year, 6, 1, 9, tzinfo=UTC)
        Photo.objects.create(
            inspection=inspection, element=bearing, caption=f"Photo {caption}", taken_at=at,
            image="photos/a.jpg", thumbnail="thumbnails/a.jpg", width_px=8, height_px=6,
            sent_sha256="0" * 64,
        )  # fmt: skip
        Condition.objects.create(
            inspection=inspection, element=bearing, defect=1000, cs2=1, total=1,
            remark=f"Rust {caption}",
        )  # fmt: skip
        FieldNote.objects.create(inspection=inspection, element=bearing, text=f"Note {caption}")
        CriticalFinding.objects.create(
            inspection=inspection, element=bearing, what=f"Rod {caption}", found_at=at
        )
    page = words(as_role("inspector").get(f"/elements/{bearing.pk}/"))
    for what in ("Rust", "Note", "Rod"):
        assert page.index(f"{what} before") < page.index(f"{what} later")
    content = page_of(as_role("engineer"), bearing)
    assert content.index("Photo before") < content.index("Photo later")


def test_an_element_without_a_record_says_what_belongs_there(as_role, bearing):
    assert "What crews photograph" in words(as_role("engineer").get(f"/elements/{bearing.pk}/"))


def test_the_page_asks_as_often_for_fourteen_visits_as_for_six(
    as_role, bearing, django_assert_max_num_queries
):
    client = as_role("engineer")
    for year in range(2011, 2017):
        visit(bearing, year, 30.0, -15.0)
    with django_assert_max_num_queries(40) as few:
        client.get(f"/elements/{bearing.pk}/")
    for year in range(2017, 2025):
        visit(bearing, year, 30.0, -15.0)
    with django_assert_max_num_queries(40) as many:
        client.get(f"/elements/{bearing.pk}/")
    assert len(many) == len(few) <= 30
