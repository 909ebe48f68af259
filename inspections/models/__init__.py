"""Tables of visits, readings, verdicts and agency settings."""

from inspections.models.agency import AgencySettings, Preference
from inspections.models.field_work import (
    Condition,
    CriticalFinding,
    FieldNote,
    LeftOut,
    Photo,
    SetAside,
    SignOff,
    TabletRecord,
)
from inspections.models.findings import (
    CapacityCheck,
    ElementHistory,
    Explanation,
    UnitDiagnosis,
)
from inspections.models.readings import AirDay, AirTemperature, Reading, TemperatureReading
from inspections.models.verdicts import ElementStatus, Verdict
from inspections.models.visits import Inspection, Instrument

__all__ = [
    "AgencySettings",
    "AirDay",
    "AirTemperature",
    "CapacityCheck",
    "Condition",
    "CriticalFinding",
    "ElementHistory",
    "ElementStatus",
    "Explanation",
    "FieldNote",
    "Inspection",
    "Instrument",
    "LeftOut",
    "Photo",
    "Preference",
    "Reading",
    "SetAside",
    "SignOff",
    "TabletRecord",
    "TemperatureReading",
    "UnitDiagnosis",
    "Verdict",
]
