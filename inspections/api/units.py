"""Names that carry their unit, and what becomes of them in US units."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from inspections.wording_plan import KM_A_MILE
from inventory.units import Dimension, System, to_shown

SUFFIXES = (
    # as stored, what it measures, in US units; the longer of two that fit stands first
    ("_mm2", Dimension.AREA, "_in2"),
    ("_mpa", Dimension.STRESS, "_psi"),
    ("_mm", Dimension.LENGTH, "_in"),
    ("_kn", Dimension.FORCE, "_kip"),
    ("_m", Dimension.STATION, "_ft"),
    ("_k", Dimension.TEMPERATURE_DIFFERENCE, "_delta_f"),
    ("_c", Dimension.TEMPERATURE, "_f"),
)
WAY_SUFFIX, US_WAY_SUFFIX = "_km", "_mi"
"""Of a way over land, which no instrument reads."""
SUFFIX_OF = {
    Dimension.LENGTH: "_mm",
    Dimension.TILT: "_deg",
    Dimension.ROTATION: "_mrad",
    Dimension.FORCE: "_kn",
    Dimension.COUNT: "",
}
"""Unit of a quantity that is read, as its names end."""


def with_unit(name: str, suffix: str) -> str:
    """Return a name with a unit, which stands before what it is divided by: ``slope_mm_per_c``."""
    stem, per, divisor = name.partition("_per_")
    return stem + suffix + per + divisor


def us_name(name: str) -> str | None:
    """Return the name of a number in US units, None where it is the same."""
    other = "".join(_parts(name, 1.0)[0])
    return None if other == name else other


def in_units(row: Mapping[str, Any], system: System) -> dict[str, Any]:
    """Return a row with values and names in a system of units; what has no unit stays."""
    if system is System.SI:
        return dict(row)
    return dict(_converted(name, value) for name, value in row.items())


def in_named_unit(
    values: Iterable[float | None], unit: str, system: System
) -> tuple[list[float | None], str]:
    """Return values whose unit stands in a column of its own, and that unit."""
    if system is System.SI or unit not in [*Dimension] or unit == Dimension.COUNT:
        return [*values], unit
    dimension = Dimension(unit)
    told = [None if each is None else _tidy(to_shown(each, dimension, system)[0])
            for each in values]  # fmt: skip
    return told, to_shown(1.0, dimension, system)[1]


def _converted(name: str, value: Any) -> tuple[str, Any]:
    if isinstance(value, bool) or (value is not None and not isinstance(value, (int, float))):
        return name, value
    names, shown = _parts(name, value)
    told = "".join(names)
    return told, value if told == name else _tidy(shown)


def _parts(name: str, value: float | None) -> tuple[tuple[str, str, str], float | None]:
    """Convert what a name measures and what it is divided by, each by itself."""
    stem, per, divisor = name.partition("_per_")
    if stem.endswith(WAY_SUFFIX):
        stem = stem.removesuffix(WAY_SUFFIX) + US_WAY_SUFFIX
        value = None if value is None else value / KM_A_MILE
    for suffix, dimension, other in SUFFIXES:
        if stem.endswith(suffix):
            stem = stem.removesuffix(suffix) + other
            value = None if value is None else to_shown(value, dimension, System.US)[0]
            break
    if divisor == "c":
        divisor = "f"
        value = None if value is None else to_shown(value, Dimension.EXPANSION, System.US)[0]
    return (stem, per, divisor), value


def _tidy(value: float | None) -> float | None:
    """Return a number without the last digits, which only the conversion left."""
    return None if value is None or not math.isfinite(value) else float(f"{value:.12g}")
