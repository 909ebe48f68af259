"""A mistyped temperature is corrected as a reading is: the old one stays, the new one counts."""

import csv
import io

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inspections.exchange.readings_csv import import_readings
from inspections.exchange.readings_csv_export import write_readings
from inspections.models import TemperatureReading, Verdict
from inspections.services.readings import NewTemperature, correct_temperature, record
from inspections.services.visits import submit
from tests.inspections.field_pages import page_of
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    """A visit whose girder was written down 10 K too warm, so the joint seems 11.7 mm too wide."""
    joint = make_element(
        make_unit(make_bridge()),
        "strip_seal",
        installation={
            "setting_source": "measured",
            "setting_temperature_c": 20.0,
            "setting_gap_mm": 50.0,
        },
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )
    visit = make_inspection(joint.bridge)
    read(visit, joint, "gap", 60.0, 22.0, point="left", axis="square")
    return visit


def corrected(visit, value=12.0, sunlit=False):
    return correct_temperature(
        temperature=TemperatureReading.objects.latest("pk"),
        temperature_c=value,
        sunlit=sunlit,
        typed=f"{value} C",
        reason="misread",
        user=make_user("engineer"),
    )


def test_the_corrected_temperature_is_the_one_that_readings_are_judged_at(visit):
    assert Verdict.objects.get().temperature_c == 22.0
    new = corrected(visit)
    assert Verdict.objects.get().temperature_c == 12.0
    old = TemperatureReading.objects.get(temperature_c=22.0)
    assert (old.corrected_by, new.remark, new.taken_at) == (new, "misread", old.taken_at)


def test_one_that_was_in_the_sun_after_all_no_longer_counts_as_a_shaded_surface(visit):
    corrected(visit, 22.0, sunlit=True)
    assert Verdict.objects.get().temperature_c is None


def test_it_needs_a_reason_and_only_the_newest_can_be_corrected(visit):
    first = TemperatureReading.objects.get()
    corrected(visit)
    for row, reason, message in (
        (first, "again", "Correct the newer one"),
        (first.corrected_by, " ", "Say why"),
    ):
        with pytest.raises(ValidationError, match=message):
            correct_temperature(
                temperature=row,
                temperature_c=1.0,
                sunlit=False,
                typed="1",
                reason=reason,
                user=make_user("engineer"),
            )


def test_the_old_row_sent_again_adds_nothing_and_another_value_is_refused(visit):
    corrected(visit)
    old = TemperatureReading.objects.earliest("pk")
    again = NewTemperature("girder_web", 22.0, "22", old.taken_at)
    assert record(inspection=visit, readings=[], temperatures=[again]).already_there == 1
    assert TemperatureReading.objects.count() == 2


def test_the_file_of_readings_carries_the_one_that_stands(visit):
    corrected(visit)
    stream = io.StringIO()
    write_readings(stream, [visit.bridge])
    rows = csv.DictReader(io.StringIO(stream.getvalue()))
    cells = [
        cell
        for row in rows
        for name, cell in row.items()
        if name not in ("bridge_code", "element_code")
    ]
    assert "12" in cells
    assert not any("22" in cell.replace("2022", "") for cell in cells)
    assert import_readings(stream.getvalue().encode()).added == 0


def test_an_inspector_corrects_on_the_page_and_the_old_value_stays_in_sight(visit, as_role):
    address = reverse("temperature-correct", args=[TemperatureReading.objects.get().pk])
    client = as_role("inspector")
    assert address in page_of(client.get(reverse("inspection", args=[visit.pk])))
    answer = client.post(
        address, {"value": "54 F", "exposure": "shade", "reason": "digits exchanged"}, follow=True
    )
    page = page_of(answer)
    assert "<s>22.0 °C</s>" in page
    assert "12.2 °C" in page
    assert "digits exchanged" in page


def test_a_refused_correction_keeps_what_was_typed(visit, as_role):
    address = reverse("temperature-correct", args=[TemperatureReading.objects.get().pk])
    page = page_of(
        as_role("engineer").post(address, {"value": "300 F", "exposure": "sun", "reason": "slip"})
    )
    assert "above" in page
    assert 'value="300 F"' in page
    assert 'value="slip"' in page
    assert TemperatureReading.objects.count() == 1


@pytest.mark.parametrize(
    ("role", "state", "status"),
    [
        ("inspector", "open", 200),
        ("inspector", "submitted", 403),
        ("engineer", "submitted", 200),
        ("manager", "open", 403),
        (None, "open", 403),
    ],
)
def test_who_may_correct_a_temperature(visit, as_role, role, state, status):
    if state == "submitted":
        submit(inspection=visit)
    address = reverse("temperature-correct", args=[TemperatureReading.objects.get().pk])
    assert as_role(role).get(address).status_code == status
