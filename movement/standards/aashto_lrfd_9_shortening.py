"""AASHTO LRFD Bridge Design Specifications, 9th edition (2020): creep and shrinkage.

Clauses 5.4.2.3.2 and 5.4.2.3.3, read; ranges and the modulus are from memory.  The
standard works in ksi, inches and days; arguments here are SI and are converted exactly.
The forms before 2007 are not computed.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, at_least_zero, positive
from movement.errors import InputError
from movement.standards.validity import Validity

EDITION = "AASHTO LRFD, 9th ed. (2020)"

MPA_PER_KSI = 4.4482216152605 / 0.6451600  # lbf and in are defined exactly: NIST SP 811
MM_PER_IN = 25.4

RELEASE_SHARE = 0.80  # 5.4.2.3.2: f'ci = 0.80 f'c where it is not known
STRENGTH = Validity(
    "strength_at_loading_mpa",
    RELEASE_SHARE * 2.4 * MPA_PER_KSI,
    15.0 * MPA_PER_KSI,
    "AASHTO LRFD 5.4.2.1, 2.4 to 15 ksi, from memory",
)
HUMIDITY = Validity(
    "humidity_percent", 30.0, 100.0, "AASHTO LRFD Figure 5.4.2.3.3-1 plots less; judgement"
)
LOADING_AGE = Validity("age_at_loading_d", 0.5, 36_500.0, "judgement, no source")
LARGEST_DERIVED_RATIO_MM = 6.0 * MM_PER_IN
"""Largest volume-to-surface ratio behind the rule; above it k_s stays 1 all the same.

