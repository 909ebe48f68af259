"""The plan's pages: overview, table and calendar, by role."""

import csv
import datetime as dt
import io
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.models import Due, Interval
from inspections.services.plan_visits import cancel_visit
from inspections.services.visits import submit
from tests.inspections.desk_rows import words
from tests.inspections.plan_rows import DAY, due_bridge, planned, today
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db
READ = ("inspector", "engineer", "manager")


@pytest.fixture
def bridge():
    return due_bridge("P-1", 20)


@pytest.mark.parametrize(
    "address",
    [
        "/plan/",
        "/plan/due.csv",
        "/plan/not-enough/",
        "/plan/calendar/",
        "/plan/subscriptions/",
        "/plan/route/",
        "/plan/visits/{pk}/",
        "/bridges/P-1/intervals/",
    ],
)
@pytest.mark.parametrize("role", [*READ, None])
def test_all_roles_see_the_plan_and_an_outsider_does_not(as_role, bridge, address, role):
    visit = planned(bridge)
    response = as_role(role).get(address.format(pk=visit.pk))
    assert response.status_code == (200 if role else 403)


@pytest.mark.parametrize(
    ("method", "address", "allowed"),
    [
        ("get", "/plan/visits/new/?bridge=P-1", ("engineer",)),
        ("get", "/plan/visits/{pk}/change/", ("engineer",)),
        ("post", "/plan/visits/{pk}/cancel/", ("engineer",)),
        ("post", "/plan/visits/{pk}/open/", ("inspector", "engineer")),
        ("post", "/bridges/P-1/intervals/", ("engineer",)),
        ("post", "/bridges/P-1/intervals/{interval}/end/", ("engineer",)),
    ],
)
@pytest.mark.parametrize("role", [*READ, None])
def test_who_may_plan_and_who_may_open(as_role, bridge, method, address, allowed, role):
    visit = planned(bridge)
    interval = Interval.objects.create(bridge=bridge, kind="routine", months=12, reason="x")
    path = address.format(pk=visit.pk, interval=interval.pk)
    response = getattr(as_role(role), method)(path)
    assert (response.status_code != 403) == (role in allowed)


def test_nobody_sees_the_plan_without_signing_in(client, bridge):
    assert client.get("/plan/").status_code == 302


def test_bridges_stand_in_the_stretch_of_time_of_their_first_day(as_role):
    for code, days in (("LATE", -1), ("TODAY", 0), ("MONTH", 30), ("LATER", 31), ("YEAR", 91)):
        due_bridge(code, days)
    client = as_role("manager")
    shown = client.get("/plan/").context["bridges"]
    assert [(each.bridge.code, each.within.value) for each in shown] == [
        ("LATE", "overdue"),
        ("TODAY", "30"),
        ("MONTH", "30"),
        ("LATER", "90"),
        ("YEAR", "365"),
    ]
    late = words(client.get("/plan/?within=overdue"))
    assert "overdue by 1 day" in late
    assert "TODAY" not in late


def test_a_bridge_never_visited_is_told_so(as_role):
    make_element(make_unit(make_bridge("NEW")))
    page = words(as_role("manager").get("/plan/"))
    assert "2010-01-01 due now Routine inspection every 24 months; never inspected" in page


@pytest.mark.parametrize(
    ("years", "told"), [(7, "due now In-depth"), (1, r"in (4|5) years In-depth")]
)
def test_an_in_depth_inspection_never_made_is_due_once_its_interval_has_passed(
    as_role, years, told
):
    set_on = today() - years * 366 * DAY
    element = make_element(make_unit(make_bridge("P-9")), installation={"installed_on": set_on})
    visit = make_inspection(element.bridge, today() - 10 * DAY)
    read(visit, element, "offset_along", 1.0)
    submit(inspection=visit)
    page = words(as_role("manager").get("/bridges/P-9/intervals/"))
    assert re.search(rf"{told} inspection every 72 months; never inspected in depth", page), page
    # The overview tells it where it is due, and only there.
    overdue = words(as_role("manager").get("/plan/?within=overdue"))
    assert ("never inspected in depth" in overdue) == (years == 7)


