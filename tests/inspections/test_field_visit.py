"""A visit by web form: opening it, its temperatures, corrections, and its way to acceptance."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.models import Inspection, Reading, TemperatureReading
from inspections.services.events import record_event
from inspections.services.visits import submit
from inventory.models import Bridge
from tests.inspections.field_pages import enter, form_of, page_of, temperatures
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db
DAY = dt.date(2024, 6, 1)


@pytest.fixture
def joint():
    return make_element(make_unit(make_bridge()), "strip_seal", code="J1")


@pytest.fixture
def visit(joint):
    return make_inspection(joint.bridge, DAY)


def test_several_temperatures_are_taken_at_once_and_empty_rows_passed_over(as_role, joint):
    ahead = make_unit(joint.bridge, "U2", start_station_m=100.0, end_station_m=150.0,
                      fixed_station_m=150.0)  # fmt: skip
    visit = make_inspection(joint.bridge, DAY)
    temperatures(
        as_role("inspector"), visit,
        {"value": "68 F"},
        {"value": "", "place": "deck_soffit"},
        {"value": "31", "place": "deck_top", "exposure": "sun", "unit": str(ahead.pk)},
    )  # fmt: skip
    rows = TemperatureReading.objects.order_by("place")
    assert [(row.place, row.sunlit, row.unit) for row in rows] == [
        ("deck_top", True, ahead),
        ("girder_web", False, None),
    ]
    assert [row.temperature_c for row in rows] == pytest.approx([31.0, 20.0])


def test_a_wrong_temperature_is_told_at_its_row_and_the_others_are_kept(as_role, visit):
    page = page_of(
        temperatures(
            as_role("inspector"),
            visit,
            {"value": "20 C"},
            {"value": "200 F", "place": "deck_top"},
        )
    )
    assert "«200 F» is above 90.0 °C" in page
    assert 'value="20 C"' in page
    assert not TemperatureReading.objects.exists()


def test_a_second_temperature_of_the_same_place_and_time_is_told_at_its_row(as_role, visit):
    client = as_role("inspector")
    temperatures(client, visit, {"value": "20 C"})
    page = page_of(temperatures(client, visit, {"value": "25 C"}))
    assert "20 degC is recorded for this place and time" in page
    assert 'value="25 C"' in page


def test_no_temperature_at_all_is_told(as_role, visit):
    assert "No temperature has been entered" in page_of(
        temperatures(as_role("inspector"), visit, {"value": ""})
    )


def test_the_old_value_stays_visible_with_author_time_and_reason(client, visit, joint):
    user = make_user("inspector", username="field-lead")
    client.force_login(user)
    enter(client, visit, joint, **{"gap-left-1": "85"})
    address = reverse("reading-correct", args=[Reading.objects.get().pk])
    page = page_of(client.post(address, {"value": "58", "reason": "digits exchanged"}, follow=True))
    assert "<s>85.0 mm</s>" in page
    assert "<strong>58.0 mm</strong>" in page
    assert f"Corrected by field-lead, {timezone.now():%Y-%m-%d}" in page
    assert "digits exchanged" in page
    page = page_of(client.post(address, {"value": "60", "reason": "again"}))
    assert "Correct the newer one" in page
    assert 'value="60"' in page
    assert Reading.objects.count() == 2


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"value": "58", "reason": ""}, "Say why it is corrected."),
        ({"value": "", "reason": "misread"}, "Give the value that should stand."),
        ({"value": "-5", "reason": "misread"}, "«-5» is below 0.0 mm"),
    ],
)
def test_a_correction_needs_a_value_and_a_reason(as_role, visit, joint, values, told):
    client = as_role("inspector")
    enter(client, visit, joint, **{"gap-left-1": "85"})
    address = reverse("reading-correct", args=[Reading.objects.get().pk])
    assert told in page_of(client.post(address, values))
    assert Reading.objects.count() == 1


def test_a_visit_is_opened_by_form_with_the_bridge_chosen_beforehand(client, joint):
    user = make_user("inspector")
    client.force_login(user)
    address = reverse("inspection-new") + f"?bridge={joint.bridge.code}"
    assert f'<option value="{joint.bridge.pk}" selected>' in page_of(client.get(address))
    values = {"bridge": joint.bridge.pk, "date": "2024-06-01", "kind": "routine",
              "team": "lead and one", "weather": "rain", "remarks": ""}  # fmt: skip
    client.post(address, values)
    visit = Inspection.objects.get()
    assert (visit.bridge, visit.created_by, visit.weather) == (joint.bridge, user, "rain")
    page = page_of(client.post(address, values | {"team": "three others"}))
    assert "An inspection of this kind on this day exists" in page
    assert reverse("inspection", args=[visit.pk]) in page
    assert 'value="three others"' in page
    page = page_of(client.post(address, values | {"date": "2090-01-01"}))
    assert "2090-01-01 lies more than a day in the future" in page


def test_a_bridge_without_elements_is_told_to_have_nothing_to_read(as_role):
    stock = make_bridge("STOCK-1")
    page = page_of(as_role("inspector").get(reverse("inspection-new"), {"bridge": "STOCK-1"}))
    assert "STOCK-1 has no elements in the register" in page
    assert f">{stock}</option>" not in page


def test_the_walk_goes_by_station_then_by_code(as_role, joint):
    for code, station_m in (("B10", 100.0), ("B2", 100.0), ("R1", 0.0)):
        make_element(joint.unit, code=code, station_m=station_m)
    visit = make_inspection(joint.bridge, DAY)
    client = as_role("inspector")
    page = page_of(client.get(reverse("inspection", args=[visit.pk])))
    order = sorted(("R1", "B2", "B10", "J1"), key=lambda code: page.index(f"<h4>{code}"))
    assert order == ["R1", "B2", "B10", "J1"]
    page = page_of(client.get(form_of(visit, joint.bridge.elements.get(code="B10"))))
    assert "Previous: B2" in page
    assert "Next: J1" in page


def test_handing_in_an_empty_visit_shows_the_services_words(as_role, visit):
    answer = as_role("inspector").post(reverse("inspection-submit", args=[visit.pk]))
    assert answer.status_code == 409
    assert "Enter one before handing in" in page_of(answer)
    assert Inspection.objects.get().state == "open"


def test_accepting_twice_shows_the_services_words_and_keeps_the_note(as_role, visit, joint):
    read(visit, joint, "gap", 55.0, point="left", axis="square")
    submit(inspection=visit)
    client = as_role("engineer")
    address = reverse("inspection-accept", args=[visit.pk])
    client.post(address, {"note": "Fine."})
    answer = client.post(address, {"note": "One more thought."})
    assert answer.status_code == 409
    assert "This inspection is accepted" in page_of(answer)
    assert "One more thought." in page_of(answer)
    assert Inspection.objects.get().review_note == "Fine."


def test_returning_without_a_note_asks_for_it_and_with_one_tells_the_team(as_role, visit, joint):
    read(visit, joint, "gap", 55.0, point="left", axis="square")
    submit(inspection=visit)
    client = as_role("engineer")
    address = reverse("inspection-return", args=[visit.pk])
    assert "Say what the team should do." in page_of(client.post(address, {"note": " "}))
    client.post(address, {"note": "Read the right kerb."})
    page = page_of(as_role("inspector").get(reverse("inspection", args=[visit.pk])))
    assert "Returned by" in page
    assert "Read the right kerb." in page


def test_a_form_sent_after_the_visit_was_handed_in_loses_nothing(as_role, visit, joint):
    read(visit, joint, "gap", 55.0, point="left", axis="square")
    submit(inspection=visit)
    client = as_role("inspector")
    page = page_of(enter(client, visit, joint, **{"gap-right-1": "54.5 mm"}))
    assert "nothing can be added" in page
    assert 'value="54.5 mm"' in page
    assert Reading.objects.count() == 1
    page = page_of(temperatures(client, visit, {"value": "21.5 C"}))
    assert "nothing can be added" in page
    assert 'value="21.5 C"' in page


def test_a_visit_in_the_evening_west_of_the_site_is_of_the_day_that_it_is_there(
    as_role, joint, monkeypatch
):
    Bridge.objects.update(time_zone="America/Denver")
    evening = dt.datetime(2024, 6, 2, 1, 20, tzinfo=dt.UTC)  # 19:20 of the day before there
    monkeypatch.setattr(timezone, "now", lambda: evening)
    event = record_event(
        kind="earthquake",
        name="Shake",
        occurred_at=evening - dt.timedelta(hours=3),
        bridges=[joint.bridge],
    )
    client = as_role("engineer")
    for path in (f"/inspections/new/?bridge={joint.bridge.code}", f"/events/{event.pk}/"):
        page = client.get(path)
        assert 'name="date" value="2024-06-01"' in page_of(page), path
