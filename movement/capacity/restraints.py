"""Shear keys, lock-up devices, restrainer cables, hold-downs, clamps and rods as found."""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity import rods
from movement.capacity.results import (
    Carried,
    Check,
    Provenance,
    Rule,
    above_zero_or_missing,
    compare,
)
from movement.checks import Floats, at_least_zero, at_most_or_missing, known_or_missing
from movement.errors import InputError
from movement.standards import modot_restrainers_2004 as restrainers
from movement.us_units import KN_PER_KIP

CABLE_YIELD_SHARE = 0.85  # of the breaking force: 39.1 of 46 kip, Californian practice; memory
SLIP_COEFFICIENT = {
    # from memory, but for the name of the source beside each
    "class A": 0.30,  # RCSC
    "class B": 0.50,  # RCSC
    "class C": 0.30,  # AASHTO LRFD, galvanized
    "class D": 0.45,  # AASHTO LRFD
    "concrete on clean steel": 0.70,  # AASHTO LRFD, shear friction
}
STRAND_KIP = {0.5: 41.3, 0.6: 58.6}  # grade 270, ASTM A416; [in]: force; from memory
STRAND_SHARE_AT_ANCHORAGE = 0.70  # of f_pu; AASHTO LRFD, 5.9.2.2; from memory


class Gap(IntEnum):
    """Which side of a restraint a gap stands on."""

    BACK = 0
    AHEAD = 1
    LEFT = 2
    RIGHT = 3


GAP_FIELD = {Gap.BACK: "back", Gap.AHEAD: "ahead", Gap.LEFT: "left", Gap.RIGHT: "right"}
GAP_STAYS_OPEN, SLACK_REMAINS = "Gap stays open", "Slack remains"
"""The same check of a key or lock-up device, and of a cable."""


def gap_stays_open(
    gap_mm: Carried, gap_min_mm: ArrayLike = 0.0, side: str = "", what: str = GAP_STAYS_OPEN
) -> list[Check]:
    """Closing that temperature still brings, and the gap that must stay, against the gap found.

    Parameters
    ----------
    gap_mm : Carried
        Gap on one side, as found and carried to both extremes; negative when carried means
        that the restraint would engage on temperature alone [mm].
    gap_min_mm : array_like
        Gap that must stay open, as the owner asks; 0 where nothing is asked [mm].
    side : str
        For the name, such as "ahead".
    what : str
        Its name without the side.

    Notes
    -----
    A key engages when the movement exceeds its gap.  No published figure for the margin was
    found: it is the owner's.
    """
    at_least_zero(gap_mm.quantity, gap_mm.now)
    margin = at_least_zero("gap_min_mm", gap_min_mm)
    name = f"{what}, {side}" if side else what
    rule = Rule(name, "thermal movement", "geometry", "mm", Provenance.GEOMETRY)
    return [
        compare(
            rule,
            np.maximum(gap_mm.now - gap, 0.0) + margin,
            gap_mm.now,
            {gap_mm.quantity: gap_mm.now, field: gap, "gap_min_mm": margin},
            when,
        )
        for when, gap, field in gap_mm.states()
    ]


def slip(slip_mm: Carried, slip_limit_mm: ArrayLike) -> list[Check]:
    """Slip or change of projection, either way, against its design figure."""
    limit = above_zero_or_missing("slip_limit_mm", slip_limit_mm)
    rule = Rule("Slip", "design figure", "register", "mm", Provenance.DESIGN)
    return [
        compare(rule, np.abs(value), limit, {field: value, "slip_limit_mm": limit}, when)
        for when, value, field in slip_mm.states()
    ]


def uplift(
    uplift_kn: ArrayLike,
    vertical_kn: ArrayLike,
    rod_count: ArrayLike = 1.0,
    rods_broken: ArrayLike = 0.0,
) -> Check:
    """Uplift of a hold-down against its capacity, times the share of its rods still whole."""
    demand = known_or_missing("uplift_kn", uplift_kn)
    capacity = at_least_zero("vertical_kn", vertical_kn)
    count = above_zero_or_missing("rod_count", rod_count)
    return compare(
        Rule("Uplift", "design figure", "register", "kN", Provenance.DESIGN),
        demand,
        capacity * rods.whole(count, rods_broken) / count,
        {
            "uplift_kn": demand,
            "vertical_kn": capacity,
            "rod_count": count,
            "rods_broken": np.asarray(rods_broken, dtype=np.float64),
        },
    )


def strand_clamp_force_kn(
    strands: ArrayLike, strand_diameter_in: float, stressed_to: ArrayLike
) -> Floats:
    """Clamping force of strands stressed to a share of their strength [kN], before losses."""
    try:
        strength = STRAND_KIP[strand_diameter_in] * KN_PER_KIP
    except KeyError:
        raise InputError(
            "strand_diameter_in",
            f"no strength of {strand_diameter_in:g} in strand is held",
            f"Choose one of {', '.join(f'{each:g}' for each in STRAND_KIP)}.",
        ) from None
    share = at_most_or_missing("stressed_to", stressed_to, 1.0, "Give a share of the strength.")
    return np.asarray(at_least_zero("strands", strands) * strength * share)


