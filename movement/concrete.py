"""What creep and shrinkage of a unit depend on, and what is answered."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import IntFlag, StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, finite
from movement.errors import InputError
from movement.standards import en_1992_1_1_2004_shortening as en


class ShorteningBasis(StrEnum):
    """Rule that gives creep and shrinkage, edition included."""

    AASHTO_2015 = "aashto_2015"  # AASHTO LRFD, k_td of the 2015 interim revisions on
    AASHTO_2007 = "aashto_2007"  # AASHTO LRFD, k_td of 2007 to 2014
    EN_2004 = "en_2004"  # EN 1992-1-1:2004


class ShorteningNote(IntFlag):
    """What is missing or outside the rule (no strain then), and what is to be known of it."""

    NONE = 0
    NO_STRENGTH = 1 << 0
    NO_HUMIDITY = 1 << 1
    NO_SIZE = 1 << 2
    NO_CURING_AGE = 1 << 3
    NO_STRESS = 1 << 4
    NO_LOADING_AGE = 1 << 5
    NO_AGE = 1 << 6
    STRENGTH_OUTSIDE = 1 << 7
    HUMIDITY_OUTSIDE = 1 << 8
    SIZE_OUTSIDE = 1 << 9
    LOADING_AGE_OUTSIDE = 1 << 10
    STRESS_NOT_LINEAR = 1 << 11
    MODULUS_FROM_RULE = 1 << 12
    STRENGTH_AT_LOADING_ASSUMED = 1 << 13
    SIZE_BEYOND_TESTS = 1 << 14


BARRING = ~(
    ShorteningNote.STRESS_NOT_LINEAR
    | ShorteningNote.MODULUS_FROM_RULE
    | ShorteningNote.STRENGTH_AT_LOADING_ASSUMED
    | ShorteningNote.SIZE_BEYOND_TESTS
)
"""Notes that leave no answer; the others only go with it."""


@dataclass(frozen=True, slots=True)
class Scatter:
    """Coefficient of variation of what the rules predict [-].  Agency settings.

    EN 1992-1-1, 3.1.4(6), states about 0.30 for drying shrinkage (a public summary of CIRIA
    C660, read), and its forerunner ENV 1992-1-1, A1.1.2(3), 0.20 for creep of laboratory
    specimens (read; the same data bank stands behind EN 1992-1-1 Annex B); AASHTO LRFD
    C5.4.2.3.1 expects errors of up to 50 % (from memory).
    That the stress and the climate of a bridge are known less well than a specimen's makes
    it 0.30 for creep here: judgement.
    """

    creep: float = 0.30
    shrinkage: float = 0.30

    def __post_init__(self) -> None:
        for each in fields(self):
            finite(each.name, at_least_zero(each.name, getattr(self, each.name)))


@dataclass(frozen=True, slots=True, eq=False)
class Concrete:
    """What creep and shrinkage of a unit depend on.  NaN: not known.

    Attributes
    ----------
    strength_mpa : array (n,)
        Cylinder strength at 28 days, f'c or f_ck [MPa].
    humidity_percent : array (n,)
        Mean relative humidity of the place [%].
    notional_size_mm : array (n,)
        2 A / u, twice the volume-to-surface ratio [mm].
    curing_end_d : array (n,)
        Age at the end of curing [days].
    stress_mpa : array (n,)
        Mean axial compression of the section under lasting load, after losses [MPa];
        0 in a deck without prestress.
    loading_d : array (n,)
        Age when that stress was put on [days].
    modulus_mpa : array (n,)
        Modulus that the stress is divided by [MPa]: at loading for AASHTO, tangent at 28
        days for EN; NaN takes the rule's own.
    strength_at_loading_mpa : array (n,)
        f'ci, used by AASHTO alone [MPa]; NaN takes 0.80 f'c.
    cement : array (n,) of str
        Class S, N or R, used by EN alone.
    """

    strength_mpa: Floats
    humidity_percent: Floats
    notional_size_mm: Floats
    curing_end_d: Floats
    stress_mpa: Floats
    loading_d: Floats
    modulus_mpa: Floats
    strength_at_loading_mpa: Floats
    cement: NDArray[np.str_]

    @classmethod
    def of(
        cls,
        strength_mpa: ArrayLike,
        humidity_percent: ArrayLike,
        notional_size_mm: ArrayLike,
        curing_end_d: ArrayLike,
        stress_mpa: ArrayLike = 0.0,
        loading_d: ArrayLike = np.nan,
        modulus_mpa: ArrayLike = np.nan,
        strength_at_loading_mpa: ArrayLike = np.nan,
        cement: ArrayLike = en.Cement.NORMAL,
    ) -> Concrete:
        """Check the arrays; what is below zero, or a modulus of nothing, is refused."""
        modulus = at_least_zero("modulus_mpa", modulus_mpa)
        if (modulus == 0).any():
            raise InputError("modulus_mpa", "is zero", "Give MPa, or leave it out.")
        return cls(
            at_least_zero("strength_mpa", strength_mpa),
            at_least_zero("humidity_percent", humidity_percent),
            at_least_zero("notional_size_mm", notional_size_mm),
            at_least_zero("curing_end_d", curing_end_d),
            at_least_zero("stress_mpa", stress_mpa),
            at_least_zero("loading_d", loading_d),
            modulus,
            at_least_zero("strength_at_loading_mpa", strength_at_loading_mpa),
            np.asarray(cement, dtype=np.str_),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Shortening:
    """Strain between two ages, positive when shorter, with its standard uncertainty.

    Attributes
    ----------
    strain, u_strain, creep, shrinkage : array (n,)
        Total, its standard uncertainty and the two parts [-]; NaN where barred.
    notes : array (n,) of uint16
        Bits of :class:`ShorteningNote`.
    """

    strain: Floats
    u_strain: Floats
    creep: Floats
    shrinkage: Floats
    notes: NDArray[np.uint16]
