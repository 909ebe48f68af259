"""One valid saved row of every table, for tests that then break one rule of it."""

import datetime as dt
import itertools
from collections.abc import Callable

from django.db import models

from inspections.models import (
    AgencySettings,
    AirDay,
    AirTemperature,
    CapacityCheck,
    ComponentRating,
    Condition,
    CriticalFinding,
    ElementDataRow,
    ElementHistory,
    ElementStatus,
    Explanation,
    FieldNote,
    Inspection,
    Instrument,
    LeftOut,
    Photo,
    Preference,
    Reading,
    SetAside,
    SignOff,
    TabletRecord,
    TemperatureReading,
    UnitDiagnosis,
    Verdict,
)
from inventory.models import (
    BearingDesign,
    Bridge,
    District,
    Drawing,
    Element,
    Installation,
    InventoryTold,
    JointDesign,
    RestraintDesign,
    StationYear,
    Support,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)
from tests.make import (
    UTC,
    make_bridge,
    make_concrete,
    make_element,
    make_inspection,
    make_section,
    make_support,
    make_unit,
    make_user,
    read,
)
from tests.rows_desk import DESK_BUILDERS

_number = itertools.count(1)
_JUDGED = {"model_version": "test", "judged_at": dt.datetime(2024, 6, 2, 8, tzinfo=UTC)}


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
        record=_record(first.inspection, "reading"),
    )


def _read(inspection: Inspection, element: Element) -> Reading:
    read(inspection, element, "offset_along", 5.0, 12.0)
    return Reading.objects.get(inspection=inspection, element=element)


def _verdict() -> Verdict:
    unit = make_unit(make_bridge())
    return _read(make_inspection(unit.bridge), make_element(unit)).verdict


def _history() -> ElementHistory:
    """Return the history of another channel than the readings themselves give one."""
    element = make_element(make_unit(make_bridge()))
    device = element.current_installation
    return ElementHistory.objects.create(
        element=element, installation=device, quantity="rotation", point="centre", **_JUDGED
    )


def _diagnosis() -> UnitDiagnosis:
    return UnitDiagnosis.objects.create(unit=make_unit(make_bridge()), **_JUDGED)


def _check() -> CapacityCheck:
    element = make_element(make_unit(make_bridge()))
    return CapacityCheck.objects.create(
        element=element,
        installation=element.current_installation,
        order=900 + next(_number),
        family="design",
        name="Movement",
        clause="the register",
        edition="the register",
        provenance="entered",
        when="now",
        use=0.4,
        **_JUDGED,
    )


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
    record = _record(first.inspection, "temperature")
    return TemperatureReading.objects.create(**values, corrects=first, record=record)


_AT = dt.datetime(2024, 6, 1, 8, tzinfo=UTC)


def _record(inspection: Inspection, kind: str = "note") -> TabletRecord:
    return TabletRecord.objects.create(
        inspection=inspection,
        kind=kind,
        tablet="tablet 1",
        made_at=_AT,
        payload={"text": "as sent"},
    )


def _from_the_field(model: type[models.Model], kind: str, **fields) -> Callable[[], models.Model]:
    """Return a builder of a row that came in a record of a tablet."""

    def build() -> models.Model:
        unit = make_unit(make_bridge())
        visit = make_inspection(unit.bridge)
        names = {each.name for each in model._meta.concrete_fields}
        place = {"element": make_element(unit)} if "element" in names else {}
        return model.objects.create(
            inspection=visit, record=_record(visit, kind), **place, **fields
        )

    return build


def _set_aside() -> SetAside:
    unit = make_unit(make_bridge())
    reading = _read(make_inspection(unit.bridge), make_element(unit))
    return SetAside.objects.create(
        reading=reading, record=_record(reading.inspection), reason="read twice"
    )


def _drawing() -> Drawing:
    """Return a drawing of an element, so that each of its references is filled."""
    element = make_element(make_unit(make_bridge()))
    return Drawing.objects.create(
        bridge=element.bridge,
        element=element,
        number=f"S-{next(_number)}",
        title="Bearing schedule",
        file="drawings/a.pdf",
        format="pdf",
        sheets=2,
        size_bytes=4096,
        sent_sha256="0" * 64,
    )


def _settings() -> AgencySettings:
    row = AgencySettings()
    row.save()
    return row


_BUILDERS = {
    District: lambda: District.objects.create(code=f"D{next(_number)}", name="Test"),
    Bridge: make_bridge,
    TemperatureBasis: lambda: make_bridge().temperature_basis,
    InventoryTold: lambda: InventoryTold.objects.create(bridge=make_bridge(), figures={}),
    Unit: lambda: make_unit(make_bridge()),
    UnitConcrete: lambda: make_concrete(make_unit(make_bridge()), axial_stress_mpa=0.0),
    UnitSection: lambda: make_section(make_unit(make_bridge())),
    StationYear: lambda: StationYear.objects.create(
        station=f"S{next(_number)}", year=2001, year_min_c=-12.5, year_max_c=33.0
    ),
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
    Drawing: _drawing,
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
    AirDay: lambda: AirDay.objects.create(
        station=f"S{next(_number)}", day=dt.date(2024, 6, 1), min_c=8.0, max_c=21.0
    ),
    AgencySettings: _settings,
    Verdict: _verdict,
    ElementStatus: lambda: _verdict().element.status,
    TabletRecord: lambda: _record(make_inspection(make_bridge())),
    Condition: _from_the_field(Condition, "condition", defect=1000, cs1=3, cs2=1, total=4),
    FieldNote: _from_the_field(FieldNote, "note", text="Nest on the pier cap"),
    CriticalFinding: _from_the_field(
        CriticalFinding, "critical", what="A rod is gone", found_at=_AT
    ),
    LeftOut: _from_the_field(LeftOut, "left_out", reason="covered"),
    Photo: _from_the_field(
        Photo,
        "photo",
        taken_at=_AT,
        image="photos/a.jpg",
        thumbnail="thumbnails/a.jpg",
        width_px=800,
        height_px=600,
        sent_sha256="0" * 64,
    ),
    SetAside: _set_aside,
    SignOff: _from_the_field(
        SignOff, "sign_off", role="lead", statement="Seen", signed_at=_AT, digest="0" * 64
    ),
    ElementHistory: _history,
    UnitDiagnosis: _diagnosis,
    Explanation: lambda: Explanation.objects.create(
        diagnosis=_diagnosis(), rank=1, cause=0, odds_log=0.0
    ),
    CapacityCheck: _check,
    ComponentRating: lambda: ComponentRating.objects.create(
        inspection=make_inspection(make_bridge()), item="B.C.07", code="6"
    ),
    ElementDataRow: lambda: ElementDataRow.objects.create(
        state_code="99",
        structure_number=f"S{next(_number)}",
        element_number=510,
        parent_number=12,
        total=10,
        cs1=7,
        cs2=3,
        cs3=0,
        cs4=0,
    ),
    Preference: lambda: Preference.objects.create(user=make_user()),
} | DESK_BUILDERS


def valid_row(model: type[models.Model]) -> models.Model:
    """Return a saved row that passes every check, with whatever it refers to."""
    row = _BUILDERS[model]()
    return model.objects.get(pk=row.pk)


def kept_models() -> list[type[models.Model]]:
    """Return the models that there is a valid row for."""
    return list(_BUILDERS)
