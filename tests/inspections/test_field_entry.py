"""Readings by web form: what people write, what is told back, and what is never lost."""

import datetime as dt

import pytest
from django.utils import timezone

from inspections.models import Instrument, Preference, Reading
from inventory.models import Installation
from inventory.services.installations import replace_installation
from tests.inspections.field_pages import WHEN, enter, form_of, page_of, temperatures
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db
DAY = dt.date(2024, 6, 1)
SETTING = {
    "setting_source": "measured",
    "setting_temperature_c": 20.0,
    "setting_gap_mm": 50.0,
}


@pytest.fixture
def joint():
    return make_element(
        make_unit(make_bridge()),
        "strip_seal",
        code="J1",
        installation=SETTING,
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )


@pytest.fixture
def visit(joint):
    return make_inspection(joint.bridge, DAY)


# One inch is 25.4 mm exactly (NIST SP 811, appendix B.8).
@pytest.mark.parametrize(
    ("written", "value_mm"),
    [
        ("2 3/16 in", 55.5625),
        ('2-3/16"', 55.5625),
        ("55.5 mm", 55.5),
        ("5.5 cm", 55.0),
        ("55.5", 55.5),
        (" 55.5mm ", 55.5),
    ],
)
def test_a_gap_is_taken_as_people_write_it(as_role, visit, joint, written, value_mm):
    enter(as_role("inspector"), visit, joint, **{"gap-left-1": written})
    reading = Reading.objects.get()
    assert reading.value == pytest.approx(value_mm)
    assert reading.typed == ("55.5 mm" if written == "55.5" else written.strip())
    assert (reading.point, reading.axis, reading.repeat) == ("left", "square", 1)


@pytest.mark.parametrize(("written", "value_mrad"), [("4 mrad", 4.0), ("0.23 deg", 4.014257)])
def test_a_rotation_is_taken_in_either_unit(as_role, visit, joint, written, value_mrad):
    bearing = make_element(joint.unit, "pot")
    enter(as_role("inspector"), visit, bearing, **{"rotation-only-1": written})
    # one degree is 17.45329 mrad (NIST SP 811, appendix B.8)
    assert Reading.objects.get().value == pytest.approx(value_mrad, abs=1e-5)


def test_a_bare_number_is_in_the_unit_that_the_user_chose_and_the_label_says_which(
    client, visit, joint
):
    user = make_user("inspector")
    Preference.objects.create(user=user, units="us")
    client.force_login(user)
    assert "Left [in]" in page_of(client.get(form_of(visit, joint)))
    enter(client, visit, joint, **{"gap-left-1": "2 3/16"})
    reading = Reading.objects.get()
    assert (reading.value, reading.typed) == (pytest.approx(55.5625), "2 3/16 in")
    assert "2.19 in" in page_of(client.get(form_of(visit, joint)))


def test_only_filled_points_are_recorded_and_a_second_measurement_is_a_repeat(
    as_role, visit, joint
):
    enter(
        as_role("inspector"), visit, joint,
        **{"gap-left-1": "55", "gap-left-2": "56", "gap-right-1": "54", "gap-centre-1": ""},
    )  # fmt: skip
    rows = Reading.objects.order_by("point", "repeat").values_list("point", "repeat", "value")
    assert list(rows) == [("left", 1, 55.0), ("left", 2, 56.0), ("right", 1, 54.0)]


def test_a_second_measurement_without_the_first_asks_for_it(as_role, visit, joint):
    page = page_of(enter(as_role("inspector"), visit, joint, **{"gap-left-2": "56"}))
    assert "stands without the first" in page
    assert not Reading.objects.exists()


def test_saving_the_same_form_twice_records_once_and_says_so(as_role, visit, joint):
    client = as_role("inspector")
    enter(client, visit, joint, **{"gap-left-1": "55"})
    page = page_of(enter(client, visit, joint, **{"gap-left-1": "55"}))
    assert Reading.objects.count() == 1
    assert "1 stands in the ledger already" in page


def test_the_verdict_is_told_at_once_with_expected_value_and_band(as_role, visit, joint):
    client = as_role("inspector")
    temperatures(client, visit, {"value": "10 C"})
    page = page_of(enter(client, visit, joint, **{"gap-left-1": "61.7"}))
    # 100 m, 11.7e-6 per degC, 10 K below the setting: 11.7 mm wider than 50 (by hand)
    assert "expected 61.7 mm, within the band of" in page
    assert "In range" in page
    assert "Still to be read here: joint gap centre, right." in page


