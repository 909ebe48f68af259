"""EN 1992-1-1:2004, creep and shrinkage of concrete: 3.1.4 and Annex B.

For normal-weight concrete under a mean temperature between -40 and 40 degC, loaded to no
more than 0.45 of its strength at loading.  The constants were read in several public
implementations of Annex B; where a range is from memory it says so.  The maturity rule for
other curing temperatures (B.10) is not computed: enter the temperature-adjusted age.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, positive
from movement.errors import InputError
from movement.standards.validity import Validity

EDITION = "EN 1992-1-1:2004"

STRENGTH = Validity("strength_mpa", 12.0, 90.0, f"{EDITION}, Table 3.1, C12/15 to C90/105")
CREEP_HUMIDITY = Validity("humidity_percent", 40.0, 100.0, f"{EDITION}, Annex B, from memory")
SHRINKAGE_HUMIDITY = Validity("humidity_percent", 20.0, 100.0, f"{EDITION}, Table 3.2")
SIZE = Validity("notional_size_mm", 100.0, 1500.0, f"{EDITION}, Table 3.3; 1500 judgement")
LOADING_AGE = Validity("age_at_loading_d", 0.5, 36_500.0, f"{EDITION}, (B.9)")

SIZE_KNOTS_MM = (100.0, 200.0, 300.0, 500.0)  # Table 3.3; the last holds above it
K_H = (1.00, 0.85, 0.75, 0.70)

LINEAR_CREEP_SHARE = 0.45  # 3.1.4(4): above this share of f_ck(t0) creep is not linear


class Cement(StrEnum):
    """Strength development of the cement, 3.1.2(6): slow, normal, rapid."""

    SLOW = "S"
    NORMAL = "N"
    RAPID = "R"


CEMENT_POWER = {Cement.SLOW: -1.0, Cement.NORMAL: 0.0, Cement.RAPID: 1.0}  # (B.9)
CEMENT_DS1 = {Cement.SLOW: 3.0, Cement.NORMAL: 4.0, Cement.RAPID: 6.0}  # (B.11)
CEMENT_DS2 = {Cement.SLOW: 0.13, Cement.NORMAL: 0.12, Cement.RAPID: 0.11}  # (B.11)


def notional_size_mm(area_mm2: ArrayLike, drying_perimeter_mm: ArrayLike) -> Floats:
    """Notional size h0 = 2 A_c / u [mm]: twice the volume-to-surface ratio.

    Source: EN 1992-1-1:2004, (B.6).
    """
    return np.asarray(
        2.0 * positive("area_mm2", area_mm2) / positive("drying_perimeter_mm", drying_perimeter_mm),
        dtype=np.float64,
    )


def mean_strength_mpa(strength_mpa: ArrayLike) -> Floats:
    """Mean cylinder strength at 28 days, f_cm = f_ck + 8 [MPa].

    Source: EN 1992-1-1:2004, Table 3.1.
    """
    return STRENGTH.checked(strength_mpa) + 8.0


def tangent_modulus_mpa(strength_mpa: ArrayLike) -> Floats:
    """Tangent modulus at 28 days that creep refers to, E_c = 1.05 E_cm [MPa].

    E_cm = 22 000 (f_cm / 10)^0.3, quartzite aggregate; limestone has 10 % and sandstone
    30 % less, basalt 20 % more.  Source: EN 1992-1-1:2004, Table 3.1, 3.1.3(2), 3.1.4(2).
    """
    return np.asarray(
        1.05 * 22_000.0 * (mean_strength_mpa(strength_mpa) / 10.0) ** 0.3, dtype=np.float64
    )


def creep_coefficient(
    duration_d: ArrayLike,
    age_at_loading_d: ArrayLike,
    strength_mpa: ArrayLike,
    notional_size_mm: ArrayLike,
    humidity_percent: ArrayLike,
    cement: ArrayLike = Cement.NORMAL,
) -> Floats:
    """Creep coefficient phi(t, t0): creep strain over elastic strain at 28 days.

    Parameters
    ----------
    duration_d : array_like
        Time under load, t - t0 [days]. >= 0; NaN gives NaN, as in every argument.
    age_at_loading_d : array_like
        Age of the concrete when loaded, t0 [days].
    strength_mpa : array_like
        Characteristic cylinder strength, f_ck [MPa]. 12 to 90.
    notional_size_mm : array_like
        h0 [mm]. 100 to 1500.
    humidity_percent : array_like
        Mean relative humidity, RH [%]. 40 to 100.
    cement : array_like of str
        Classes "S", "N" or "R".

    Returns
    -------
    numpy.ndarray, float64 [-]
        Broadcast of the inputs; nil at no duration.

    Raises
    ------
    InputError
        Outside the ranges: the rule is not extrapolated.

    Notes
    -----
    phi = phi_RH beta(f_cm) beta(t0) beta_c(t, t0).
    Source: EN 1992-1-1:2004, Annex B, (B.1) to (B.9).
    """
    duration = at_least_zero("duration_d", duration_d)
    t0 = LOADING_AGE.checked(age_at_loading_d)
    fcm = mean_strength_mpa(strength_mpa)
    h0 = SIZE.checked(notional_size_mm)
    rh = CREEP_HUMIDITY.checked(humidity_percent)
    power = _by_cement(cement, CEMENT_POWER)

    above = np.minimum(35.0 / fcm, 1.0)  # (B.8c); 1 up to f_cm = 35, where (B.3a) holds
    alpha_1, alpha_2, alpha_3 = above**0.7, above**0.2, above**0.5
    phi_rh = (1.0 + (1.0 - rh / 100.0) / (0.1 * np.cbrt(h0)) * alpha_1) * alpha_2
    adjusted = np.maximum(t0 * (9.0 / (2.0 + t0**1.2) + 1.0) ** power, 0.5)
    notional = phi_rh * 16.8 / np.sqrt(fcm) / (0.1 + adjusted**0.2)
    beta_h = np.minimum(1.5 * (1.0 + (0.012 * rh) ** 18) * h0 + 250.0 * alpha_3, 1500.0 * alpha_3)
    return np.asarray(notional * (duration / (beta_h + duration)) ** 0.3, dtype=np.float64)


def drying_shrinkage(
    drying_d: ArrayLike,
    strength_mpa: ArrayLike,
    notional_size_mm: ArrayLike,
    humidity_percent: ArrayLike,
    cement: ArrayLike = Cement.NORMAL,
) -> Floats:
    """Drying shrinkage eps_cd(t) since the end of curing [-], positive when shorter.

    Parameters
    ----------
    drying_d : array_like
        Time since the end of curing, t - t_s [days]. >= 0.
    strength_mpa, notional_size_mm, humidity_percent, cement
        As for creep; humidity 20 to 100 %.

    Notes
    -----
    eps_cd = beta_ds k_h eps_cd,0.  In water (100 %) it is nil: swelling is not computed.
    Source: EN 1992-1-1:2004, 3.1.4(6), (3.9), (3.10), Table 3.3, (B.11), (B.12).
    """
    drying = at_least_zero("drying_d", drying_d)
    h0 = SIZE.checked(notional_size_mm)
    k_h = np.interp(h0, SIZE_KNOTS_MM, K_H)
    beta_ds = drying / (drying + 0.04 * h0**1.5)
    return np.asarray(
        beta_ds * k_h * basic_drying_shrinkage(strength_mpa, humidity_percent, cement),
        dtype=np.float64,
    )


def basic_drying_shrinkage(
    strength_mpa: ArrayLike, humidity_percent: ArrayLike, cement: ArrayLike = Cement.NORMAL
) -> Floats:
    """Nominal unrestrained drying shrinkage eps_cd,0 [-].

    Source: EN 1992-1-1:2004, (B.11), (B.12); Table 3.2 for class N.
    """
    fcm = mean_strength_mpa(strength_mpa)
    rh = SHRINKAGE_HUMIDITY.checked(humidity_percent)
    ds1, ds2 = _by_cement(cement, CEMENT_DS1), _by_cement(cement, CEMENT_DS2)
    beta_rh = 1.55 * (1.0 - (rh / 100.0) ** 3)
    return np.asarray(
        0.85 * (220.0 + 110.0 * ds1) * np.exp(-ds2 * fcm / 10.0) * 1e-6 * beta_rh,
        dtype=np.float64,
    )


def autogenous_shrinkage(age_d: ArrayLike, strength_mpa: ArrayLike) -> Floats:
    """Autogenous shrinkage eps_ca(t) since casting [-], positive when shorter.

    Source: EN 1992-1-1:2004, 3.1.4(6), (3.11) to (3.13).  Nil up to f_ck = 10 MPa, which
    lies below the range of strengths.
    """
    age = at_least_zero("age_d", age_d)
    final = 2.5e-6 * (STRENGTH.checked(strength_mpa) - 10.0)
    return np.asarray(final * (1.0 - np.exp(-0.2 * np.sqrt(age))), dtype=np.float64)


def _by_cement(cement: ArrayLike, table: dict[Cement, float]) -> Floats:
    names: NDArray[np.str_] = np.asarray(cement, dtype=np.str_)
    known = np.isin(names, [str(each) for each in Cement])
    if not known.all():
        raise InputError(
            "cement", f"'{names[~known].flat[0]}' is no class of cement", "Give S, N or R."
        )
    values = np.full(names.shape, np.nan)
    for each, value in table.items():
        values[names == str(each)] = value
    return values