Source: AASHTO LRFD C5.4.2.3.2, from memory."""
EARLY_DRYING_D = 5.0  # 5.4.2.3.3, from memory: dried before this age, shrinkage grows ...
EARLY_DRYING_FACTOR = 1.20  # ... by 20 %


class TimeForm(StrEnum):
    """Forms of the time-development factor k_td."""

    FROM_2015 = "2015"  # interim revisions of 2015 and all later editions
    FROM_2007_TO_2014 = "2007"


def creep_coefficient(
    duration_d: ArrayLike,
    age_at_loading_d: ArrayLike,
    strength_at_loading_mpa: ArrayLike,
    volume_to_surface_mm: ArrayLike,
    humidity_percent: ArrayLike,
    form: TimeForm = TimeForm.FROM_2015,
) -> Floats:
    """Creep coefficient psi(t, ti): creep strain over elastic strain at loading.

    Parameters
    ----------
    duration_d : array_like
        Time under load, t [days]. >= 0; NaN gives NaN, as in every argument.
    age_at_loading_d : array_like
        Age when loaded, ti [days]; a day of accelerated curing counts as seven. >= 0.5.
    strength_at_loading_mpa : array_like
        f'ci [MPa], 13.2 to 103 (1.92 to 15 ksi).
    volume_to_surface_mm : array_like
        V/S [mm]. > 0.
    humidity_percent : array_like
        Annual mean relative humidity, H [%]. 30 to 100.
    form : TimeForm

    Returns
    -------
    numpy.ndarray, float64 [-]

    Raises
    ------
    InputError
        Outside the ranges: the rule is not extrapolated.

    Notes
    -----
    psi = 1.9 ks khc kf ktd ti^-0.118.
    Source: AASHTO LRFD, 9th ed. (2020), 5.4.2.3.2.
    """
    age = LOADING_AGE.checked(age_at_loading_d)
    k_hc = 1.56 - 0.008 * HUMIDITY.checked(humidity_percent)
    return np.asarray(
        1.9
        * size_factor(volume_to_surface_mm)
        * k_hc
        * strength_factor(strength_at_loading_mpa)
        * time_factor(duration_d, strength_at_loading_mpa, form)
        * age**-0.118,
        dtype=np.float64,
    )


def shrinkage_strain(
    drying_d: ArrayLike,
    strength_at_loading_mpa: ArrayLike,
    volume_to_surface_mm: ArrayLike,
    humidity_percent: ArrayLike,
    form: TimeForm = TimeForm.FROM_2015,
) -> Floats:
    """Shrinkage strain eps_sh since the end of curing [-], positive when shorter.

    Parameters
    ----------
    drying_d : array_like
        Time since the end of curing, t [days]. >= 0.
    strength_at_loading_mpa, volume_to_surface_mm, humidity_percent, form
        As for creep.

    Notes
    -----
    eps_sh = ks khs kf ktd 0.48e-3; see :func:`early_drying_factor`.
    Source: AASHTO LRFD, 9th ed. (2020), 5.4.2.3.3.
    """
    k_hs = 2.00 - 0.014 * HUMIDITY.checked(humidity_percent)
    return np.asarray(
        0.48e-3
        * size_factor(volume_to_surface_mm)
        * k_hs
        * strength_factor(strength_at_loading_mpa)
        * time_factor(drying_d, strength_at_loading_mpa, form),
        dtype=np.float64,
    )


def early_drying_factor(age_at_end_of_curing_d: ArrayLike) -> Floats:
    """Factor on shrinkage of concrete that dried before five days of curing [-].

    Source: AASHTO LRFD, 9th ed. (2020), 5.4.2.3.3; from memory.
    """
    age = at_least_zero("age_at_end_of_curing_d", age_at_end_of_curing_d)
    factor = np.where(age < EARLY_DRYING_D, EARLY_DRYING_FACTOR, 1.0)
    return np.where(np.isnan(age), np.nan, factor)


def size_factor(volume_to_surface_mm: ArrayLike) -> Floats:
    """Factor k_s = 1.45 - 0.13 V/S >= 1.0, V/S in inches [-].

    Source: AASHTO LRFD, 9th ed. (2020), 5.4.2.3.2.
    """
    ratio = at_least_zero("volume_to_surface_mm", volume_to_surface_mm)
    if (ratio == 0).any():
        raise InputError("volume_to_surface_mm", "is zero", "Give area over drying perimeter.")
    return np.maximum(1.45 - 0.13 * ratio / MM_PER_IN, 1.0)


def strength_factor(strength_at_loading_mpa: ArrayLike) -> Floats:
    """Factor k_f = 5 / (1 + f'ci), f'ci in ksi [-].

    Source: AASHTO LRFD, 9th ed. (2020), 5.4.2.3.2.
    """
    return np.asarray(
        5.0 / (1.0 + STRENGTH.checked(strength_at_loading_mpa) / MPA_PER_KSI), dtype=np.float64
    )


def time_factor(
    duration_d: ArrayLike,
    strength_at_loading_mpa: ArrayLike,
    form: TimeForm = TimeForm.FROM_2015,
) -> Floats:
    """Share k_td of the final creep or shrinkage that has come by then, 0 to 1 [-].

    Notes
    -----
    2015 on: t / [12 (100 - 4 f'ci) / (f'ci + 20) + t]; 2007 to 2014:
    t / (61 - 4 f'ci + t), which has no meaning from f'ci = 15.25 ksi.
    Source: AASHTO LRFD 5.4.2.3.2, interim revisions of 2015, and 4th to 7th editions.
    """
    duration = at_least_zero("duration_d", duration_d)
    fci = STRENGTH.checked(strength_at_loading_mpa) / MPA_PER_KSI
    if TimeForm(form) == TimeForm.FROM_2015:
        delay = 12.0 * (100.0 - 4.0 * fci) / (fci + 20.0)
    else:
        delay = 61.0 - 4.0 * fci
    return np.asarray(duration / (delay + duration), dtype=np.float64)


def modulus_mpa(strength_mpa: ArrayLike) -> Floats:
    """Modulus of normal-weight concrete, 2 500 f^0.33 in ksi [MPa].

    Source: AASHTO LRFD, 9th ed. (2020), C5.4.2.4; from memory.
    """
    strength = positive("strength_mpa", strength_mpa) / MPA_PER_KSI
    return np.asarray(2_500.0 * strength**0.33 * MPA_PER_KSI, dtype=np.float64)