def strand_stress(stressed_to: ArrayLike) -> Check:
    """Stress of low-relaxation strand at its anchorage against 0.70 f_pu."""
    share = at_most_or_missing("stressed_to", stressed_to, 1.0, "Give a share of the strength.")
    return compare(
        Rule("Strand stress", "5.9.2.2", "AASHTO LRFD, 9th ed. (2020)", "-", Provenance.MEMORY),
        share,
        STRAND_SHARE_AT_ANCHORAGE,
        {"stressed_to": share},
    )


def clamp_friction(
    horizontal_kn: ArrayLike,
    clamp_force_kn: ArrayLike,
    slip_coefficient: ArrayLike,
    losses_share: ArrayLike = 0.0,
    faces: ArrayLike = 1.0,
) -> Check:
    """Horizontal force asked of a clamp against mu N of its faces, after losses.

    Parameters
    ----------
    horizontal_kn : array_like
        Force that the clamp must hold [kN].
    clamp_force_kn : array_like
        N, all rods or strands, as tensioned or as measured [kN].
    slip_coefficient : array_like
        mu, see ``SLIP_COEFFICIENT`` [-].
    losses_share : array_like
        Part of the force that is lost; 0 where N was measured [-].
    faces : array_like
        Friction faces.
    """
    demand = at_least_zero("horizontal_kn", horizontal_kn)
    force = at_least_zero("clamp_force_kn", clamp_force_kn)
    mu = at_most_or_missing("slip_coefficient", slip_coefficient, 2.0, "Give a coefficient.")
    lost = at_most_or_missing("losses_share", losses_share, 1.0, "Give the share, 0.2 for 20 %.")
    count = at_least_zero("faces", faces)
    return compare(
        Rule("Friction of the clamp", "mu N", "common practice", "kN", Provenance.MEMORY),
        demand,
        mu * force * (1.0 - lost) * count,
        {
            "horizontal_kn": demand,
            "clamp_force_kn": force,
            "slip_coefficient": mu,
            "losses_share": lost,
            "faces": count,
        },
    )


def key_or_lock_up(
    gaps_mm: dict[Gap, Carried], gap_min_mm: ArrayLike = 0.0, what: str = GAP_STAYS_OPEN
) -> list[Check]:
    """Checks of a key, lock-up device or cable: temperature may close no gap on any side."""
    return [
        check
        for side, gap in gaps_mm.items()
        for check in gap_stays_open(gap, gap_min_mm, GAP_FIELD[side], what)
    ]


def cables_stay_elastic(
    horizontal_kn: ArrayLike, cable_count: ArrayLike, cable_diameter_mm: ArrayLike
) -> Check:
    """Horizontal force asked of a restrainer against the yield of its cables, all together.

    Parameters
    ----------
    horizontal_kn : array_like
        Force that the restrainer must hold [kN].
    cable_count : array_like
        Ropes that share it.
    cable_diameter_mm : array_like
        Nominal diameter of one rope [mm]; another size than 3/4 in cannot be checked.

    Notes
    -----
    n 0.85 F, F the breaking force of Missouri DOT's provision; the share is from memory.
    """
    demand = at_least_zero("horizontal_kn", horizontal_kn)
    count = above_zero_or_missing("cable_count", cable_count)
    diameter = above_zero_or_missing("cable_diameter_mm", cable_diameter_mm)
    return compare(
        Rule(
            "Cables below yield", restrainers.CLAUSE, restrainers.EDITION, "kN", Provenance.MEMORY
        ),
        demand,
        count * CABLE_YIELD_SHARE * restrainers.cable_breaking_kn(diameter),
        {"horizontal_kn": demand, "cable_count": count, "cable_diameter_mm": diameter},
        bounds={
            "cable_diameter_mm within range": np.isnan(diameter)
            | restrainers.is_of_its_size(diameter)
        },
    )


def hold_down(
    uplift_kn: ArrayLike,
    vertical_kn: ArrayLike = np.nan,
    rod_count: ArrayLike = np.nan,
    rods_broken: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a hold-down; broken rods take their share of its capacity."""
    return [
        uplift(uplift_kn, vertical_kn, rod_count, rods_broken),
        rods.rods_whole(rod_count, rods_broken),
    ]


def anchor_rods(
    grade: rods.RodGrade,
    rod_diameter_mm: ArrayLike = np.nan,
    tension_kn: ArrayLike = np.nan,
    rod_pretension_kn: ArrayLike = np.nan,
    rod_count: ArrayLike = np.nan,
    rods_broken: ArrayLike = np.nan,
    threads_per_in: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a group of rods of one grade."""
    return [
        rods.pretension_specified(grade, rod_diameter_mm, rod_pretension_kn, threads_per_in),
        rods.rod_overstress(grade, rod_diameter_mm, tension_kn, threads_per_in),
        rods.pretension_kept(rod_pretension_kn, tension_kn),
        rods.rods_whole(rod_count, rods_broken),
        rods.group_tension(rod_count, rod_pretension_kn, rods_broken, tension_kn),
    ]


def clamp(
    slip_mm: Carried,
    slip_limit_mm: ArrayLike = np.nan,
    horizontal_kn: ArrayLike = np.nan,
    clamp_force_kn: ArrayLike = np.nan,
    slip_coefficient: ArrayLike = np.nan,
    losses_share: ArrayLike = 0.0,
    faces: ArrayLike = 1.0,
) -> list[Check]:
    """Checks of a clamped interface."""
    return [
        *slip(slip_mm, slip_limit_mm),
        clamp_friction(horizontal_kn, clamp_force_kn, slip_coefficient, losses_share, faces),
    ]