def test_the_plan_is_narrowed_by_district_reason_day_and_person(as_role, bridge):
    due_bridge("P-2", 50)
    client = as_role("inspector")
    lead = make_user("inspector", username="anchor")
    planned(bridge, lead=lead)

    def codes(query):
        response = client.get(f"/plan/?{query}")
        return [each.bridge.code for each in response.context["bridges"]]

    assert codes("") == ["P-1", "P-2"]
    assert codes("district=T") == ["P-1", "P-2"]
    assert codes("reason=watch") == []
    assert codes(f"until={today() + 30 * DAY}") == ["P-1"]
    assert codes("who=anchor") == ["P-1"]
    assert codes("who=nobody") == ["P-2"]
    assert codes("who=me") == []
    assert codes("q=p-2") == ["P-2"]


def test_a_users_own_visits_stand_first_and_others_do_not(as_role, bridge):
    client = as_role("inspector")
    me = client.get("/plan/").wsgi_request.user
    planned(bridge, lead=make_user("inspector"), note="not mine")
    planned(bridge, 11, crew=[me], note="bring the long tape")
    gone = planned(bridge, 12, lead=me, note="called off")
    cancel_visit(visit=gone)
    own = client.get("/plan/").context["own"]
    assert [each.note for each in own] == ["bring the long tape"]


def test_the_table_holds_a_row_for_each_thing_due_with_the_next_visit(as_role, bridge):
    planned(bridge, 7, lead=make_user("inspector", username="anchor"))
    response = as_role("manager").get("/plan/due.csv?reason=routine")
    rows = list(csv.DictReader(io.StringIO(response.getvalue().decode())))
    assert [(row["bridge"], row["reason"], row["lead"]) for row in rows] == [
        ("P-1", "routine", "anchor")
    ]
    assert rows[0]["due_on"] == str(today() + 20 * DAY)
    assert rows[0]["planned_on"] == str(today() + 7 * DAY)


def test_the_calendar_is_a_table_of_weeks_with_visits_and_due_days(as_role, bridge):
    visit = planned(bridge)
    client = as_role("manager")
    page = client.get(f"/plan/calendar/?month={visit.planned_on:%Y-%m}")
    day = next(
        day
        for _, week in page.context["weeks"]
        for day in week
        if day.date == visit.planned_on and day.inside
    )
    assert day.visits == [visit]
    due_on = Due.objects.get(reason="routine").due_on
    page = client.get(f"/plan/calendar/?month={due_on:%Y-%m}")
    days = {day.date: day for _, week in page.context["weeks"] for day in week}
    assert [row.bridge for row in days[due_on].due] == [bridge]


def test_february_of_a_leap_year_has_its_last_day(as_role):
    page = as_role("manager").get("/plan/calendar/?month=2028-02")
    inside = [day.date for _, week in page.context["weeks"] for day in week if day.inside]
    assert inside[-1] == dt.date(2028, 2, 29)
    assert (page.context["before"], page.context["after"]) == (
        dt.date(2028, 1, 1),
        dt.date(2028, 3, 1),
    )


@pytest.mark.parametrize("month", ["2026-13", "soon", "0001-01", "9999-12", "2026-11-01"])
def test_what_is_no_month_is_told_so(as_role, month):
    page = as_role("manager").get("/plan/calendar/", {"month": month})
    assert "is no month" in words(page)


def test_the_cost_of_a_page_does_not_grow_with_bridges(as_role):
    client = as_role("engineer")
    user = client.get("/plan/").wsgi_request.user
    first = today() + 3 * DAY
    addresses = [
        "/plan/",
        "/plan/due.csv",
        f"/plan/calendar/?month={first:%Y-%m}",
        f"/plan/route/?day={first}",
        "/plan/not-enough/",
    ]

    def costs():
        found = []
        for address in addresses:
            client.get(address)
            with CaptureQueriesContext(connection) as captured:
                assert client.get(address).status_code == 200
            found.append(len(captured))
        return found

    def bridge(number):
        fields = {"latitude_deg": 47.0, "longitude_deg": 8 + number / 100}
        planned(due_bridge(f"Q-{number:02}", 9, **fields), 3, lead=user, crew=[user])

    bridge(0)
    one = costs()
    for number in range(1, 30):
        bridge(number)
    for number in range(30, 50):
        due_bridge(f"Q-{number:02}", 9)
    assert costs() == one
    assert max(one) <= 30
