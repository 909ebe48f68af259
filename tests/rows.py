"""One valid saved row of every table, for tests that then break one rule of it."""

import datetime as dt
import itertools

from django.db import models

from inspections.models import (
    AgencySettings,
    AirTemperature,
    ElementStatus,
    Inspection,
    Instrument,
    Preference,
    Reading,
    TemperatureReading,
    Verdict,
)
from inventory.models import (
    BearingDesign,
    Bridge,
    District,
    Element,
    Installation,
    JointDesign,
    RestraintDesign,
    Support,
    TemperatureBasis,
    Unit,
)
from tests.make import (
    UTC,
    make_bridge,
    make_element,
    make_inspection,
    make_support,
    make_unit,
    make_user,
    read,
)

_number = itertools.count(1)


def _joint() -> Element:
    return make_element(make_unit(make_bridge()), "strip_seal", design={"opening_max_mm": 90.0})


def _reading() -> Reading:
    """Return a correction, so that each of its references is filled."""
    unit = make_unit(make_bridge())
    first = _read(make_inspection(unit.bridge), make_element(unit))
    return Reading.objects.create(
        **{
            name: getattr(first, name)
            for name in ("inspection", "element", "installation", "quantity", "taken_at")
        },
        value=7.0,
        typed="7",
        corrects=first,
    )


def _read(inspection: Inspection, element: Element) -> Reading:
    read(inspection, element, "offset_along", 5.0, 12.0)
    return Reading.objects.get(inspection=inspection, element=element)


def _verdict() -> Verdict:
    unit = make_unit(make_bridge())
    return _read(make_inspection(unit.bridge), make_element(unit)).verdict


def _temperature() -> TemperatureReading:
    """Return a correction, so that each of its references is filled."""
    unit = make_unit(make_bridge())
    values = {
        "inspection": make_inspection(unit.bridge),
        "unit": unit,
        "place": "girder_web",
        "temperature_c": 12.0,
        "typed": "12",
        "taken_at": dt.datetime(2024, 6, 1, 8, tzinfo=UTC),
    }
    first = TemperatureReading.objects.create(**values)
    return TemperatureReading.objects.create(**values, corrects=first)


def _settings() -> AgencySettings:
    row = AgencySettings()
    row.save()
    return row


_BUILDERS = {
    District: lambda: District.objects.create(code=f"D{next(_number)}", name="Test"),
    Bridge: make_bridge,
    TemperatureBasis: lambda: make_bridge().temperature_basis,
    Unit: lambda: make_unit(make_bridge()),
    Support: lambda: make_support(make_bridge()),
    Element: lambda: make_element(make_unit(make_bridge())),
    Installation: lambda: make_element(make_unit(make_bridge())).current_installation,
    BearingDesign: lambda: (
        make_element(
            make_unit(make_bridge()), design={"rotation_mrad": 20.0}
        ).current_installation.bearing_design
    ),
    JointDesign: lambda: _joint().current_installation.joint_design,
    RestraintDesign: lambda: (
        make_element(
            make_unit(make_bridge()), "shear_key", design={"gap_back_mm": 20.0}
        ).current_installation.restraint_design
    ),
    Instrument: lambda: Instrument.objects.create(
        code=f"T{next(_number)}", name="Tape", dimension="mm", accuracy=1.0
    ),
    Inspection: lambda: make_inspection(make_bridge()),
    Reading: _reading,
    TemperatureReading: _temperature,
    AirTemperature: lambda: AirTemperature.objects.create(
        station=f"S{next(_number)}",
        time_utc=dt.datetime(2024, 6, 1, 8, tzinfo=UTC),
        temperature_c=12.0,
    ),
    AgencySettings: _settings,
    Verdict: _verdict,
    ElementStatus: lambda: _verdict().element.status,
    Preference: lambda: Preference.objects.create(user=make_user()),
}


def valid_row(model: type[models.Model]) -> models.Model:
    """Return a saved row that passes every check, with whatever it refers to."""
    row = _BUILDERS[model]()
    return model.objects.get(pk=row.pk)
