"""Tables of visits, readings, verdicts and agency settings."""

from inspections.models.agency import AgencySettings, Preference
from inspections.models.readings import AirTemperature, Reading, TemperatureReading
from inspections.models.verdicts import ElementStatus, Verdict
from inspections.models.visits import Inspection, Instrument

__all__ = [
    "AgencySettings",
    "AirTemperature",
    "ElementStatus",
    "Inspection",
    "Instrument",
    "Preference",
    "Reading",
    "TemperatureReading",
    "Verdict",
]
