"""Plain functions that make rows for tests, through the services that the product uses."""

import datetime as dt
import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from unittest import mock

from django.contrib.auth import get_user_model

from inspections.models import HeldRole, Inspection
from inspections.services import judge, visits
from inspections.services import readings as reading_service
from inventory.models import (
    Bridge,
    District,
    Element,
    Installation,
    Support,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)
from inventory.models.choices import KIND_OF_DEVICE
from inventory.services.installations import create_element

_number = itertools.count(1)
UTC = dt.UTC


SET_AT_20_C = {
    "setting_source": "measured",
    "setting_temperature_c": 20.0,
    "setting_offset_along_mm": 0.0,
}
"""How a device was installed that stood at its middle at 20 degC."""


def make_user(role: str | None = None, district: District | None = None, **fields):
    """Return a user of a role in a district (None: in all); role None is an outsider."""
    user = get_user_model().objects.create_user(
        username=fields.pop("username", f"{role or 'outsider'}{next(_number)}"),
        **fields,
    )
    if role:
        HeldRole.objects.create(user=user, role=role, district=district)
    return user


def make_bridge(code: str | None = None, basis: dict | None = None, **fields) -> Bridge:
    """Return a bridge in district T, with a cold-climate procedure A basis unless given."""
    district, _ = District.objects.get_or_create(code="T", defaults={"name": "Test district"})
    bridge = Bridge.objects.create(
        district=district, code=code or f"T-{next(_number)}", name="Test bridge", **fields
    )
    if basis != {}:
        TemperatureBasis.objects.create(
            bridge=bridge, **(basis or {"method": "aashto_a", "climate": "cold"})
        )
    return bridge


def make_unit(bridge: Bridge, code: str = "U1", **fields) -> Unit:
    """Return a composite unit from 0 to 100 m, fixed at 0."""
    values = {
        "deck_type": "composite",
        "start_station_m": 0.0,
        "end_station_m": 100.0,
        "fixed_station_m": 0.0,
        "expansion_per_c": 11.7e-6,
    } | fields
    return Unit.objects.create(bridge=bridge, code=code, **values)


def make_concrete(unit: Unit, **fields) -> UnitConcrete:
    """Return the concrete of a unit: 40 MPa, cast on the first of 2010, prestressed at 7 days."""
    values = {
        "shortening_rule": "aashto_2015",
        "cast_on": dt.date(2010, 1, 1),
        "concrete_strength_mpa": 40.0,
        "humidity_percent": 70.0,
        "notional_size_mm": 300.0,
        "axial_stress_mpa": 5.0,
        "loading_d": 7.0,
    } | fields
    return UnitConcrete.objects.create(unit=unit, **values)


def make_section(unit: Unit, **fields) -> UnitSection:
    """Return the section of a unit, 1.8 m deep: girders, or a box where the deck is of steel."""
    forms = {
        "steel": "steel_box",
        "composite": "composite_girders",
        "concrete": "concrete_girders",
    }
    values = {"section_form": forms[unit.deck_type], "depth_mm": 1800.0} | fields
    return UnitSection.objects.create(unit=unit, **values)


def make_support(bridge: Bridge, code: str = "A2", station_m: float = 100.0) -> Support:
    """Return an abutment."""
    return Support.objects.create(bridge=bridge, code=code, kind="abutment", station_m=station_m)


def make_element(
    unit: Unit,
    device_type: str = "pot",
    code: str | None = None,
    station_m: float = 100.0,
    place: dict | None = None,
    installation: dict | None = None,
    design: dict | None = None,
) -> Element:
    """Return an element with its device, installed in 2010."""
    support, _ = Support.objects.get_or_create(
        bridge=unit.bridge,
        station_m=station_m,
        defaults={"code": f"S{station_m:g}", "kind": "pier"},
    )
    return create_element(
        element=Element(
            bridge=unit.bridge,
            support=support,
            kind=KIND_OF_DEVICE[device_type],
            code=code or f"E{next(_number)}",
            unit=unit,
            station_m=station_m,
            **(place or {}),
        ),
        installation=Installation(
            **{"device_type": device_type, "installed_on": dt.date(2010, 1, 1)}
            | (installation or {})
        ),
        design=design,
    )


def make_inspection(bridge: Bridge, date: dt.date = dt.date(2024, 6, 1), **fields) -> Inspection:
    """Return an open inspection."""
    return visits.open_inspection(
        bridge=bridge,
        date=date,
        **{"kind": "routine", "team": "two inspectors", "weather": "overcast"} | fields,
    )


def read(
    inspection: Inspection,
    element: Element,
    quantity: str,
    value: float,
    temperature_c: float | None = None,
    *,
    accept: bool = False,
    hour: int = 8,
    **fields,
):
    """Record one reading, with a shaded girder temperature if given; accept the visit if asked."""
    at = dt.datetime.combine(inspection.date, dt.time(hour), UTC)
    temperatures = (
        []
        if temperature_c is None
        else [reading_service.NewTemperature("girder_web", temperature_c, f"{temperature_c}", at)]
    )
    result = reading_service.record(
        inspection=inspection,
        readings=[reading_service.NewReading(element, quantity, value, f"{value}", at, **fields)],
        temperatures=temperatures,
        judge=not accept,
    )
    if accept:
        handed_in = visits.submit(inspection=inspection, judge=False)
        visits.accept(inspection=handed_in, user=None)
        inspection.refresh_from_db()
    return result


@contextmanager
def judged_once() -> Iterator[None]:
    """Judge each bridge written to within once, at the end, and not after every row."""
    waiting: set[int] = set()
    with mock.patch.object(judge, "_judge", lambda bridge_ids, agency: waiting.update(bridge_ids)):
        yield
    judge.judge_bridges(waiting)
