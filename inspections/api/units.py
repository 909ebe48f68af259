"""Names that carry their unit, and what becomes of them in US units."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from inventory.units import Dimension, System, to_shown

SUFFIXES = (
    # as stored, what it measures, in US units; the longer of two that fit stands first
    ("_per_c", Dimension.EXPANSION, "_per_f"),
    ("_mm2", Dimension.AREA, "_in2"),
    ("_mpa", Dimension.STRESS, "_psi"),
    ("_mm", Dimension.LENGTH, "_in"),
    ("_kn", Dimension.FORCE, "_kip"),
    ("_m", Dimension.STATION, "_ft"),
    ("_k", Dimension.TEMPERATURE_DIFFERENCE, "_delta_f"),
    ("_c", Dimension.TEMPERATURE, "_f"),
)
SUFFIX_OF = {
    Dimension.LENGTH: "_mm",
    Dimension.TILT: "_deg",
    Dimension.ROTATION: "_mrad",
    Dimension.FORCE: "_kn",
    Dimension.COUNT: "",
}
"""Unit of a quantity that is read, as its names end."""


def us_name(name: str) -> str | None:
    """Return the name of a number in US units, None where it is the same."""
    for suffix, _, other in SUFFIXES:
        if name.endswith(suffix):
            return name.removesuffix(suffix) + other
    return None


def in_units(row: Mapping[str, Any], system: System) -> dict[str, Any]:
    """Return a row with values and names in a system of units; what has no unit stays."""
    if system is System.SI:
        return dict(row)
    return dict(_converted(name, value, system) for name, value in row.items())


def _converted(name: str, value: Any, system: System) -> tuple[str, Any]:
    if value is not None and not isinstance(value, (int, float)):
        return name, value
    for suffix, dimension, other in SUFFIXES:
        if name.endswith(suffix):
            shown = None if value is None else to_shown(value, dimension, system)[0]
            return name.removesuffix(suffix) + other, _tidy(shown)
    return name, value


def _tidy(value: float | None) -> float | None:
    """Return a number without the last digits, which only the conversion left."""
    return None if value is None or not math.isfinite(value) else float(f"{value:.12g}")
