"""Condition state that a measured size means, for defects of bearings and joints.

Limits: AASHTO Manual for Bridge Element Inspection, 2nd ed. (2019), read in a copy.  A number
alone never makes the worst state of a defect whose fourth state is a structural review.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import at_least_zero, at_most_or_missing
from movement.us_units import MM_PER_IN

States = NDArray[np.int8]

BULGE_SHARE = 0.15  # defect 2230, of the thickness
AREA_LOST_SHARE = 0.10  # defect 2240, of the bearing area
ADHERED_SHARE = 0.50  # defect 2320, of the joint's height
SPALL_DEPTH_IN, SPALL_DIAMETER_IN = 1.0, 6.0  # defect 2360
NOT_KNOWN = 0


def _states(unknown: NDArray[np.bool_], conditions: list[NDArray[np.bool_]]) -> States:
    """Return 1 to 4 by the last condition that holds, 0 where something is not known."""
    state = np.ones(np.broadcast_shapes(unknown.shape, *(each.shape for each in conditions)))
    for number, holds in enumerate(conditions, start=2):
        state = np.where(holds, number, state)
    return np.where(unknown, NOT_KNOWN, state).astype(np.int8)


def bulging(
    bulge_share: ArrayLike, split_or_torn: ArrayLike = False, not_parallel: ArrayLike = False
) -> States:
    """State of defect 2230: bulge over thickness, splits, surfaces out of parallel.

    Returns
    -------
    numpy.ndarray of int8
        1 without a bulge, 2 below 15 %, 3 from there on or with any split or tear or
        surfaces not parallel; 0 where the bulge is not known and nothing else shows.
    """
    share = at_least_zero("bulge_share", bulge_share)
    worse = np.asarray(split_or_torn, dtype=bool) | np.asarray(not_parallel, dtype=bool)
    unknown = np.isnan(share) & ~worse
    return _states(unknown, [share > 0, (share >= BULGE_SHARE) | worse])


def loss_of_area(lost_share: ArrayLike) -> States:
    """State of defect 2240: 1 with none, 2 below 10 %, 3 from there on; 0 not known."""
    share = at_most_or_missing("lost_share", lost_share, 1.0, "Give a share, 0.1 for 10 %.")
    return _states(np.isnan(share), [share > 0, share >= AREA_LOST_SHARE])


def seal_adhesion(adhered_share: ArrayLike) -> States:
    """State of defect 2320, by the share of the joint's height over which a seal adheres.

    1 in full, 2 over more than half, 3 over half or less, 4 nowhere; 0 not known.
    """
    share = at_most_or_missing("adhered_share", adhered_share, 1.0, "Give a share, 0.5 for half.")
    return _states(np.isnan(share), [share < 1, share <= ADHERED_SHARE, share == 0])


def spalled_header(
    depth_mm: ArrayLike, diameter_mm: ArrayLike, reinforcement_exposed: ArrayLike = False
) -> States:
    """State of defect 2360, by the size of a spall beside the joint.

    1 without one, 2 up to 1 in deep and 6 in across, 3 beyond either or with reinforcement
    exposed; 0 not known.  The text joins depth and diameter by "or" in both states, so a
    shallow wide spall meets both: the worse one governs (judgement, no source).
    """
    depth = at_least_zero("spall_depth_mm", depth_mm)
    across = at_least_zero("spall_diameter_mm", diameter_mm)
    exposed = np.asarray(reinforcement_exposed, dtype=bool)
    large = (depth > SPALL_DEPTH_IN * MM_PER_IN) | (across > SPALL_DIAMETER_IN * MM_PER_IN)
    unknown = (np.isnan(depth) | np.isnan(across)) & ~large & ~exposed
    return _states(unknown, [(depth > 0) | (across > 0), large | exposed])


def controlling(states: ArrayLike) -> States:
    """Worst state of several defects in the same unit of quantity, along the last axis.

    0 where none of them is known.  From memory.
    """
    return np.asarray(np.max(np.asarray(states, dtype=np.int8), axis=-1), dtype=np.int8)
