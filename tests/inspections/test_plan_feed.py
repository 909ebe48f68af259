"""The calendar feed, read back as a calendar program would, and held to RFC 5545."""

import datetime as dt

import pytest
from icalendar import Calendar

from inspections.models import CalendarKey
from inspections.services.calendar_keys import end_key, make_key
from inspections.services.plan_visits import cancel_visit, change_visit
from tests.inspections.desk_rows import words
from tests.inspections.plan_rows import DAY, due_bridge, planned, today
from tests.make import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def lead():
    return make_user("inspector", username="anchor", first_name="Ada", last_name="Example")


@pytest.fixture
def bridge():
    return due_bridge("P-1", 20, latitude_deg=47.5, longitude_deg=8.25)


def fetch(client, user, query="", **fields):
    return client.get(f"/plan/{make_key(user=user, **fields)}.ics{query}")


def events(response) -> dict:
    """Return the events of a feed by their summary."""
    assert response.status_code == 200
    return {str(each["SUMMARY"]): each for each in Calendar.from_ical(response.content).events}


def test_a_visit_is_an_event_of_the_whole_day(client, lead, bridge):
    visit = planned(bridge, lead=lead, note="Bring the tape; it is long, and heavy")
    event = events(fetch(client, lead))["P-1: routine inspection"]
    assert event.decoded("DTSTART") == visit.planned_on
    assert event.decoded("DTEND") == visit.planned_on + DAY
    assert event["DTSTART"].params["VALUE"] == "DATE"
    assert event["STATUS"] == "CONFIRMED"
    assert event["URL"] == f"http://testserver/plan/visits/{visit.pk}/"
    assert event["GEO"].to_ical() == "47.5;8.25"
    assert "Bring the tape; it is long, and heavy" in event["DESCRIPTION"]


def test_names_of_people_are_not_told_beyond_their_accounts(client, lead, bridge):
    planned(bridge, lead=lead, crew=[make_user("inspector", username="second", last_name="Pond")])
    text = fetch(client, lead).content.decode()
    assert "anchor" in text
    assert "second" in text
    for name in ("Ada", "Example", "Pond"):
        assert name not in text


def test_a_change_and_a_cancellation_keep_the_uid_and_raise_the_sequence(client, lead, bridge):
    visit = planned(bridge, lead=lead)
    key = make_key(user=lead)

    def event():
        return next(iter(Calendar.from_ical(client.get(f"/plan/{key}.ics").content).events))

    first = event()
    change_visit(visit=visit, kind="in_depth", planned_on=visit.planned_on + DAY, lead=lead)
    second = event()
    cancel_visit(visit=visit)
    third = event()
    assert first["UID"] == second["UID"] == third["UID"]
    assert [each["SEQUENCE"] for each in (first, second, third)] == [0, 1, 2]
    assert second.decoded("DTSTART") == visit.planned_on + DAY
    assert third["STATUS"] == "CANCELLED"
    changed = [each.decoded("LAST-MODIFIED") for each in (first, second, third)]
    assert changed == sorted(changed)


def test_two_visits_never_share_a_uid(client, lead, bridge):
    planned(bridge, lead=lead)
    planned(bridge, 12, lead=lead)
    found = Calendar.from_ical(fetch(client, lead).content).events
    assert len({str(each["UID"]) for each in found}) == 2


def test_a_key_of_ones_own_holds_the_visits_that_one_leads_or_joins(client, lead, bridge):
    planned(bridge, 5, lead=lead)
    planned(bridge, 6, crew=[lead], kind="in_depth")
    planned(bridge, 7, kind="follow_up")
    own = {"P-1: routine inspection", "P-1: in-depth inspection"}
    assert set(events(fetch(client, lead))) == own
    everything = events(fetch(client, lead, only_own=False))
    assert set(everything) == own | {"P-1: follow-up inspection"}


def test_what_is_due_comes_along_where_it_is_asked_for(client, lead, bridge):
    found = events(fetch(client, lead, "?due=1"))
    event = found["Due: P-1, routine interval"]
    assert event.decoded("DTSTART") == today() + 20 * DAY
    assert event["URL"] == "http://testserver/bridges/P-1/intervals/"
    assert events(fetch(client, lead)) == {}


