"""Sealed deck joints: compression, strip, poured and plug."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.joints import (
    at_least,
    at_most,
    design_range,
    racking,
    single_gap,
    skew_of_type,
)
from movement.capacity.results import (
    Carried,
    Check,
    Provenance,
    Rule,
    above_zero_or_missing,
    compare,
)
from movement.checks import at_least_zero, known_or_missing
from movement.standards.wsdot_bdm_9 import SealRange
from movement.us_units import MM_PER_IN

WSDOT, IDAHO = "WSDOT BDM, chapter 9", "Idaho bridge manual"
PREFORMED = "state summary of preformed seals"
BD_33 = "BD 33/94, trade summary"
COMPRESSION_SEAL_MOST_IN = 4.0  # Idaho; read
PREFORMED_LEAST_IN, RACKING_SHARE = 0.5, 0.15  # read
SILICONE_RANGE = (0.50, 2.00)  # -50 %, +100 % of installed width; Idaho, read
POURED_MOVEMENT_MM = 38.0  # 1.5 in; general highway handbook, read
BD_33_EACH_SIDE_MM = {
    # from the setting, each side; BD 33/94 by a trade summary, read
    "buried": 10.0,
    "plug": 20.0,
    "nosing": 20.0,
    "reinforced elastomeric": 165.0,
}
NOSING_GAP_MOST_MM = 65.0  # BD 33/94 by a trade summary, read


def compression_seal_range(
    square_gap_mm: Carried, seal_width_mm: ArrayLike, seal: SealRange
) -> list[Check]:
    """Gap square to the joint against the least and the most that the seal works in."""
    width = above_zero_or_missing("seal_width_mm", seal_width_mm)
    needs: dict[str, ArrayLike] = {"seal_width_mm": width}
    return [
        *at_most(_wsdot("Seal held, widest gap"), square_gap_mm, seal.most * width, needs),
        *at_least(_wsdot("Seal crushed, least gap"), square_gap_mm, seal.least * width, needs),
    ]


def compression_seal_shear(
    slip_mm: Carried, seal_width_mm: ArrayLike, seal: SealRange
) -> list[Check]:
    """Slip along the joint, either way, against the seal's share of its width."""
    width = above_zero_or_missing("seal_width_mm", seal_width_mm)
    limit = seal.shear * width
    rule = _wsdot("Seal sheared along the joint")
    return [
        compare(rule, np.abs(slip), limit, {field: slip, "seal_width_mm": width}, when)
        for when, slip, field in slip_mm.states()
    ]


def _wsdot(name: str) -> Rule:
    return Rule(name, "9.1.3.A", WSDOT, "mm", Provenance.READ)


def compression_seal_width(seal_width_mm: ArrayLike) -> Check:
    """Uncompressed width of the seal against 4 in."""
    width = above_zero_or_missing("seal_width_mm", seal_width_mm)
    return compare(
        Rule("Width of the seal", "small movement joints", IDAHO, "mm", Provenance.READ),
        width,
        COMPRESSION_SEAL_MOST_IN * MM_PER_IN,
        {"seal_width_mm": width},
    )


def preformed_least_gap(square_gap_mm: Carried) -> list[Check]:
    """0.5 in against the gap square to the joint."""
    rule = Rule("Least gap of a preformed seal", "limits", PREFORMED, "mm", Provenance.READ)
    return at_least(rule, square_gap_mm, PREFORMED_LEAST_IN * MM_PER_IN, {})


def preformed_racking(
    slip_mm: Carried, opening_min_mm: ArrayLike, opening_max_mm: ArrayLike
) -> list[Check]:
    """Slip along the joint against 15 % of the movement allowed square to it.

    Where the maker gives no graph.
    """
    low = at_least_zero("opening_min_mm", opening_min_mm)
    high = above_zero_or_missing("opening_max_mm", opening_max_mm)
    limit = RACKING_SHARE * np.maximum(high - low, 0.0)
    rule = Rule("Racking without a graph", "limits", PREFORMED, "mm", Provenance.READ)
    needs = {"opening_min_mm": low, "opening_max_mm": high}
    return [
        compare(rule, np.abs(slip), limit, {field: slip, **needs}, when)
        for when, slip, field in slip_mm.states()
    ]


def poured_strain(gap_mm: Carried, installed_width_mm: ArrayLike) -> list[Check]:
    """Width of silicone against +100 % and -50 % of its installed width."""
    width = above_zero_or_missing("installed_width_mm", installed_width_mm)
    low, high = SILICONE_RANGE
    needs: dict[str, ArrayLike] = {"installed_width_mm": width}

    def rule(name: str) -> Rule:
        return Rule(name, "silicone, class 100/50", IDAHO, "mm", Provenance.READ)

    return [
        *at_most(rule("Sealant stretched"), gap_mm, high * width, needs),
        *at_least(rule("Sealant squeezed"), gap_mm, low * width, needs),
    ]


