"""Tables of visits, readings, verdicts and agency settings."""

from inspections.models.agency import AgencySettings, Preference
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
    "ElementHistory",
    "ElementStatus",
    "Explanation",
    "Inspection",
    "Instrument",
    "Preference",
    "Reading",
    "TemperatureReading",
    "UnitDiagnosis",
    "Verdict",
]
