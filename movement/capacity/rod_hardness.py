"""Hardness of high-strength rods, and the risk of cracking by hydrogen.  From memory, verify."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.results import Check, Provenance, Rule, above_zero_or_missing, compare
from movement.capacity.rods import SIZE_TOLERANCE_MM, RodGrade
from movement.checks import at_least_zero
from movement.us_units import MM_PER_IN

A354_BD_HRC = ((2.5, 33.0, 39.0), (4.0, 31.0, 39.0))  # up to this diameter [in]: least, most
RISK_FROM_HRC = 35.0  # with galvanizing or in the wet; practice speaks of 35 to 39


def hardness_a354_bd(rod_diameter_mm: ArrayLike, hardness_hrc: ArrayLike) -> list[Check]:
    """Rockwell C hardness of an ASTM A354 grade BD rod against its least and its greatest."""
    diameter = above_zero_or_missing("rod_diameter_mm", rod_diameter_mm)
    hardness = at_least_zero("hardness_hrc", hardness_hrc)
    (thin_in, thin_least, thin_most), (thick_in, thick_least, thick_most) = A354_BD_HRC
    thin = diameter <= thin_in * MM_PER_IN + SIZE_TOLERANCE_MM
    held = np.isnan(diameter) | (diameter <= thick_in * MM_PER_IN + SIZE_TOLERANCE_MM)
    needs = {"rod_diameter_mm": diameter, "hardness_hrc": hardness}
    bounds = {f"rod_diameter_mm within {thick_in * MM_PER_IN:g} of {RodGrade.A354_BD}": held}

    def rule(name: str) -> Rule:
        return Rule(name, "hardness", str(RodGrade.A354_BD), "HRC", Provenance.MEMORY)

    least = np.where(thin, thin_least, thick_least)
    most = np.where(thin, thin_most, thick_most)
    return [
        compare(rule("Hardness, least"), least, hardness, needs, bounds=bounds),
        compare(rule("Hardness, greatest"), hardness, most, needs, bounds=bounds),
    ]


def hydrogen_risk(hardness_hrc: ArrayLike, galvanized_or_wet: ArrayLike) -> Check:
    """Hardness against 35 HRC where a rod is galvanized or stays wet; else without a limit.

    Above it a rod under lasting tension may crack without warning: look for broken ones.
    """
    hardness = at_least_zero("hardness_hrc", hardness_hrc)
    exposed = np.asarray(galvanized_or_wet, dtype=bool)
    return compare(
        Rule("Hydrogen cracking", "hardness", "common practice", "HRC", Provenance.MEMORY),
        hardness,
        np.where(exposed, RISK_FROM_HRC, np.inf),
        {"hardness_hrc": hardness},
    )