def poured_movement(gap_mm: Carried, gap_at_setting_mm: ArrayLike) -> list[Check]:
    """Movement from the setting, either way, against 38 mm."""
    rule = Rule(
        "Movement of a poured seal", "poured joints", "highway handbook", "mm", Provenance.READ
    )
    return _from_setting(rule, rule, gap_mm, gap_at_setting_mm, POURED_MOVEMENT_MM)


def poured_total_movement(gap_mm: Carried) -> Check:
    """Movement between both design extremes against 38 mm: the figure is for all of it."""
    rule = Rule(
        "Total movement of a poured seal",
        "poured joints",
        "highway handbook",
        "mm",
        Provenance.READ,
    )
    return total_movement(rule, gap_mm, POURED_MOVEMENT_MM)


def total_movement(rule: Rule, gap_mm: Carried, most_mm: float) -> Check:
    """Compare the movement between both design extremes with a largest value."""
    name = gap_mm.quantity
    return compare(
        rule,
        np.abs(gap_mm.at_min - gap_mm.at_max),
        most_mm,
        {f"{name}_at_min": gap_mm.at_min, f"{name}_at_max": gap_mm.at_max},
    )


def each_side_bd_33(gap_mm: Carried, gap_at_setting_mm: ArrayLike, joint: str) -> list[Check]:
    """Opening and closing from the setting, each alone, against the joint type's figure.

    ``joint`` is "buried", "plug", "nosing" or "reinforced elastomeric".
    """
    limit = BD_33_EACH_SIDE_MM[joint]
    opening = Rule(f"Opening of a {joint} joint", "table", BD_33, "mm", Provenance.READ)
    closing = Rule(f"Closing of a {joint} joint", "table", BD_33, "mm", Provenance.READ)
    return _from_setting(opening, closing, gap_mm, gap_at_setting_mm, limit)


def _from_setting(
    opening: Rule, closing: Rule, gap_mm: Carried, gap_at_setting_mm: ArrayLike, limit: float
) -> list[Check]:
    setting = known_or_missing("gap_at_setting_mm", gap_at_setting_mm)
    return [
        compare(
            rule,
            np.maximum(sign * (gap - setting), 0.0),
            limit,
            {field: gap, "gap_at_setting_mm": setting},
            when,
        )
        for when, gap, field in gap_mm.states()
        for rule, sign in ((opening, 1.0), (closing, -1.0))
    ]


def nosing_gap(gap_mm: Carried) -> list[Check]:
    """Gap of a nosing joint against 65 mm."""
    rule = Rule("Gap of a nosing joint", "table", BD_33, "mm", Provenance.READ)
    return at_most(rule, gap_mm, NOSING_GAP_MOST_MM, {})


def compression_seal(
    square_gap_mm: Carried,
    gap_along_road_mm: Carried,
    slip_mm: Carried,
    skew_deg: ArrayLike,
    seal_width_mm: ArrayLike = np.nan,
    seal: SealRange | None = None,
) -> list[Check]:
    """Checks of a compression seal."""
    limits = seal or SealRange()
    return [
        *compression_seal_range(square_gap_mm, seal_width_mm, limits),
        *compression_seal_shear(slip_mm, seal_width_mm, limits),
        compression_seal_width(seal_width_mm),
        *single_gap(gap_along_road_mm),
        skew_of_type(skew_deg, "compression seal"),
    ]


def strip_seal(
    square_gap_mm: Carried,
    gap_along_road_mm: Carried,
    design_gap_mm: Carried,
    slip_mm: Carried,
    skew_deg: ArrayLike,
    opening_min_mm: ArrayLike = np.nan,
    opening_max_mm: ArrayLike = np.nan,
    racking_limit_mm: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a strip seal; racking by its own figure, and without one by 15 %."""
    return [
        *design_range(design_gap_mm, opening_min_mm, opening_max_mm),
        *preformed_least_gap(square_gap_mm),
        *single_gap(gap_along_road_mm),
        *racking(slip_mm, racking_limit_mm),
        *preformed_racking(slip_mm, opening_min_mm, opening_max_mm),
        skew_of_type(skew_deg, "strip seal"),
    ]


def poured(
    gap_mm: Carried,
    gap_along_road_mm: Carried,
    gap_at_setting_mm: ArrayLike = np.nan,
    installed_width_mm: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a poured joint."""
    return [
        *poured_strain(gap_mm, installed_width_mm),
        *poured_movement(gap_mm, gap_at_setting_mm),
        poured_total_movement(gap_mm),
        *single_gap(gap_along_road_mm),
    ]


def plug(gap_mm: Carried, gap_at_setting_mm: ArrayLike = np.nan) -> list[Check]:
    """Checks of an asphaltic plug joint: 20 mm each side of its setting."""
    return each_side_bd_33(gap_mm, gap_at_setting_mm, "plug")
