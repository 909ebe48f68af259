"""The readings of one channel carried along its slope to one temperature, common to them all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inspections.drawing.fitted import has_fit
from inspections.models import ElementHistory, Verdict


@dataclass(frozen=True, slots=True)
class Carrier:
    """The slope that readings are carried along, and the temperature they are carried to."""

    slope: float
    to_c: float

    def value(self, verdict: Verdict) -> float | None:
        """Return where the device would stand at that temperature."""
        if verdict.temperature_c is None:
            return None
        return verdict.value - self.slope * (verdict.temperature_c - self.to_c)

    def standard_uncertainty(self, verdict: Verdict) -> float:
        """Return what reading and temperature leave open of the carried value."""
        return math.hypot(verdict.u_reading or 0.0, self.slope * (verdict.u_temperature_k or 0.0))


def carrier_of(verdicts: Sequence[Verdict], history: ElementHistory | None) -> Carrier | None:
    """Return how readings are carried: along the fitted slope to the mean temperature of all.

    Where no slope could be fitted, the expected one serves; None where there is neither, or
    no reading with a temperature.
    """
    known = [each.temperature_c for each in verdicts if each.temperature_c is not None]
    if not known:
        return None
    if history is not None and has_fit(history):
        return Carrier(history.slope_per_c, history.mean_temperature_c)
    ordered = sorted(verdicts, key=lambda each: each.taken_at, reverse=True)
    slope = next((each.b for each in ordered if each.b is not None), None)
    return None if slope is None else Carrier(slope, math.fsum(known) / len(known))