def test_before_reading_the_form_says_what_to_expect_and_the_verdict_then_agrees(
    as_role, visit, joint
):
    client = as_role("inspector")
    temperatures(client, visit, {"value": "10 C"})
    before = page_of(client.get(form_of(visit, joint)))
    assert "Expected values are for 10.0 °C at 09:30 (one shaded girder surface)" in before
    assert "never read" in before
    enter(client, visit, joint, **{"gap-left-1": "60"})
    verdict = Reading.objects.get().verdict
    expected = f"<strong>{verdict.expected:.1f} mm</strong> ±{2 * verdict.u_residual:.1f} mm"
    assert expected in before


def test_before_reading_without_a_temperature_the_form_asks_for_one(as_role, visit, joint):
    page = page_of(as_role("inspector").get(form_of(visit, joint)))
    assert "nothing can be compared" in page
    assert "no temperature yet" in page


def test_where_no_setting_is_known_the_form_says_so_until_a_baseline_is_accepted(as_role, joint):
    bearing = make_element(joint.unit, "pot", code="B1")
    first = make_inspection(joint.bridge, dt.date(2023, 2, 1))
    client = as_role("inspector")
    temperatures(client, first, {"value": "0 C", "taken_at": "2023-02-01T08:00"})
    assert "no setting yet" in page_of(client.get(form_of(first, bearing)))
    read(first, bearing, "offset_along", 7.0, accept=True)
    second = make_inspection(joint.bridge, DAY)
    temperatures(client, second, {"value": "20 C"})
    page = page_of(client.get(form_of(second, bearing)))
    assert "<strong>7.0 mm</strong>, 2023-02-01 at 0.0 °C" in page
    # 7 mm at 0 degC, 20 K warmer: 23.4 mm further (100 m, 11.7e-6, by hand)
    assert "<strong>30.4 mm</strong> ±" in page


def test_the_last_reading_is_that_of_an_earlier_visit(as_role, visit, joint):
    client = as_role("inspector")
    page = page_of(enter(client, visit, joint, **{"gap-left-1": "61"}))
    assert page.count("never read") == 6  # gap and level, at three points each
    later = make_inspection(joint.bridge, dt.date(2025, 6, 1))
    page = page_of(client.get(form_of(later, joint)))
    assert page.count("never read") == 5
    assert "<strong>61.0 mm</strong>, 2024-06-01" in page


def test_the_last_reading_is_that_of_the_present_device(as_role, joint):
    old = make_inspection(joint.bridge, dt.date(2023, 2, 1))
    read(old, joint, "gap", 77.0, 0.0, point="left", axis="square")
    replace_installation(
        element=joint,
        ended_on=dt.date(2023, 5, 1),
        end_reason="replaced",
        installation=Installation(device_type="strip_seal", installed_on=dt.date(2023, 5, 1)),
    )
    page = page_of(as_role("inspector").get(form_of(make_inspection(joint.bridge, DAY), joint)))
    assert "77.0 mm" not in page


def test_an_earlier_visit_asks_for_what_its_own_device_had(as_role, joint):
    replace_installation(
        element=joint,
        ended_on=dt.date(2025, 5, 1),
        end_reason="replaced",
        installation=Installation(device_type="finger", installed_on=dt.date(2025, 5, 1)),
    )
    page = page_of(as_role("inspector").get(form_of(make_inspection(joint.bridge, DAY), joint)))
    assert "strip seal joint" in page


def test_a_skewed_joint_asks_how_the_tape_lay(as_role, joint):
    skewed = make_element(joint.unit, "strip_seal", code="J2", place={"skew_deg": 30.0})
    visit = make_inspection(joint.bridge, DAY)
    client = as_role("inspector")
    page = page_of(enter(client, visit, skewed, **{"gap-left-1": "55", "axis": ""}))
    assert "Say whether it was taken square to the joint or along the road." in page
    assert 'value="55"' in page
    assert not Reading.objects.exists()
    enter(client, visit, skewed, **{"gap-left-1": "55", "axis": "road"})
    assert Reading.objects.get().axis == "road"


