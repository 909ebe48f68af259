"""An invented bridge as its drawings tell it, and what a tape shows there at a temperature.

A composite deck of three spans stands fast at pier P1 (station 40 m) and grows from there by
12e-6 a degree.  All devices were set at 12 degC: bearings centred, joints open as given.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

CODE, NAME = "MV-2", "Mill Vale Viaduct"
FIXED_M, EXPANSION_PER_C, SET_C = 40.0, 12e-6, 12.0
SUPPORTS = (("A1", "abutment", 0), ("P1", "pier", 40), ("P2", "pier", 80), ("A2", "abutment", 120))


@dataclass(frozen=True)
class Place:
    """A bearing that moves along, or a joint."""

    code: str
    support: str
    station_m: float
    kind: str
    set_mm: float = 0.0
    movement_mm: float = 0.0

    def reads_mm(self, at_c: float) -> float:
        """Return what stands there at a temperature while all is well."""
        grown_mm = (self.station_m - FIXED_M) * EXPANSION_PER_C * (at_c - SET_C) * 1000
        opens = self.kind == "bearing" or self.station_m < FIXED_M
        return self.set_mm + (grown_mm if opens else -grown_mm)


BY_HAND = Place("A1-L", "A1", 0, "bearing", movement_mm=60)
BY_FILE = (
    Place("J1", "A1", 0, "joint", set_mm=45),
    Place("P2-L", "P2", 80, "bearing", movement_mm=60),
    Place("P2-R", "P2", 80, "bearing", movement_mm=60),
    Place("A2-L", "A2", 120, "bearing", movement_mm=90),
    Place("A2-R", "A2", 120, "bearing", movement_mm=90),
    Place("J2", "A2", 120, "joint", set_mm=70),
)
PLACES = (BY_HAND, *BY_FILE)


def register_like(sample: str) -> bytes:
    """Return a register file with the heading of the sample, for what was not typed in."""
    heading = next(csv.reader(io.StringIO(sample)))
    told = io.StringIO()
    rows = csv.DictWriter(told, heading, restval="")
    rows.writeheader()
    for each in BY_FILE:
        joint = each.kind == "joint"
        rows.writerow(
            {
                "record": "element",
                "bridge_code": CODE,
                "unit_code": "" if each.code == "J1" else "U1",
                "unit_ahead_code": "U1" if each.code == "J1" else "",
                "support_code": each.support,
                "element_code": each.code,
                "kind": each.kind,
                "station_m": each.station_m,
                "access": "deck" if joint else "ground",
                "replaceable": "yes",
            }
        )
        device = (
            {
                "device_type": "strip_seal",
                "setting_gap_mm": each.set_mm,
                "setting_gap_axis": "square",
                "opening_min_mm": 5,
                "opening_max_mm": 130,
                "opening_axis": "square",
            }
            if joint
            else {
                "device_type": "pot",
                "setting_offset_along_mm": each.set_mm,
                "movement_back_mm": each.movement_mm,
                "movement_ahead_mm": each.movement_mm,
            }
        )
        rows.writerow(
            {
                "record": "installation",
                "bridge_code": CODE,
                "element_code": each.code,
                "installed_on": "2015-05-10",
                "setting_source": "measured",
                "setting_temperature_c": SET_C,
            }
            | device
        )
    return told.getvalue().encode()
