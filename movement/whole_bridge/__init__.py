"""All elements of a unit at once: which explanation fits, and how surely."""

from movement.whole_bridge.causes import REGISTER, Cause, Priors
from movement.whole_bridge.readings import Elements, Readings, Supports, Units, Visits
from movement.whole_bridge.results import Diagnosis, Explanations, Missing, Outcome
from movement.whole_bridge.solve import diagnose

__all__ = [
    "REGISTER",
    "Cause",
    "Diagnosis",
    "Elements",
    "Explanations",
    "Missing",
    "Outcome",
    "Priors",
    "Readings",
    "Supports",
    "Units",
    "Visits",
    "diagnose",
]
