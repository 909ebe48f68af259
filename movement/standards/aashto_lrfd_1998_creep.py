"""AASHTO LRFD before its 2005 interim revisions, 5.4.2.3.2: creep of concrete.

For decks designed by those editions.  The form is from memory; its factors of size and
strength reproduce the two that were read in the FHWA prestressed example, appendix C.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, known_or_missing, positive
from movement.standards.aashto_lrfd_9_shortening import MM_PER_IN, MPA_PER_KSI
from movement.standards.validity import Validity

EDITION = "AASHTO LRFD, before 2005"
SIZE = Validity("volume_to_surface_mm", 1e-9, 6.0 * MM_PER_IN, "AASHTO LRFD C5.4.2.3.2, memory")
HUMIDITY = Validity("humidity_percent", 30.0, 100.0, "as for the later form; judgement")


def creep_coefficient(
    duration_d: ArrayLike,
    age_at_loading_d: ArrayLike,
    strength_mpa: ArrayLike,
    volume_to_surface_mm: ArrayLike,
    humidity_percent: ArrayLike,
) -> Floats:
    """Creep coefficient psi(t, ti): creep strain over elastic strain at loading [-].

    Parameters
    ----------
    duration_d, age_at_loading_d : array_like
        Time under load and age when loaded [days]; NaN gives NaN, as in every argument.
    strength_mpa : array_like
        f'c at 28 days [MPa].
    volume_to_surface_mm : array_like
        Up to 152 (6 in) [mm].
    humidity_percent : array_like
        30 to 100 [%].

    Notes
    -----
    psi = 3.5 kc kf (1.58 - H/120) ti^-0.118 t^0.6 / (10 + t^0.6).
    """
    duration = at_least_zero("duration_d", duration_d)
    grown = duration**0.6
    age = positive("age_at_loading_d", age_at_loading_d)
    return np.asarray(
        3.5
        * size_factor(duration, volume_to_surface_mm)
        * strength_factor(strength_mpa)
        * (1.58 - HUMIDITY.checked(humidity_percent) / 120.0)
        * age**-0.118
        * grown
        / (10.0 + grown),
        dtype=np.float64,
    )


def size_factor(duration_d: ArrayLike, volume_to_surface_mm: ArrayLike) -> Floats:
    """Factor kc of volume to surface, which fades as the load lasts [-].

    kc = {[t / (26 e^(0.36 V/S) + t)] / [t / (45 + t)]} (1.80 + 1.77 e^(-0.54 V/S)) / 2.587,
    V/S in inches.
    """
    duration = known_or_missing("duration_d", duration_d)
    ratio = SIZE.checked(volume_to_surface_mm) / MM_PER_IN
    early = (45.0 + duration) / (26.0 * np.exp(0.36 * ratio) + duration)
    return np.asarray(early * (1.80 + 1.77 * np.exp(-0.54 * ratio)) / 2.587, dtype=np.float64)


def strength_factor(strength_mpa: ArrayLike) -> Floats:
    """Factor kf = 1 / (0.67 + f'c / 9), f'c in ksi [-]."""
    return np.asarray(
        1.0 / (0.67 + positive("strength_mpa", strength_mpa) / MPA_PER_KSI / 9.0), dtype=np.float64
    )
