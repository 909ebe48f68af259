"""Work at several places of one bridge: finished together, judged once, or not at all."""

from unittest import mock

import pytest

from inspections.models import Due
from inspections.services import judge
from inspections.services.work_done import NewSetting, PlaceRefused
from inventory.models import Installation
from tests.inspections.work_rows import (
    SET_ANEW,
    a_unit,
    an_order,
    anew,
    finish,
    off_joints,
    position,
)
from tests.make import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer():
    return make_user("engineer")


def test_a_bridge_is_judged_once_however_many_devices_were_set_anew(engineer):
    one = off_joints(a_unit("B-2"), "J-1")
    many = off_joints(a_unit("B-3"), *(f"J-{number}" for number in range(1, 9)))
    for joints in (one, many):
        order = an_order([position(each) for each in joints])
        with mock.patch.object(judge, "_judge", wraps=judge._judge) as judged:
            finish(order, engineer, anew(*joints))
        assert [call.args[0] for call in judged.mock_calls] == [[joints[0].bridge_id]]
        for joint in joints:
            assert position(joint).get_state_display() == "Mended, not yet proved"
            assert Installation.objects.filter(element=joint, removed_on=None, setting_gap_mm=70.0)
        assert Due.objects.filter(order=order, reason="proving").count() == len(joints)


def test_a_refusal_at_the_last_of_several_places_leaves_all_as_they_were(engineer):
    joints = off_joints(a_unit(), "J-1", "J-2")
    order = an_order([position(each) for each in joints])
    wrong = NewSetting(SET_ANEW | {"setting_gap_axis": "up"})
    with pytest.raises(PlaceRefused) as refusal:
        finish(order, engineer, anew(joints[0]) | {joints[1].pk: wrong})
    assert refusal.value.element == joints[1]
    assert Installation.objects.filter(element__in=joints).count() == len(joints)
    # The next change of the register is heard again.
    finish(order, engineer, anew(*joints))
    assert {position(each).state for each in joints} == {"mended"}