def test_a_form_shows_only_what_its_device_has(as_role, joint):
    rods = make_element(joint.unit, "anchor_rods", code="AR1", design={"rod_count": 4})
    client, visit = as_role("inspector"), make_inspection(joint.bridge, DAY)
    page = page_of(client.get(form_of(visit, rods)))
    assert "Rod 4 [mm]" in page
    assert "Rod 5 [mm]" not in page
    assert "How the tape lay" not in page


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("55,5", "Write a decimal point"),
        ("wide", "«wide» is not a value"),
        ("55 kN", "«kN» is no unit of this quantity"),
        ("-3", "«-3» is below 0.0 mm"),
        ("999 in", "«999 in» is above 3000.0 mm"),
    ],
)
def test_an_impossible_value_is_told_at_its_field_and_nothing_typed_is_lost(
    as_role, visit, joint, written, told
):
    page = page_of(
        enter(
            as_role("inspector"),
            visit,
            joint,
            **{"gap-left-1": written, "gap-right-1": "54 mm", "remark": "seal torn"},
        )
    )
    at_field = page.split('name="gap-left-1"')[0].rsplit('class="point"')[-1]
    assert told in at_field
    for kept in (written, "54 mm", "seal torn", WHEN):
        assert f'value="{kept}"' in page
    assert not Reading.objects.exists()


def test_what_the_service_refuses_stands_at_its_input(as_role, visit, joint):
    client = as_role("inspector")
    enter(client, visit, joint, **{"gap-left-1": "55"})
    page = page_of(enter(client, visit, joint, **{"gap-left-1": "65", "gap-right-1": "54"}))
    assert "55 mm is recorded for this point and time, not 65 mm" in page
    assert 'value="54"' in page
    assert Reading.objects.count() == 1
    page = page_of(
        enter(client, visit, joint, **{"gap-left-1": "65", "taken_at": "2024-06-09T09:00"})
    )
    assert page.count("more than 2 days from the inspection") == 1


def test_an_empty_form_says_that_nothing_was_entered(as_role, visit, joint):
    assert "No value has been entered" in page_of(enter(as_role("inspector"), visit, joint))


def test_times_are_told_and_taken_by_the_clock_of_the_bridge(as_role):
    bridge = make_bridge(time_zone="America/Denver")
    joint = make_element(make_unit(bridge), "strip_seal")
    visit = make_inspection(bridge, DAY)
    page = page_of(enter(as_role("inspector"), visit, joint, **{"gap-left-1": "55"}))
    # Denver keeps UTC-6 in June (IANA tz database)
    assert Reading.objects.get().taken_at == dt.datetime(2024, 6, 1, 15, 30, tzinfo=dt.UTC)
    assert "2024-06-01 09:30" in page


def test_a_visit_of_today_begins_with_the_hour_and_an_older_one_with_its_last_entry(
    as_role, visit, joint
):
    client = as_role("inspector")
    assert 'value="2024-06-01T' not in page_of(client.get(form_of(visit, joint)))
    temperatures(client, visit, {"value": "10 C", "taken_at": "2024-06-01T07:45"})
    assert 'value="2024-06-01T07:45"' in page_of(client.get(form_of(visit, joint)))
    today = make_inspection(joint.bridge, timezone.now().date())
    earliest = timezone.now()
    page = page_of(client.get(form_of(today, joint)))
    minutes = (earliest, earliest + dt.timedelta(minutes=1))
    assert any(f'value="{each:%Y-%m-%dT%H:%M}"' in page for each in minutes)


def test_the_instrument_or_its_accuracy_goes_with_the_readings(as_role, visit, joint):
    tape = Instrument.objects.create(code="T-1", name="Tape", dimension="mm", accuracy=1.0)
    Instrument.objects.create(code="TH-1", name="Thermometer", dimension="degC", accuracy=0.5)
    client = as_role("inspector")
    assert "TH-1" not in page_of(client.get(form_of(visit, joint)))
    page = page_of(
        enter(client, visit, joint, **{"gap-left-1": "55", "instrument-mm": str(tape.pk)})
    )
    assert f'<option value="{tape.pk}" selected>' in page
    enter(client, visit, joint, **{"gap-right-1": "55", "accuracy-mm": "1/16 in"})
    left, right = Reading.objects.order_by("point")
    assert (left.instrument, left.accuracy) == (tape, None)
    assert (right.instrument, right.accuracy) == (None, pytest.approx(1.5875))
