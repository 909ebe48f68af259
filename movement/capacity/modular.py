"""Modular deck joints: overall opening, and the gap of one cell."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.joints import AASHTO, MODULAR_GAP_MOST_IN, at_least, at_most
from movement.capacity.results import (
    Carried,
    Check,
    Provenance,
    Rule,
    above_zero_or_missing,
    compare,
)
from movement.checks import Floats, at_least_zero, known_or_missing
from movement.us_units import MM_PER_IN


def modular_cells(movement_mm: ArrayLike, cell_movement_mm: ArrayLike) -> Floats:
    """Cells that a movement needs, ceil(MR / m_r).  Common practice; from memory."""
    movement = known_or_missing("movement_mm", movement_mm)
    # A hair off keeps 18 in over 3 in, turned to mm, at 6 cells.
    cells = movement / above_zero_or_missing("cell_movement_mm", cell_movement_mm)
    return np.ceil(cells - 1e-9)


def modular_least_opening_mm(
    cells: ArrayLike, beam_width_mm: ArrayLike, least_cell_gap_mm: ArrayLike
) -> Floats:
    """G_min = (n - 1) w + n g [mm].  Common practice; from memory."""
    count = above_zero_or_missing("cells", cells)
    return np.asarray(
        (count - 1.0) * at_least_zero("beam_width_mm", beam_width_mm)
        + count * at_least_zero("least_cell_gap_mm", least_cell_gap_mm)
    )


def modular_range(
    overall_mm: Carried,
    cells: ArrayLike,
    cell_movement_mm: ArrayLike,
    beam_width_mm: ArrayLike,
    least_cell_gap_mm: ArrayLike = 0.0,
) -> list[Check]:
    """Overall opening, beams included, against G_min and G_min + n m_r."""
    count = above_zero_or_missing("cells", cells)
    each = above_zero_or_missing("cell_movement_mm", cell_movement_mm)
    beam = at_least_zero("beam_width_mm", beam_width_mm)
    least = modular_least_opening_mm(count, beam, least_cell_gap_mm)
    needs: dict[str, ArrayLike] = {"cells": count, "beam_width_mm": beam}

    def rule(name: str) -> Rule:
        return Rule(name, "modular sizing", "common practice", "mm", Provenance.MEMORY)

    return [
        *at_most(
            rule("Overall opening, greatest"),
            overall_mm,
            least + count * each,
            {**needs, "cell_movement_mm": each},
        ),
        *at_least(rule("Overall opening, least"), overall_mm, least, needs),
    ]


def modular_cell_gap(
    overall_mm: Carried, cells: ArrayLike, beam_width_mm: ArrayLike
) -> list[Check]:
    """Gap of one cell along the road, all being alike, against 3.0 in.

    Where cells differ, give the widest as ``overall_mm`` with one cell.
    """
    count = above_zero_or_missing("cells", cells)
    beam = at_least_zero("beam_width_mm", beam_width_mm)
    rule = Rule("Gap of one cell", "14.5.3.2", AASHTO, "mm", Provenance.MEMORY)
    return [
        compare(
            rule,
            (overall - (count - 1.0) * beam) / count,
            MODULAR_GAP_MOST_IN * MM_PER_IN,
            {field: overall, "cells": count, "beam_width_mm": beam},
            when,
        )
        for when, overall, field in overall_mm.states()
    ]


def modular(
    overall_mm: Carried,
    cells: ArrayLike = np.nan,
    cell_movement_mm: ArrayLike = np.nan,
    beam_width_mm: ArrayLike = np.nan,
    least_cell_gap_mm: ArrayLike = 0.0,
) -> list[Check]:
    """Checks of a modular joint; the overall opening is taken along the road."""
    return [
        *modular_range(overall_mm, cells, cell_movement_mm, beam_width_mm, least_cell_gap_mm),
        *modular_cell_gap(overall_mm, cells, beam_width_mm),
    ]