def test_lines_end_with_crlf_and_fold_at_75_octets(client, lead, bridge):
    planned(bridge, lead=lead, note="Größe der Fuge 25 °C – " * 10)
    content = fetch(client, lead, "?due=1").content
    # RFC 5545, 3.1: lines end with CRLF, and are no longer than 75 octets without it.
    lines = content.split(b"\r\n")
    assert lines[0] == b"BEGIN:VCALENDAR"
    assert lines[-2:] == [b"END:VCALENDAR", b""]
    assert b"\n" not in b"".join(lines)
    assert b"\r" not in b"".join(lines)
    assert max(map(len, lines)) <= 75
    # A character is never cut in two.
    for line in lines:
        line.decode()
    # 3.6: one of each, and what every event must have.
    text = content.decode().replace("\r\n ", "")
    for once in ("VERSION:2.0", "PRODID:", "CALSCALE:GREGORIAN"):
        assert text.count(f"\r\n{once}") == 1
    for body in text.split("BEGIN:VEVENT\r\n")[1:]:
        names = [line.partition(":")[0].partition(";")[0] for line in body.split("\r\n")]
        for needed in ("UID", "DTSTAMP", "DTSTART"):
            assert names.count(needed) == 1


def test_it_is_served_as_a_calendar_that_nobody_keeps(client, lead):
    response = fetch(client, lead)
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    assert "no-store" in response["Cache-Control"]


def test_a_wrong_an_ended_and_a_lost_key_find_nothing(client, lead):
    assert client.get("/plan/guess.ics").status_code == 404
    key = make_key(user=lead)
    address = f"/plan/{key}.ics"
    assert client.get(address).status_code == 200
    # The hash that is kept opens nothing.
    assert client.get(f"/plan/{CalendarKey.objects.get().digest}.ics").status_code == 404
    end_key(key=CalendarKey.objects.get())
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("loses", ["account", "role"])
def test_a_key_ends_with_its_users_account_and_role(client, lead, loses):
    key = make_key(user=lead)
    if loses == "account":
        lead.is_active = False
        lead.save()
    else:
        lead.held_roles.all().delete()
    assert client.get(f"/plan/{key}.ics").status_code == 404


def test_old_visits_leave_the_feed_after_a_season(client, lead, bridge):
    visit = planned(bridge, lead=lead)
    for days, kept in ((89, True), (91, False)):
        type(visit).objects.filter(pk=visit.pk).update(planned_on=today() - days * DAY)
        assert bool(events(fetch(client, lead))) is kept


def test_the_address_is_shown_once_and_can_be_ended(as_role):
    client = as_role("inspector")
    page = client.post("/plan/subscriptions/", {"only_own": "on"})
    address = page.context["address"]
    assert address.startswith("http://testserver/plan/")
    assert page["Cache-Control"] == "no-store"
    key = address.removeprefix("http://testserver/plan/").removesuffix(".ics")
    again = client.get("/plan/subscriptions/")
    assert key not in again.content.decode()
    row = CalendarKey.objects.get()
    assert row.only_own
    assert f"{row.created_at:%Y-%m-%d}" in words(again)
    client.post(f"/plan/subscriptions/{row.pk}/end/")
    assert client.get(address).status_code == 404


def test_nobody_ends_the_address_of_another(as_role, lead):
    make_key(user=lead)
    row = CalendarKey.objects.get()
    assert as_role("engineer").post(f"/plan/subscriptions/{row.pk}/end/").status_code == 404
    row.refresh_from_db()
    assert row.ended_at is None


def test_the_feed_costs_the_same_with_many_visits(
    client, lead, bridge, django_assert_max_num_queries
):
    key = make_key(user=lead)
    for number in range(40):
        planned(bridge, 5 + number, lead=lead, crew=[make_user("inspector")])
    with django_assert_max_num_queries(12):
        found = client.get(f"/plan/{key}.ics")
    assert len(Calendar.from_ical(found.content).events) == 40
    assert isinstance(Calendar.from_ical(found.content).events[0].decoded("DTSTAMP"), dt.datetime)
