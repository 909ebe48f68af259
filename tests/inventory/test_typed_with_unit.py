"""The register takes figures in the units of the drawings, and keeps its own."""

import pytest

from inventory.models import Bridge, Installation, Support, Unit
from tests.html_form import errors_of, send
from tests.inventory.test_admin_pages import url
from tests.make import make_bridge, make_element, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return make_unit(make_bridge("N-1"))


def test_a_bridge_is_entered_in_feet_and_inches(as_role, unit):
    client = as_role("engineer")
    make_element(unit)
    answer = send(
        client,
        url(Bridge, "change", unit.bridge_id),
        "bridge_form",
        **{
            "length_m": "620'-0\"",
            "largest_span_m": "104'-6\"",
            "units-0-expansion_per_c": "6.5e-6 per F",
            "supports-0-station_m": "250 ft",
        },
    )
    assert answer.status_code == 302, errors_of(answer)
    bridge = Bridge.objects.get()
    # By hand: 620 x 0.3048, 104.5 x 0.3048, 6.5e-6 x 9/5, 250 x 0.3048.
    assert (bridge.length_m, bridge.largest_span_m) == (188.976, 31.8516)
    assert Unit.objects.get().expansion_per_c == 1.17e-05
    assert Support.objects.get().station_m == 76.2


def test_a_temperature_with_its_unit_is_a_point(as_role, unit):
    device = make_element(unit, "pot").current_installation
    answer = send(
        as_role("engineer"),
        url(Installation, "change", device.pk),
        "installation_form",
        setting_source="measured",
        setting_temperature_c="68 F",
        setting_offset_along_mm='-1 1/2"',
    )
    assert answer.status_code == 302, errors_of(answer)
    device.refresh_from_db()
    assert (device.setting_temperature_c, device.setting_offset_along_mm) == (20.0, -38.1)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("620 lb", "«lb» is no unit of this quantity"),
        ("far", "«far» is not a value"),
        ("-5 km", "«km» is no unit of this quantity"),
        ("999999 ft", "is above"),
    ],
)
def test_a_unit_that_is_none_of_the_quantity_is_refused_at_its_field(as_role, unit, typed, told):
    refused = send(
        as_role("engineer"), url(Bridge, "change", unit.bridge_id), "bridge_form", length_m=typed
    )
    assert told in errors_of(refused)["length_m"][0]
    assert Bridge.objects.get().length_m is None


def test_what_is_not_touched_is_no_change(as_role, unit):
    before = Bridge.history.count()
    send(as_role("engineer"), url(Bridge, "change", unit.bridge_id), "bridge_form")
    assert (
        Bridge.history.count() == before
        or Bridge.history.first().diff_against(Bridge.history.all()[1]).changes == []
    )
