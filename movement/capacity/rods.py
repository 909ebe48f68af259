"""Anchor rods and bolts: strength by grade, size and edition, thread area, tension.

Inch rods with the coarse thread series; a rod of another thread gives its threads an inch.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.capacity.results import Check, Provenance, Rule, above_zero_or_missing, compare
from movement.checks import Floats, at_least_zero
from movement.errors import InputError
from movement.us_units import MM_PER_IN, MPA_PER_KSI, N_PER_KN


class RodGrade(StrEnum):
    """Grades of rod or bolt, with the edition where it changes the strength."""

    F1554_36 = "ASTM F1554 grade 36"
    F1554_55 = "ASTM F1554 grade 55"
    F1554_105 = "ASTM F1554 grade 105"
    A354_BD = "ASTM A354 grade BD"
    A449 = "ASTM A449"
    A325_OLDER = "ASTM A325, older editions"
    F3125_A325 = "ASTM F3125 grade A325"


TENSILE_KSI = {
    # (up to this diameter [in], least tensile strength [ksi]), thickest last
    RodGrade.F1554_36: ((4.0, 58.0),),  # three supplier copies, read
    RodGrade.F1554_55: ((4.0, 75.0),),  # the same
    RodGrade.F1554_105: ((3.0, 125.0),),  # the same
    # From memory.  The strength of thin rods on a thick one is the trap: 140, not 150.
    RodGrade.A354_BD: ((2.5, 150.0), (4.0, 140.0)),
    RodGrade.A449: ((1.0, 120.0), (1.5, 105.0), (3.0, 90.0)),  # from memory
    RodGrade.A325_OLDER: ((1.0, 120.0), (1.5, 105.0)),  # a thesis, read
    RodGrade.F3125_A325: ((1.5, 120.0),),  # from memory
}
YIELD_KSI = {
    # the same sizes, least yield strength [ksi]; provenance as above
    RodGrade.F1554_36: ((4.0, 36.0),),
    RodGrade.F1554_55: ((4.0, 55.0),),
    RodGrade.F1554_105: ((3.0, 105.0),),
    RodGrade.A354_BD: ((2.5, 130.0), (4.0, 115.0)),
    RodGrade.A449: ((1.0, 92.0), (1.5, 81.0), (3.0, 58.0)),
}
PROVENANCE = {
    RodGrade.F1554_36: Provenance.READ_IN_COPY,
    RodGrade.F1554_55: Provenance.READ_IN_COPY,
    RodGrade.F1554_105: Provenance.READ_IN_COPY,
    RodGrade.A325_OLDER: Provenance.READ_IN_COPY,
}
COARSE_THREADS_PER_IN = {
    # ASME B1.1, coarse series; from memory
    0.5: 13.0,
    0.625: 11.0,
    0.75: 10.0,
    0.875: 9.0,
    1.0: 8.0,
    1.125: 7.0,
    1.25: 7.0,
    1.375: 6.0,
    1.5: 6.0,
    1.75: 5.0,
    2.0: 4.5,
    2.25: 4.5,
    2.5: 4.0,
    2.75: 4.0,
    3.0: 4.0,
    3.25: 4.0,
    3.5: 4.0,
    3.75: 4.0,
    4.0: 4.0,
}
SIZE_TOLERANCE_MM = 0.3  # a size typed in rounded millimetres; judgement, no source
PRETENSION_SHARE = 0.70  # of the tensile strength; from memory


_WRITTEN_AS = {
    "F155436": RodGrade.F1554_36,
    "F155455": RodGrade.F1554_55,
    "F1554105": RodGrade.F1554_105,
    "A354BD": RodGrade.A354_BD,
    "A449": RodGrade.A449,
    "F3125A325": RodGrade.F3125_A325,
}


def grade_from_text(text: str) -> RodGrade | None:
    """Return the grade that a register's free text names, or None.

    "A325" alone is none: its strength above 1 in depends on the edition.
    """
    letters = "".join(each for each in text.upper() if each.isalnum())
    for filler in ("ASTM", "GRADE", "GR"):
        letters = letters.replace(filler, "")
    return _WRITTEN_AS.get(letters)


def coarse_threads_per_in(rod_diameter_mm: ArrayLike) -> Floats:
    """Threads an inch of the coarse series; NaN where the diameter is none of its sizes."""
    diameter = above_zero_or_missing("rod_diameter_mm", rod_diameter_mm)
    threads = np.full(diameter.shape, np.nan)
    for size_in, count in COARSE_THREADS_PER_IN.items():
        near = np.abs(diameter - size_in * MM_PER_IN) <= SIZE_TOLERANCE_MM
        threads = np.where(near, count, threads)
    return threads


def thread_area_mm2(rod_diameter_mm: ArrayLike, threads_per_in: ArrayLike = np.nan) -> Floats:
    """Area of a thread in tension, 0.7854 (d - 0.9743 / n)^2 [mm2].  From memory.

    Without ``threads_per_in`` the coarse series is taken.
    """
    diameter = above_zero_or_missing("rod_diameter_mm", rod_diameter_mm)
    given = above_zero_or_missing("threads_per_in", threads_per_in)
    threads = np.where(np.isnan(given), coarse_threads_per_in(diameter), given)
    return np.pi / 4.0 * np.maximum(diameter - 0.9743 * MM_PER_IN / threads, 0.0) ** 2


def _by_size(table: tuple[tuple[float, float], ...], diameter: Floats) -> Floats:
    strength = np.full(diameter.shape, np.nan)
    for most_in, ksi in reversed(table):
        within = diameter <= most_in * MM_PER_IN + SIZE_TOLERANCE_MM
        strength = np.where(within, ksi * MPA_PER_KSI, strength)
    return strength


def tensile_strength_mpa(grade: RodGrade, rod_diameter_mm: ArrayLike) -> Floats:
    """Least tensile strength of a grade at a size [MPa]; NaN above the sizes of the grade."""
    diameter = above_zero_or_missing("rod_diameter_mm", rod_diameter_mm)
    return _by_size(TENSILE_KSI[grade], diameter)


def yield_strength_mpa(grade: RodGrade, rod_diameter_mm: ArrayLike) -> Floats:
    """Least yield strength of a grade at a size [MPa]; NaN where none is held."""
    diameter = above_zero_or_missing("rod_diameter_mm", rod_diameter_mm)
    return _by_size(YIELD_KSI.get(grade, ()), diameter)


def largest_tension_kn(
    grade: RodGrade, rod_diameter_mm: ArrayLike, threads_per_in: ArrayLike = np.nan
) -> Floats:
    """0.70 of the tensile strength on the thread's area, one rod [kN]."""
    strength = tensile_strength_mpa(grade, rod_diameter_mm)
    area = thread_area_mm2(rod_diameter_mm, threads_per_in)
    return PRETENSION_SHARE * strength * area / N_PER_KN


