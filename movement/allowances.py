"""What a design movement holds besides temperature."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero
from movement.thermal_range import MovementDemand


def with_allowances(
    thermal: MovementDemand,
    shortening_mm: ArrayLike = 0.0,
    live_load_mm: ArrayLike = 0.0,
    tolerance_mm: ArrayLike = 0.0,
) -> MovementDemand:
    """Movement that a joint or bearing must take, from the setting, both ways.

    Parameters
    ----------
    thermal : MovementDemand
        Contraction and expansion from the setting temperature; what that temperature may
        be off belongs there, as ``allowance_k`` of ``demand_from_setting``.
    shortening_mm : array_like
        Creep, shrinkage and elastic shortening after the setting: contraction alone, since
        a joint that is not shortened as yet must still close by all of the expansion [mm].
    live_load_mm : array_like
        Movement of the end by rotation under passing load, either way [mm].
    tolerance_mm : array_like
        Construction tolerance, and how far the device may be set off its place between
        superstructure and support, either way [mm].

    Returns
    -------
    MovementDemand
        NaN where a part is.

    Notes
    -----
    For sizing a device, never for comparing with a field reading.
    Source: AASHTO LRFD, 9th ed. (2020), 14.4.1 and C14.4.1, from memory, for the list;
    SCI P406 (2015), publisher's summary, read, for the uncertainty of position.
    """
    both = at_least_zero("live_load_mm", live_load_mm) + at_least_zero("tolerance_mm", tolerance_mm)
    contraction, expansion = np.broadcast_arrays(
        thermal.contraction_mm + at_least_zero("shortening_mm", shortening_mm) + both,
        thermal.expansion_mm + both,
    )
    return MovementDemand(contraction, expansion)


def shortening_by_length_mm(shortening_in_per_100_ft: ArrayLike, length_mm: ArrayLike) -> Floats:
    """Shortening from an owner's figure in inches per 100 ft of length [mm]."""
    per_length = at_least_zero("shortening_in_per_100_ft", shortening_in_per_100_ft) / 1200.0
    return np.asarray(per_length * at_least_zero("length_mm", length_mm), dtype=np.float64)
