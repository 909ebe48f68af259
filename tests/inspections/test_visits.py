"""The life of an inspection: opened, handed in, returned, accepted."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inspections.models import Condition, ElementStatus, Inspection, Verdict
from inspections.models.ratings import RatedItem
from inspections.services.ratings import rate
from inspections.services.visits import accept, open_inspection, return_to_team, submit
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db
VISIT = {"kind": "routine", "team": "lead and one", "weather": "clear"}


@pytest.fixture
def bearing():
    return make_element(
        make_unit(make_bridge()), design={"movement_back_mm": 40.0, "movement_ahead_mm": 40.0}
    )


@pytest.fixture
def handed_in(bearing):
    visit = make_inspection(bearing.bridge)
    read(visit, bearing, "offset_along", 4.0, 12.0)
    return submit(inspection=visit)


def state_of(visit):
    return Inspection.objects.get(pk=visit.pk).state


def test_an_inspection_goes_from_open_to_handed_in_to_accepted(bearing):
    inspector, engineer = make_user("inspector"), make_user("engineer")
    visit = open_inspection(
        bridge=bearing.bridge, date=dt.date(2024, 6, 1), user=inspector, **VISIT
    )
    assert (state_of(visit), visit.created_by) == ("open", inspector)
    read(visit, bearing, "offset_along", 4.0, 12.0)
    submit(inspection=visit)
    assert state_of(visit) == "submitted"
    accept(inspection=visit, user=engineer, note="Well done.")
    visit.refresh_from_db()
    assert (visit.state, visit.reviewed_by, visit.review_note) == (
        "accepted", engineer, "Well done."
    )  # fmt: skip
    assert visit.submitted_at <= visit.reviewed_at


def test_condition_states_or_a_rating_alone_may_be_handed_in_and_accepted(bearing, as_role):
    for number, give in enumerate(
        (
            lambda visit: Condition.objects.create(
                inspection=visit, element=bearing, defect=0, cs1=1, cs2=0, cs3=0, cs4=0, total=1
            ),
            lambda visit: rate(inspection=visit, item=RatedItem.BEARINGS, code="7"),
        )
    ):
        visit = make_inspection(bearing.bridge, dt.date(2024, 6, 1 + number))
        with pytest.raises(ValidationError, match="No reading, condition states or rating"):
            submit(inspection=visit)
        give(visit)
        as_role("inspector").post(reverse("inspection-submit", args=[visit.pk]))
        assert state_of(visit) == "submitted"
        accept(inspection=visit, user=make_user("engineer"))
        assert state_of(visit) == "accepted"


def test_two_inspections_of_a_kind_on_one_day_are_one_too_many(bearing):
    asked = {"bridge": bearing.bridge, "date": dt.date(2024, 6, 1), **VISIT}
    open_inspection(**asked)
    with pytest.raises(ValidationError, match="Open it"):
        open_inspection(**asked)
    open_inspection(**asked | {"kind": "event"})
    assert Inspection.objects.count() == 2


def test_a_day_in_the_future_is_refused_by_the_clock_of_the_bridge():
    bridge = make_bridge(time_zone="Pacific/Kiritimati")  # UTC+14, the first to see a day
    today = timezone.now().astimezone(dt.timezone(dt.timedelta(hours=14))).date()
    with pytest.raises(ValidationError) as caught:
        open_inspection(bridge=bridge, date=today + dt.timedelta(days=2), **VISIT)
    assert "date" in caught.value.message_dict
    open_inspection(bridge=bridge, date=today, **VISIT)


@pytest.mark.parametrize("field", ["team", "kind", "date"])
def test_a_visit_needs_its_team_kind_and_date(bearing, field):
    asked = {"bridge": bearing.bridge, "date": dt.date(2024, 6, 1), **VISIT}
    with pytest.raises(ValidationError) as caught:
        open_inspection(**asked | {field: None if field == "date" else ""})
    assert field in caught.value.message_dict


def test_an_empty_inspection_is_not_handed_in(bearing):
    visit = make_inspection(bearing.bridge)
    with pytest.raises(ValidationError, match="Enter one before handing in"):
        submit(inspection=visit)
    assert state_of(visit) == "open"


def test_an_inspection_is_handed_in_once(handed_in):
    with pytest.raises(ValidationError, match="is handed in; to hand it in it must be open"):
        submit(inspection=handed_in)


def test_an_inspection_is_accepted_once_and_keeps_its_first_reviewer(handed_in):
    first, second = make_user("engineer"), make_user("engineer")
    accept(inspection=handed_in, user=first, note="Fine.")
    with pytest.raises(ValidationError, match="is accepted"):
        accept(inspection=handed_in, user=second, note="Mine.")
    handed_in.refresh_from_db()
    assert (handed_in.reviewed_by, handed_in.review_note) == (first, "Fine.")


def test_an_open_inspection_can_be_neither_accepted_nor_returned(bearing):
    visit = make_inspection(bearing.bridge)
    with pytest.raises(ValidationError, match="is open"):
        accept(inspection=visit, user=make_user("engineer"))
    with pytest.raises(ValidationError, match="is open"):
        return_to_team(inspection=visit, user=make_user("engineer"), note="Measure again.")


def test_a_return_needs_a_note_and_lets_the_team_go_on(handed_in, bearing):
    engineer = make_user("engineer")
    with pytest.raises(ValidationError) as caught:
        return_to_team(inspection=handed_in, user=engineer, note=" ")
    assert list(caught.value.message_dict) == ["note"]
    assert state_of(handed_in) == "submitted"
    return_to_team(inspection=handed_in, user=engineer, note="Measure the rotation too.")
    handed_in.refresh_from_db()
    assert (handed_in.state, handed_in.review_note) == ("open", "Measure the rotation too.")
    read(handed_in, bearing, "rotation", 2.0)
    submit(inspection=handed_in)
    assert state_of(handed_in) == "submitted"


def test_a_returned_inspection_no_longer_speaks_for_its_elements(handed_in):
    assert ElementStatus.objects.get().deciding is not None
    return_to_team(inspection=handed_in, user=make_user("engineer"), note="Measure again.")
    assert ElementStatus.objects.get().deciding is None


def test_only_an_accepted_inspection_gives_a_baseline(handed_in):
    assert Verdict.objects.get().setting_from == ""
    accept(inspection=handed_in, user=make_user("engineer"))
    assert Verdict.objects.get().setting_from == "baseline"