def _size_bounds(
    grade: RodGrade, diameter: Floats, threads: Floats
) -> dict[str, NDArray[np.bool_]]:
    most_in = TENSILE_KSI[grade][-1][0]
    known = np.isnan(diameter) | ~np.isnan(tensile_strength_mpa(grade, diameter))
    area = np.isnan(diameter) | ~np.isnan(thread_area_mm2(diameter, threads))
    return {
        f"rod_diameter_mm within {most_in * MM_PER_IN:g} of {grade}": known,
        "threads_per_in": area,
    }


def rod_overstress(
    grade: RodGrade,
    rod_diameter_mm: ArrayLike,
    tension_kn: ArrayLike,
    threads_per_in: ArrayLike = np.nan,
) -> Check:
    """Tension found in a rod against 0.70 of its tensile strength."""
    diameter = above_zero_or_missing("rod_diameter_mm", rod_diameter_mm)
    threads = above_zero_or_missing("threads_per_in", threads_per_in)
    tension = at_least_zero("rod_tension_kn", tension_kn)
    provenance = PROVENANCE.get(grade, Provenance.MEMORY)
    return compare(
        Rule("Tension of a rod", "0.70 of tensile strength", str(grade), "kN", provenance),
        tension,
        largest_tension_kn(grade, diameter, threads),
        {"rod_diameter_mm": diameter, "rod_tension_kn": tension},
        bounds=_size_bounds(grade, diameter, threads),
    )


def pretension_specified(
    grade: RodGrade,
    rod_diameter_mm: ArrayLike,
    rod_pretension_kn: ArrayLike,
    threads_per_in: ArrayLike = np.nan,
) -> Check:
    """Pretension that the register gives against 0.70 of the tensile strength."""
    wanted = at_least_zero("rod_pretension_kn", rod_pretension_kn)
    diameter = above_zero_or_missing("rod_diameter_mm", rod_diameter_mm)
    threads = above_zero_or_missing("threads_per_in", threads_per_in)
    provenance = PROVENANCE.get(grade, Provenance.MEMORY)
    return compare(
        Rule("Pretension specified", "0.70 of tensile strength", str(grade), "kN", provenance),
        wanted,
        largest_tension_kn(grade, diameter, threads),
        {"rod_diameter_mm": diameter, "rod_pretension_kn": wanted},
        bounds=_size_bounds(grade, diameter, threads),
    )


def pretension_kept(rod_pretension_kn: ArrayLike, tension_kn: ArrayLike) -> Check:
    """Pretension asked for against the tension found in a rod."""
    wanted = at_least_zero("rod_pretension_kn", rod_pretension_kn)
    found = at_least_zero("rod_tension_kn", tension_kn)
    return compare(
        Rule("Pretension kept", "design pretension", "register", "kN", Provenance.DESIGN),
        wanted,
        found,
        {"rod_pretension_kn": wanted, "rod_tension_kn": found},
    )


def whole(rod_count: ArrayLike, rods_broken: ArrayLike) -> Floats:
    """Rods still whole; more broken ones than there are is refused."""
    left = at_least_zero("rod_count", rod_count) - at_least_zero("rods_broken", rods_broken)
    if (left < 0).any():
        raise InputError("rods_broken", "is more than the rods there are", "Count the rods again.")
    return np.asarray(left)


def rods_whole(rod_count: ArrayLike, rods_broken: ArrayLike) -> Check:
    """Rods that were designed against rods still whole: one broken is past the limit."""
    count = at_least_zero("rod_count", rod_count)
    broken = at_least_zero("rods_broken", rods_broken)
    return compare(
        Rule("Whole rods", "design figure", "register", "-", Provenance.DESIGN),
        count,
        whole(count, broken),
        {"rod_count": count, "rods_broken": broken},
    )


def group_tension(
    rod_count: ArrayLike,
    rod_pretension_kn: ArrayLike,
    rods_broken: ArrayLike,
    tension_kn: ArrayLike,
) -> Check:
    """Pretension of the group as designed against that of its whole rods as found."""
    count = at_least_zero("rod_count", rod_count)
    wanted = at_least_zero("rod_pretension_kn", rod_pretension_kn)
    broken = at_least_zero("rods_broken", rods_broken)
    found = at_least_zero("rod_tension_kn", tension_kn)
    return compare(
        Rule("Tension of the group", "design pretension", "register", "kN", Provenance.DESIGN),
        count * wanted,
        whole(count, broken) * found,
        {
            "rod_count": count,
            "rod_pretension_kn": wanted,
            "rods_broken": broken,
            "rod_tension_kn": found,
        },
    )
