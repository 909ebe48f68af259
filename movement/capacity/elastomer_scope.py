"""What elastomeric bearings the rules were made for: modulus, temperature, size."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.bearing_inputs import AashtoEdition, Pad
from movement.capacity.results import Check, Provenance, Rule, compare
from movement.checks import known_or_missing
from movement.us_units import MPA_PER_KSI

SHEAR_MODULUS_KSI = (0.080, 0.175)  # 60 +/- 5 durometer by FHWA's example: 0.080 to 0.180, read
NOMINAL_MODULUS_MPA = (0.7, 0.9, 1.15)  # EN 1337-3:2005; from memory
DRAFT = "prEN 1337-3:2018"
COLDEST_C, COLDEST_LOW_GRADE_C, HOTTEST_C, LARGEST_PLAN_MM = -25.0, -40.0, 50.0, 1200.0
"""Scope of the draft, by a standards catalogue; read.  70 degC for under 8 h is allowed too."""


def modulus_in_range(pad: Pad) -> list[Check]:
    """Shear modulus against 0.080 and 0.175 ksi, between which the AASHTO rules hold."""
    least, most = (each * MPA_PER_KSI for each in SHEAR_MODULUS_KSI)
    needs = {"shear_modulus_mpa": pad.shear_modulus_mpa}

    def rule(name: str) -> Rule:
        return Rule(name, "14.7.5.2", str(AashtoEdition.NINTH), "MPa", Provenance.MEMORY)

    return [
        compare(rule("Shear modulus, least"), least, pad.shear_modulus_mpa, needs),
        compare(rule("Shear modulus, greatest"), pad.shear_modulus_mpa, most, needs),
    ]


def draft_scope(
    pad: Pad, coldest_c: ArrayLike, hottest_c: ArrayLike, low_temperature_grade: ArrayLike = False
) -> list[Check]:
    """Temperature and plan of a bearing against the scope of prEN 1337-3:2018.

    Temperatures are compared by how far they lie below or above 0 degC.
    """
    cold, hot = known_or_missing("coldest_c", coldest_c), known_or_missing("hottest_c", hottest_c)
    low_grade = np.asarray(low_temperature_grade, dtype=bool)
    largest = np.where(
        pad.is_round, pad.plan_diameter_mm, np.maximum(pad.plan_length_mm, pad.plan_width_mm)
    )

    def rule(name: str, unit: str) -> Rule:
        return Rule(name, "scope", DRAFT, unit, Provenance.READ)

    return [
        compare(
            rule("Cold below 0 degC", "K"),
            np.maximum(-cold, 0.0),
            -np.where(low_grade, COLDEST_LOW_GRADE_C, COLDEST_C),
            {"coldest_c": cold},
        ),
        compare(
            rule("Heat above 0 degC", "K"), np.maximum(hot, 0.0), HOTTEST_C, {"hottest_c": hot}
        ),
        compare(rule("Largest plan size", "mm"), largest, LARGEST_PLAN_MM, pad.plan_needs),
    ]
