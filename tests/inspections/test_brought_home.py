"""What a crew brought home stands on the inspection's page, and is decided there."""

import datetime as dt

import pytest
from django.utils import timezone

from inspections.models import CriticalFinding, Reading, SetAside
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db


@pytest.fixture
def inspection():
    """An open inspection of today with one bearing."""
    unit = make_unit(make_bridge())
    make_element(unit, "pot", code="B1")
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def bearing(inspection):
    """Its bearing."""
    return inspection.bridge.elements.get()


def page(client, user, inspection) -> str:
    """Return the inspection's page as a user sees it."""
    client.force_login(user)
    return client.get(f"/inspections/{inspection.pk}/").content.decode()


def test_everything_a_tablet_sent_is_on_the_page(client, inspection, bearing):
    tablet = Tablet(make_user("inspector"))
    states = {"cs1": 0, "cs2": 0, "cs3": 1, "cs4": 0, "total": 1}
    tablet.send(
        *(
            tablet.record(inspection, kind, payload)
            for kind, payload in (
                (
                    "condition",
                    {"element": bearing.pk, "defect": 2220, "remark": "Lifted", **states},
                ),
                ("note", {"element": None, "text": "Ice on the bench"}),
                ("left_out", {"element": bearing.pk, "reason": "unsafe", "remark": "Loose rock"}),
            )
        )
    )

    text = page(client, make_user("manager"), inspection)

    for wanted in ("2220 Alignment", "Lifted", "Ice on the bench", "not safe to approach",
                   "Loose rock"):  # fmt: skip
        assert wanted in text


def test_two_values_of_one_point_are_both_shown_and_one_is_set_aside(client, inspection, bearing):
    one, other = Tablet(make_user("inspector")), Tablet(make_user("inspector"))
    one.send(one.reading(inspection, bearing, 12.0))
    other.send(other.reading(inspection, bearing, 40.0))
    lead = make_user("inspector")

    text = page(client, lead, inspection)
    assert "Two tablets disagree" in text
    assert "12.0 mm" in text
    assert "40.0 mm" in text

    wrong = Reading.objects.get(value=40.0)
    answer = client.post(
        f"/readings/{wrong.pk}/set-aside/", {"reason": "Wrong bearing"}, follow=True
    ).content.decode()
    assert "Two tablets disagree" not in answer
    assert "set aside: Wrong bearing" in answer
    assert Reading.objects.filter(pk=wrong.pk).exists()


def test_setting_aside_without_a_reason_changes_nothing(client, inspection, bearing):
    tablet = Tablet(make_user("inspector"))
    tablet.send(tablet.reading(inspection, bearing, 12.0))
    client.force_login(make_user("inspector"))

    for reason, said in ((" ", "Say why it is set aside"), ("Wrong\0", "Null characters")):
        answer = client.post(
            f"/readings/{Reading.objects.get().pk}/set-aside/", {"reason": reason}, follow=True
        )
        assert said in answer.content.decode()
    assert not SetAside.objects.exists()


def test_an_engineer_notes_that_a_critical_finding_was_seen_and_the_first_one_stays(
    client, inspection, bearing
):
    tablet = Tablet(make_user("inspector"))
    finding = {"element": bearing.pk, "what": "Plate sheared", "found_at": tablet.now.isoformat()}
    tablet.send(tablet.record(inspection, "critical", finding))
    row = CriticalFinding.objects.get()
    first, second = make_user("engineer"), make_user("engineer")

    assert "Plate sheared" in page(client, first, inspection)
    assert "No engineer has seen it yet" in client.get("/").content.decode()
    client.post(f"/critical-findings/{row.pk}/seen/")
    client.force_login(second)
    client.post(f"/critical-findings/{row.pk}/seen/")

    row.refresh_from_db()
    assert row.seen_by == first
    assert "No engineer has seen it yet" not in client.get("/").content.decode()


@pytest.mark.parametrize("role", ["inspector", "manager"])
def test_only_an_engineer_says_that_it_was_seen(role, client, inspection):
    tablet = Tablet(make_user("inspector"))
    finding = {"element": None, "what": "Crack", "found_at": tablet.now.isoformat()}
    tablet.send(tablet.record(inspection, "critical", finding))
    client.force_login(make_user(role))

    assert (
        client.post(f"/critical-findings/{CriticalFinding.objects.get().pk}/seen/").status_code
        == 403
    )


def test_a_wrong_clock_is_told(client, inspection, bearing):
    tablet = Tablet(make_user("inspector"), clock_slow=dt.timedelta(hours=2))
    tablet.send(tablet.reading(inspection, bearing, 12.0))

    assert "behind the server" in page(client, make_user("engineer"), inspection)


def test_an_inspection_is_opened_with_its_lead_and_crew(client, inspection):
    lead, mate = make_user("inspector"), make_user("inspector")
    client.force_login(make_user("engineer"))

    client.post(
        "/inspections/new/",
        {
            "bridge": inspection.bridge.pk,
            "date": timezone.now().date().isoformat(),
            "kind": "event",
            "team": "two",
            "lead": lead.pk,
            "crew": [mate.pk],
            "weather": "clear",
            "remarks": "",
        },
    )

    opened = inspection.bridge.inspections.get(kind="event")
    assert opened.lead == lead
    assert list(opened.crew.all()) == [mate]


def test_every_time_on_the_page_is_that_of_the_bridge(client, inspection, bearing):
    bridge = inspection.bridge
    bridge.time_zone = "Pacific/Kiritimati"
    bridge.save()
    found = dt.datetime(2024, 6, 9, 20, 30, tzinfo=dt.UTC)
    CriticalFinding.objects.create(
        inspection=inspection, element=bearing, what="It has dropped.", found_at=found
    )
    assert "Found 2024-06-10 10:30" in page(client, make_user("manager"), inspection)
