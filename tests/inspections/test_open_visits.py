"""What is sent to an open visit is judged by itself: as its whole bridge would have it."""

import datetime as dt
from unittest import mock

import pytest
from django.utils import timezone

from inspections.models import ElementStatus, Flag, ToJudge, UnitDiagnosis, Verdict
from inspections.services import judge, visits
from inspections.services.judge import judge_bridges
from inspections.services.readings import correct_reading
from tests.inspections.over_years import MEASURED, WINTERS_AND_SUMMERS, free_mm, make_bearing, visit
from tests.inspections.test_judged_together import all_stored, is_near
from tests.make import make_bridge, make_inspection, make_unit, make_user
from tests.rows_desk import job
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db
UNKNOWN = {"setting_source": "unknown"}


def a_bridge(known):
    """Return bearings that visits have read over the years, with a visit that is open."""
    unit = make_unit(make_bridge())
    bearings = [make_bearing(unit, 50.0 * number, known) for number in (1, 2)]
    for date, temperature_c in WINTERS_AND_SUMMERS[:3]:
        rows = [(each, "offset_along", free_mm(each.station_m, temperature_c), "")
                for each in bearings]  # fmt: skip
        visit(unit.bridge, date, temperature_c, rows)
    return bearings, make_inspection(unit.bridge, timezone.now().date())


def girder(tablet, inspection, temperature_c):
    payload = {
        "unit": None, "place": "girder_web", "typed": f"{temperature_c} C", "sunlit": False,
        "temperature_c": temperature_c, "taken_at": tablet.now.isoformat(),
    }  # fmt: skip
    return tablet.record(inspection, "temperature", payload)


def sent_in_parts(tablet, bearings, inspection):
    """Send readings, then more of the same points, and the temperature of all of them last."""
    one, other = bearings
    at = tablet.now.isoformat()
    first = tablet.reading(inspection, one, 12.0, taken_at=at)
    parts = (
        [first, tablet.reading(inspection, other, -40.0, taken_at=at)],
        [tablet.reading(inspection, one, 14.0, is_repeat_of=first["uid"], taken_at=at)],
        [girder(tablet, inspection, 31.0)],
    )
    for part in parts:
        assert {each["outcome"] for each in tablet.send(*part)} == {"taken"}


@pytest.mark.parametrize("known", [MEASURED, UNKNOWN], ids=["setting on record", "as read"])
def test_what_is_sent_in_parts_is_judged_as_the_whole_bridge_has_it(known):
    bearings, inspection = a_bridge(known)
    sent_in_parts(Tablet(make_user("inspector")), bearings, inspection)
    mine = Verdict.objects.filter(inspection=inspection).order_by("element")
    assert [(each.repeats, each.value, each.temperature_c) for each in mine] == [
        (2, 13.0, 31.0), (1, -40.0, 31.0)
    ]  # fmt: skip
    assert all(each.expected is not None for each in mine)
    alone = all_stored()
    judge_bridges([inspection.bridge_id])
    assert is_near(alone, all_stored())


def test_a_correction_of_an_open_visit_takes_the_place_of_what_it_corrects():
    bearings, inspection = a_bridge(UNKNOWN)
    tablet = Tablet(make_user("inspector"))
    sent_in_parts(tablet, bearings, inspection)
    wrong = inspection.readings.get(element=bearings[1])
    correct_reading(
        reading=wrong, value=40.0, typed="40 mm", reason="sign", user=make_user("engineer")
    )
    tablet.send(girder(tablet, inspection, 31.5))
    [left] = Verdict.objects.filter(inspection=inspection, element=bearings[1])
    assert left.value == 40.0


def test_until_it_is_handed_in_nothing_else_of_its_bridge_is_written_anew():
    bearings, inspection = a_bridge(UNKNOWN)
    before = {table: set(table.objects.values_list("pk", flat=True))
              for table in (ElementStatus, UnitDiagnosis, Flag)}  # fmt: skip
    with mock.patch.object(judge, "_judge", wraps=judge._judge) as judged:
        sent_in_parts(Tablet(make_user("inspector")), bearings, inspection)
        assert not judged.called
        for table, keys in before.items():
            assert set(table.objects.values_list("pk", flat=True)) == keys
        visits.submit(inspection=inspection)
        assert judged.call_count == 1
    status = ElementStatus.objects.get(element=bearings[1])
    assert status.deciding.inspection_id == inspection.pk


def test_a_bridge_that_waits_to_be_judged_is_judged_as_a_whole():
    bearings, inspection = a_bridge(UNKNOWN)
    ToJudge.objects.create(bridge=inspection.bridge, job=job(kind="reassessment"))
    judged_at = UnitDiagnosis.objects.get().judged_at
    tablet = Tablet(make_user("inspector"))
    tablet.send(tablet.reading(inspection, bearings[0], 12.0))
    assert not ToJudge.objects.exists()
    assert UnitDiagnosis.objects.get().judged_at > judged_at


@pytest.mark.parametrize("version", ["", "1.0"], ids=["never", "by an older version"])
def test_a_bridge_that_this_version_has_not_judged_is_judged_as_a_whole(version):
    bearings, inspection = a_bridge(UNKNOWN)
    ElementStatus.objects.all().delete()
    if version:
        UnitDiagnosis.objects.update(model_version=version)
    else:
        UnitDiagnosis.objects.all().delete()
    tablet = Tablet(make_user("inspector"))
    tablet.send(tablet.reading(inspection, bearings[0], 12.0))
    assert ElementStatus.objects.count() == len(bearings)


def test_a_record_that_comes_again_is_judged_before_and_after_its_visit_was_handed_in():
    """The server may have gone before it judged what it had taken."""
    bearings, inspection = a_bridge(UNKNOWN)
    tablet = Tablet(make_user("inspector"))
    sent = tablet.reading(inspection, bearings[0], 12.0)
    tablet.send(sent)
    Verdict.objects.filter(inspection=inspection).delete()
    assert [each["outcome"] for each in tablet.send(sent)] == ["already"]
    assert Verdict.objects.filter(inspection=inspection).count() == 1
    visits.submit(inspection=inspection)
    Verdict.objects.filter(inspection=inspection).delete()
    ElementStatus.objects.filter(element=bearings[0]).delete()
    assert [each["outcome"] for each in tablet.send(sent)] == ["already"]
    assert Verdict.objects.filter(inspection=inspection).count() == 1
    status = ElementStatus.objects.get(element=bearings[0])
    assert status.last_seen_on == timezone.now().astimezone(dt.UTC).date()


def test_signing_in_the_same_request_judges_what_came_before_it_once():
    bearings, inspection = a_bridge(UNKNOWN)
    tablet = Tablet(make_user("inspector"))
    readings = [tablet.reading(inspection, each, 12.0) for each in bearings]
    reasons = [
        tablet.record(
            inspection, "left_out", {"element": each.pk, "reason": "covered", "remark": ""}
        )
        for each in bearings
    ]
    came = [*readings, *reasons]
    payload = {"role": "Lead", "statement": "All is complete.", "count": len(came)}
    with mock.patch.object(judge, "_judge", wraps=judge._judge) as judged:
        receipts = tablet.send(*came, tablet.record(inspection, "sign_off", payload))
    assert {each["outcome"] for each in receipts} == {"taken"}
    assert judged.call_count == 1
    assert Verdict.objects.filter(inspection=inspection).count() == len(bearings)
