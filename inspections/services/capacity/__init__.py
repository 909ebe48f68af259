"""Capacity as found: every rule that is held for a device, with its readings in place.

The checks show what is used up; they do not change the verdict of a reading.
"""

from inspections.services.capacity.last_read import LastReadings, ReadOn
from inspections.services.capacity.resting import Resting, resting_on_figures
from inspections.services.capacity.writing import Held, Now, SoFar, checks_after, write_checks

__all__ = [
    "Held",
    "LastReadings",
    "Now",
    "ReadOn",
    "Resting",
    "SoFar",
    "checks_after",
    "resting_on_figures",
    "write_checks",
]
