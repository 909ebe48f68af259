"""The plan's pages: overview, table, calendar, visit, intervals, route, by role."""

import csv
import datetime as dt
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.models import Due, Inspection, Interval, PlannedVisit
from inspections.services.plan_visits import cancel_visit
from tests.html_form import form_values
from tests.inspections.desk_rows import words
from tests.inspections.plan_rows import DAY, due_bridge, planned, today
from tests.make import make_bridge, make_element, make_unit, make_user

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
    rows = list(csv.DictReader(io.StringIO(response.content.decode())))
    assert [(row["bridge"], row["reason"], row["lead"]) for row in rows] == [
        ("P-1", "routine", "anchor")
    ]
    assert rows[0]["due_on"] == str(today() + 20 * DAY)
    assert rows[0]["planned_on"] == str(today() + 7 * DAY)


def test_a_visit_is_planned_from_what_is_due(as_role, bridge):
    client = as_role("engineer")
    lead = make_user("inspector", username="anchor")
    page = client.get("/plan/visits/new/?bridge=P-1")
    assert "Routine inspection every 24 months" in words(page)
    values = form_values(page, "visit")
    assert values["kind"] == "routine"
    values |= {"planned_on": str(today() + 3 * DAY), "lead": lead.pk}
    response = client.post("/plan/visits/new/?bridge=P-1", values, follow=True)
    assert "Planned for" in words(response)
    visit = PlannedVisit.objects.get()
    assert (visit.lead, visit.created_by) == (lead, page.wsgi_request.user)


def test_a_lead_who_is_elsewhere_that_day_is_told_of_before_it_is_planned(as_role, bridge):
    client = as_role("engineer")
    lead = make_user("inspector", username="anchor")
    planned(due_bridge("P-2", 5), 3, lead=lead)
    values = form_values(client.get("/plan/visits/new/?bridge=P-1"), "visit")
    values |= {"planned_on": str(today() + 3 * DAY), "lead": lead.pk, "note": "kept"}
    response = client.post("/plan/visits/new/?bridge=P-1", values)
    assert "anchor has another visit that day, at P-2" in words(response)
    assert form_values(response, "visit")["note"] == "kept"
    assert PlannedVisit.objects.count() == 1
    client.post("/plan/visits/new/?bridge=P-1", values | {"all_the_same": "on"})
    assert PlannedVisit.objects.filter(bridge=bridge, lead=lead).exists()


def test_what_the_service_refuses_lands_at_its_field(as_role, bridge):
    client = as_role("engineer")
    values = form_values(client.get("/plan/visits/new/?bridge=P-1"), "visit")
    values["planned_on"] = str(today() - DAY)
    response = client.post("/plan/visits/new/?bridge=P-1", values)
    assert "has passed" in response.context["form"].errors["planned_on"][0]


def test_a_bridge_without_elements_is_not_planned_to(as_role):
    make_bridge("STOCK")
    assert "no bridge with elements" in words(
        as_role("engineer").get("/plan/visits/new/?bridge=STOCK")
    )


def test_an_inspector_opens_a_planned_visit(as_role, bridge):
    visit = planned(bridge, 0, note="J1 first")
    client = as_role("inspector")
    values = form_values(client.get(f"/plan/visits/{visit.pk}/"), "open")
    response = client.post(f"/plan/visits/{visit.pk}/open/", values, follow=True)
    inspection = Inspection.objects.get(planned_as=visit)
    assert response.redirect_chain == [(f"/inspections/{inspection.pk}/", 302)]
    assert inspection.remarks == "J1 first"
    assert "Inspection of" in words(client.get(f"/plan/visits/{visit.pk}/"))


def test_a_visit_is_not_opened_days_ahead(as_role, bridge):
    visit = planned(bridge, 9)
    client = as_role("inspector")
    values = form_values(client.get(f"/plan/visits/{visit.pk}/"), "open")
    response = client.post(
        f"/plan/visits/{visit.pk}/open/", values | {"date": str(visit.planned_on)}
    )
    assert response.status_code == 409
    assert "more than a day in the future" in str(response.context["form"].errors)


def test_a_visit_is_changed_and_cancelled(as_role, bridge):
    visit = planned(bridge)
    client = as_role("engineer")
    values = form_values(client.get(f"/plan/visits/{visit.pk}/change/"), "visit")
    assert values["planned_on"] == str(visit.planned_on)
    client.post(f"/plan/visits/{visit.pk}/change/", values | {"kind": "in_depth"})
    visit.refresh_from_db()
    assert visit.kind == "in_depth"
    client.post(f"/plan/visits/{visit.pk}/cancel/")
    again = client.post(f"/plan/visits/{visit.pk}/cancel/")
    assert again.status_code == 409
    assert "was cancelled" in again.content.decode()


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


def test_an_interval_is_set_and_ended_on_its_page(as_role, bridge):
    client = as_role("engineer")
    path = "/bridges/P-1/intervals/"
    bad = client.post(path, {"kind": "routine", "months": "0", "reason": "Drifts"})
    assert "below 1" in words(bad)
    values = {"kind": "routine", "months": "6", "reason": "Drifts", "element": ""}
    assert "routine every 6 months Drifts" in words(client.post(path, values, follow=True))
    interval = Interval.objects.get()
    refused = client.post(f"{path}{interval.pk}/end/", {"reason": ""})
    assert "Say why" in words(refused)
    page = client.post(f"{path}{interval.pk}/end/", {"reason": "Mended"}, follow=True)
    assert "Ended: Mended" in words(page)
    assert not Interval.objects.exists()


def test_a_days_bridges_come_in_the_order_of_the_least_way(as_role):
    lead = make_user("inspector", username="anchor")
    for code, lon in (("A", 8.0), ("C", 8.4), ("B", 8.2)):
        planned(due_bridge(code, 9, latitude_deg=47.0, longitude_deg=lon), 3, lead=lead)
    planned(due_bridge("NOWHERE", 9), 3, lead=lead)
    client = as_role("engineer")
    page = client.get(f"/plan/route/?day={today() + 3 * DAY}&who=anchor&start=47.0, 7.9")
    assert [stop.bridge.code for stop in page.context["stops"]] == ["A", "B", "C"]
    said = words(page)
    # Half a degree along the parallel of 47 degrees: 0.5 x 111.195 km x cos 47.
    assert "37.9 km in straight lines" in said
    assert [each.code for each in page.context["without_place"]] == ["NOWHERE"]
    named = client.get("/plan/route/?codes=C, A&start=B")
    assert {stop.bridge.code for stop in named.context["stops"]} == {"A", "C"}


@pytest.mark.parametrize(
    ("query", "message"),
    [
        ("codes=NONE", "No bridge has the code «NONE»"),
        ("codes=P-1&start=here", "neither a bridge nor a latitude"),
        ("codes=P-1&start=95, 8", "neither a bridge nor a latitude"),
        ("codes=P-1&start=P-1", "has no coordinates"),
        ("who=anchor", "Give the day"),
        ("codes=", "Name bridges here"),
    ],
)
def test_a_route_that_cannot_be_made_says_what_is_missing(as_role, bridge, query, message):
    make_user("inspector", username="anchor")
    assert message in words(as_role("manager").get(f"/plan/route/?{query}"))


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
