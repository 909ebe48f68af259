"""A visit planned, changed and opened on its pages; intervals; the order of a day."""

import pytest
from django.utils import timezone

from inspections.models import Event, EventBridge, Inspection, Interval, PlannedVisit
from tests.html_form import form_values
from tests.inspections.desk_rows import words
from tests.inspections.plan_rows import DAY, due_bridge, planned, today
from tests.make import make_bridge, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def bridge():
    return due_bridge("P-1", 20)


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


def test_a_visit_after_an_event_is_begun_from_the_event(as_role, bridge):
    event = Event.objects.create(
        kind="flood", name="Flood", occurred_at=timezone.now(), within_days=7
    )
    EventBridge.objects.create(event=event, bridge=bridge)
    client = as_role("engineer")
    address = f"/plan/visits/new/?bridge=P-1&event={event.pk}"
    values = form_values(client.get(address), "visit")
    assert (values["kind"], values["event"]) == ("event", str(event.pk))
    client.post(address, values | {"planned_on": str(today())})
    assert PlannedVisit.objects.get().event == event


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_a_day_at_the_end_of_the_calendar_is_refused_like_any_other(as_role, bridge, day):
    visit = planned(bridge, 10)
    sent = {"planned_on": day, "kind": "routine"}
    response = as_role("engineer").post(f"/plan/visits/{visit.pk}/change/", sent)
    assert "planned_on" in response.context["form"].errors
    visit.refresh_from_db()
    assert visit.planned_on.isoformat() != day


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


def test_an_opened_visit_is_on_the_tablets_of_those_who_go_and_on_no_other(client, bridge):
    lead, second, other = (make_user("inspector") for _ in range(3))
    visit = planned(bridge, 0, lead=lead, crew=[second])
    client.force_login(lead)
    values = form_values(client.get(f"/plan/visits/{visit.pk}/"), "open")
    client.post(f"/plan/visits/{visit.pk}/open/", values)
    seen = {}
    for user in (lead, second, other):
        client.force_login(user)
        found = client.get("/field/inspections.json").json()
        seen[user] = "P-1" in str(found)
    assert seen == {lead: True, second: True, other: False}


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
    ticked = client.get("/plan/route/?bridge=C&bridge=B&start=A")
    assert [stop.bridge.code for stop in ticked.context["stops"]] == ["B", "C"]


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
