"""Replacing and resetting a device: the place stays, the history of each device stays its own."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inspections.models import Reading, Verdict
from inventory.models import Element, Installation
from inventory.models.choices import EndReason
from inventory.services.installations import replace_installation, reset_installation
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db

SET_IN_2010 = {
    "maker": "Maker A",
    "lot": "L-7",
    "setting_source": "measured",
    "setting_temperature_c": 20.0,
    "setting_offset_along_mm": 3.0,
}
DESIGN = {"movement_back_mm": 60.0, "movement_ahead_mm": 70.0, "rotation_mrad": 20.0}
DAY = dt.date(2020, 5, 4)


@pytest.fixture
def bearing() -> Element:
    unit = make_unit(make_bridge())
    return make_element(unit, installation=SET_IN_2010, design=DESIGN)


def replace(element: Element, ended_on: dt.date = DAY, design: dict | None = None, **fields):
    return replace_installation(
        element=element,
        ended_on=ended_on,
        end_reason=EndReason.REPLACED,
        installation=Installation(**{"device_type": "disc", "installed_on": DAY} | fields),
        design=design,
    )


def reset(element: Element, reset_on: dt.date = DAY, **setting) -> Installation:
    return reset_installation(element=element, reset_on=reset_on, setting=setting)


def refusal(act, *args, **kwargs) -> dict[str, list[str]]:
    """Return what was told, after seeing that nothing was written."""
    before = list(Installation.objects.order_by("pk").values())
    with pytest.raises(ValidationError) as refused:
        act(*args, **kwargs)
    assert list(Installation.objects.order_by("pk").values()) == before
    return refused.value.message_dict


def test_a_replacement_ends_the_present_device_and_makes_the_new_one_current(bearing):
    old = bearing.current_installation
    new = replace(bearing, maker="Maker B", design={"rotation_mrad": 15.0})
    old.refresh_from_db()
    assert (old.removed_on, old.end_reason) == (DAY, "replaced")
    assert Element.objects.get(pk=bearing.pk).current_installation == new
    assert bearing.current_installation == new
    assert list(bearing.installations.filter(removed_on__isnull=True)) == [new]
    assert new.bearing_design.rotation_mrad == 15.0
    assert old.bearing_design.rotation_mrad == 20.0


def test_the_new_device_may_come_some_days_after_the_old_one_went(bearing):
    later = DAY + dt.timedelta(days=9)
    assert replace(bearing, installed_on=later).installed_on == later


def test_a_new_device_without_capacities_has_no_design_row(bearing):
    assert not hasattr(replace(bearing), "bearing_design")


def test_old_readings_and_their_verdicts_stay_with_the_old_device(bearing):
    old = bearing.current_installation
    visit = make_inspection(bearing.bridge, dt.date(2019, 2, 1))
    read(visit, bearing, "offset_along", 3.0, 20.0, accept=True)
    new = replace(bearing)
    later = make_inspection(bearing.bridge, dt.date(2021, 2, 1))
    read(later, bearing, "offset_along", 9.0, 20.0, accept=True)
    by_date = Reading.objects.order_by("taken_at")
    assert [each.installation for each in by_date] == [old, new]
    first, second = Verdict.objects.order_by("taken_at")
    assert (first.installation, second.installation) == (old, new)
    assert first.setting_value == 3.0
    assert second.setting_from == "baseline"
    assert second.setting_value == 9.0


def test_readings_of_the_new_device_entered_before_the_replacement_was_become_its_own(bearing):
    old = bearing.current_installation
    for day, value in ((dt.date(2019, 2, 1), 3.0), (DAY, 9.0), (dt.date(2021, 2, 1), 9.0)):
        read(make_inspection(bearing.bridge, day), bearing, "offset_along", value, 20.0)
    new = replace(bearing)
    by_date = Reading.objects.order_by("taken_at")
    assert [each.installation for each in by_date] == [old, new, new]
    assert [each.installation for each in Verdict.objects.order_by("taken_at")] == [old, new, new]


def test_the_day_of_a_replacement_is_told_where_the_bridge_stands():
    unit = make_unit(make_bridge(time_zone="Pacific/Auckland"))
    bearing = make_element(unit)
    # 20:00 UTC on the day before is the morning of the replacement in Auckland.
    visit = make_inspection(unit.bridge, DAY - dt.timedelta(days=1))
    read(visit, bearing, "offset_along", 9.0, 20.0, hour=20)
    new = replace(bearing)
    assert Reading.objects.get().installation == new


def test_after_a_replacement_the_status_no_longer_tells_of_the_old_device(bearing):
    visit = make_inspection(bearing.bridge, dt.date(2019, 2, 1))
    read(visit, bearing, "offset_along", 69.0, 20.0, accept=True)
    bearing.refresh_from_db()
    assert bearing.status.get_verdict_display() == "Out of range"
    replace(bearing)
    bearing.refresh_from_db()
    assert bearing.status.get_verdict_display() == "Cannot judge"
    assert bearing.status.deciding is None


def test_a_reset_carries_device_maker_lot_and_capacities_to_a_new_setting(bearing):
    old = bearing.current_installation
    new = reset(
        bearing,
        setting_source="measured",
        setting_temperature_c=11.0,
        setting_offset_along_mm=0.0,
    )
    old.refresh_from_db()
    assert old.end_reason == "reset"
    assert (new.device_type, new.maker, new.lot) == ("pot", "Maker A", "L-7")
    assert (new.setting_temperature_c, new.setting_offset_along_mm) == (11.0, 0.0)
    carried = new.bearing_design
    assert (carried.movement_back_mm, carried.movement_ahead_mm) == (60.0, 70.0)
    assert old.bearing_design.pk != carried.pk


def test_a_reset_of_a_device_without_capacities_invents_none(bearing):
    plain = make_element(bearing.unit, code="B2")
    assert not hasattr(reset(plain), "bearing_design")


def test_a_key_is_reset_to_new_gaps_and_keeps_its_capacity():
    unit = make_unit(make_bridge())
    key = make_element(
        unit, "shear_key", design={"gap_back_mm": 20.0, "gap_min_mm": 5.0, "horizontal_kn": 900.0}
    )
    new = reset_installation(
        element=key, reset_on=DAY, setting={}, as_set={"gap_back_mm": 31.0}
    ).restraint_design
    assert (new.gap_back_mm, new.gap_min_mm, new.horizontal_kn) == (31.0, 5.0, 900.0)


def test_a_new_device_before_the_old_one_ended_is_refused_at_its_day(bearing):
    told = refusal(replace, bearing, installed_on=DAY - dt.timedelta(days=1))
    assert "is before 2020-05-04" in told["installed_on"][0]


@pytest.mark.parametrize("day", [dt.date(2009, 12, 31), dt.date(2010, 1, 1)])
def test_a_device_cannot_end_before_it_has_stood_a_day(bearing, day):
    assert "when the present device was installed" in refusal(replace, bearing, day)["ended_on"][0]
    assert "when the present device was installed" in refusal(reset, bearing, day)["reset_on"][0]


def test_what_lies_in_the_future_is_refused(bearing):
    future = timezone.localdate() + dt.timedelta(days=40)
    assert "in the future" in refusal(replace, bearing, installed_on=future)["installed_on"][0]
    told = refusal(replace, bearing, future, installed_on=future)
    assert set(told) == {"ended_on", "installed_on"}
    assert "in the future" in refusal(reset, bearing, future)["reset_on"][0]


def test_a_device_of_another_kind_is_refused_at_its_type(bearing):
    assert "is no bearing" in refusal(replace, bearing, device_type="finger")["device_type"][0]


def test_wrong_capacities_are_refused_at_their_field_and_undo_the_replacement(bearing):
    told = refusal(replace, bearing, design={"rotation_mrad": 900.0})
    assert "above 200 mrad" in told["rotation_mrad"][0]
    bearing.refresh_from_db()
    assert bearing.current_installation.device_type == "pot"


def test_a_known_setting_without_its_temperature_is_refused_at_a_reset(bearing):
    told = refusal(reset, bearing, setting_source="measured", setting_offset_along_mm=1.0)
    assert "needs its temperature" in told["setting_temperature_c"][0]


def test_a_page_that_is_out_of_date_cannot_replace_the_device_a_second_time(bearing):
    stale = Element.objects.get(pk=bearing.pk)
    replace(bearing)
    with pytest.raises(ValidationError, match="replaced meanwhile"):
        replace(stale, dt.date(2021, 1, 1), installed_on=dt.date(2021, 1, 1))


def test_every_step_is_written_to_the_history(bearing):
    old = bearing.current_installation
    new = replace(bearing, design={"rotation_mrad": 15.0})
    assert [each.end_reason for each in old.history.order_by("history_id")] == ["", "replaced"]
    assert new.history.get().history_type == "+"
    assert new.bearing_design.history.get().rotation_mrad == 15.0
    named = [each.current_installation_id for each in bearing.history.order_by("history_id")]
    assert named == [old.pk, new.pk]


def test_figures_of_a_setting_that_is_said_to_be_unknown_are_refused_not_left_out(bearing):
    with pytest.raises(ValidationError) as refusal:
        reset_installation(
            element=bearing,
            reset_on=DAY,
            setting={"setting_temperature_c": 12.0, "setting_offset_along_mm": 1.2},
        )
    (told,) = refusal.value.message_dict["setting_source"]
    assert "Say where the setting is known from" in told
    assert bearing.installations.count() == 1
