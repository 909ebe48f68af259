"""Sliding bearings (PTFE) as found, by AASHTO LRFD 14.7.2 and EN 1337-2."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.capacity.bearing_inputs import Loads
from movement.capacity.ptfe_tables import (
    AASHTO_EDITION,
    CONTACT_STRESS_KSI,
    EN_EDITION,
    EnSheet,
    Ptfe,
    SlidingSurface,
    edge_share,
    friction_aashto,
    friction_en,
    kinds,
    strength_en,
    within_friction_table,
)
from movement.capacity.results import (
    Carried,
    Check,
    Provenance,
    Rule,
    above_zero_or_missing,
    compare,
)
from movement.checks import Floats, at_least_zero, known_or_missing
from movement.us_units import MPA_PER_KSI, N_PER_KN

PROTRUSION_FINE_MM, PROTRUSION_ACT_MM = 1.0, 0.2  # approval practice; from memory, unconfirmed
RECESS_BASE_MM, RECESS_LENGTH_RATIO, RECESS_LEAST_MM = 1.75, 1200.0, 2.2  # EN 1337-2
SHEET_MOST_MM, SHEET_TO_PROTRUSION = 8.0, 2.2  # EN 1337-2; from memory
MEAN_PERMANENT, MEAN_ALL, EDGE_PERMANENT, EDGE_ALL = range(4)


@dataclass(frozen=True, slots=True, eq=False)
class Slider:
    """Sliding surface of a bearing, and the design movement from its centred position.

    Attributes
    ----------
    ptfe_area_mm2, ptfe_thickness_mm : array
        [mm2; mm]
    ptfe, surface, sheet : array of int
        :class:`Ptfe`, :class:`SlidingSurface`, :class:`EnSheet`; 0 is unknown.
    movement_back_mm, movement_ahead_mm : array
        Design movement each way, as positive figures [mm].
    sliding_plate_length_mm, ptfe_length_mm : array
        Along the movement [mm].
    horizontal_along_kn : array
        Horizontal force that bearing and support are designed for [kN].
    edge_to_mean_stress : array
        Edge stress over mean stress, from the bearing's moment [-].
    """

    ptfe_area_mm2: Floats
    ptfe_thickness_mm: Floats
    ptfe: NDArray[np.int64]
    surface: NDArray[np.int64]
    sheet: NDArray[np.int64]
    movement_back_mm: Floats
    movement_ahead_mm: Floats
    sliding_plate_length_mm: Floats
    ptfe_length_mm: Floats
    horizontal_along_kn: Floats
    edge_to_mean_stress: Floats

    @classmethod
    def of(
        cls,
        ptfe_area_mm2: ArrayLike = np.nan,
        ptfe_thickness_mm: ArrayLike = np.nan,
        ptfe: ArrayLike = Ptfe.UNKNOWN,
        surface: ArrayLike = SlidingSurface.UNKNOWN,
        sheet: ArrayLike = EnSheet.UNKNOWN,
        movement_back_mm: ArrayLike = np.nan,
        movement_ahead_mm: ArrayLike = np.nan,
        sliding_plate_length_mm: ArrayLike = np.nan,
        ptfe_length_mm: ArrayLike = np.nan,
        horizontal_along_kn: ArrayLike = np.nan,
        edge_to_mean_stress: ArrayLike = np.nan,
    ) -> Slider:
        """Check all."""
        return cls(
            above_zero_or_missing("ptfe_area_mm2", ptfe_area_mm2),
            above_zero_or_missing("ptfe_thickness_mm", ptfe_thickness_mm),
            kinds("ptfe", ptfe, Ptfe),
            kinds("surface", surface, SlidingSurface),
            kinds("sheet", sheet, EnSheet),
            at_least_zero("movement_back_mm", movement_back_mm),
            at_least_zero("movement_ahead_mm", movement_ahead_mm),
            above_zero_or_missing("sliding_plate_length_mm", sliding_plate_length_mm),
            above_zero_or_missing("ptfe_length_mm", ptfe_length_mm),
            at_least_zero("horizontal_along_kn", horizontal_along_kn),
            edge_share(edge_to_mean_stress),
        )

    def pressure_mpa(self, load_kn: Floats) -> Floats:
        """Mean contact stress; none under uplift [MPa]."""
        return np.maximum(load_kn, 0.0) * N_PER_KN / self.ptfe_area_mm2


def _known(kind: NDArray[np.int64]) -> Floats:
    """NaN where the kind is unknown, so that it is asked for by name."""
    return np.where(kind == 0, np.nan, kind.astype(np.float64))


def contact_stress_aashto(slider: Slider, loads: Loads) -> list[Check]:
    """Mean and edge contact stress, of permanent and of all service load.

    Source: AASHTO LRFD, 9th ed. (2020), Table 14.7.2.4-1; from memory.
    """
    cases = (
        ("Mean contact stress, permanent", MEAN_PERMANENT, "permanent_kn"),
        ("Mean contact stress, all loads", MEAN_ALL, "vertical_service_max_kn"),
        ("Edge contact stress, permanent", EDGE_PERMANENT, "permanent_kn"),
        ("Edge contact stress, all loads", EDGE_ALL, "vertical_service_max_kn"),
    )
    checks = []
    for name, column, field in cases:
        load: Floats = getattr(loads, field)
        at_edge = column in (EDGE_PERMANENT, EDGE_ALL)
        needs = {
            "ptfe_area_mm2": slider.ptfe_area_mm2,
            "ptfe": _known(slider.ptfe),
            field: load,
        }
        if at_edge:
            needs["edge_to_mean_stress"] = slider.edge_to_mean_stress
        checks.append(
            compare(
                Rule(name, "Table 14.7.2.4-1", AASHTO_EDITION, "MPa", Provenance.MEMORY),
                slider.pressure_mpa(load) * (slider.edge_to_mean_stress if at_edge else 1.0),
                CONTACT_STRESS_KSI[slider.ptfe, column] * MPA_PER_KSI,
                needs,
            )
        )
    return checks


def friction_force_aashto(slider: Slider, loads: Loads, temperature_c: ArrayLike) -> Check:
    """Friction force at a bearing temperature against the design horizontal force.

    Refused outside the table: no figure below 0.5 ksi, under -45 or above 20 degC.
    Source: AASHTO LRFD, 9th ed. (2020), Table 14.7.2.5-1; from memory.
    """
    temperature = known_or_missing("temperature_c", temperature_c)
    load = np.maximum(loads.vertical_service_max_kn, 0.0)
    pressure = slider.pressure_mpa(load)
    return compare(
        Rule("Friction force", "14.7.2.5", AASHTO_EDITION, "kN", Provenance.MEMORY),
        friction_aashto(slider.surface, pressure, temperature) * load,
        slider.horizontal_along_kn,
        {
            "ptfe_area_mm2": slider.ptfe_area_mm2,
            "surface": _known(slider.surface),
            "vertical_service_max_kn": loads.vertical_service_max_kn,
            "temperature_c": temperature,
            "horizontal_along_kn": slider.horizontal_along_kn,
        },
        bounds=within_friction_table(pressure, temperature),
    )


def contact_stress_en(slider: Slider, loads: Loads, temperature_c: ArrayLike) -> Check:
    """Mean contact stress of factored load against f_k / 1.4 at the temperature given.

    Source: EN 1337-2:2004, 6.8; from memory.  Without the reduction for eccentricity.
    """
    temperature = known_or_missing("temperature_c", temperature_c)
    return compare(
        Rule("Contact stress", "6.8", EN_EDITION, "MPa", Provenance.MEMORY),
        slider.pressure_mpa(loads.vertical_strength_max_kn),
        strength_en(slider.sheet, temperature),
        {
            "ptfe_area_mm2": slider.ptfe_area_mm2,
            "sheet": _known(slider.sheet),
            "vertical_strength_max_kn": loads.vertical_strength_max_kn,
            "temperature_c": temperature,
        },
    )


def friction_force_en(
    slider: Slider, loads: Loads, always_above_minus_5_c: ArrayLike = False
) -> Check:
    """Friction force against the design horizontal force.  EN 1337-2:2004, 6.7; from memory.

    For lubricated dimpled PTFE on austenitic steel, whatever the sheet; never a relief.
    """
    load = np.maximum(loads.vertical_service_max_kn, 0.0)
    return compare(
        Rule("Friction force", "6.7", EN_EDITION, "kN", Provenance.MEMORY),
        friction_en(slider.pressure_mpa(load), always_above_minus_5_c) * load,
        slider.horizontal_along_kn,
        {
            "ptfe_area_mm2": slider.ptfe_area_mm2,
            "vertical_service_max_kn": loads.vertical_service_max_kn,
            "horizontal_along_kn": slider.horizontal_along_kn,
        },
    )


def travel(
    position: Carried, movement_back_mm: ArrayLike, movement_ahead_mm: ArrayLike
) -> list[Check]:
    """Position against the design movement on its side, as found and at both extremes.

    ``position`` is the offset from the centred position, positive ahead [mm].
    """
    back = at_least_zero("movement_back_mm", movement_back_mm)
    ahead = at_least_zero("movement_ahead_mm", movement_ahead_mm)
    rule = Rule("Movement", "design movement", "register", "mm", Provenance.DESIGN)
    checks = []
    for when, offset, field in position.states():
        needs = {
            field: offset,
            "movement_back_mm": np.where(offset < 0, back, 0.0),
            "movement_ahead_mm": np.where(offset < 0, 0.0, ahead),
        }
        side = np.where(offset < 0, back, ahead)
        checks.append(compare(rule, np.abs(offset), side, needs, when))
    return checks


def plate_overlap(slider: Slider, position: Carried) -> list[Check]:
    """Position against the sliding plate's reach beyond the PTFE, so that it stays covered.

    Reach is half of plate length less PTFE length; ``position`` counts from the centre [mm].
    """
    rule = Rule("PTFE covered by its plate", "overlap", "geometry", "mm", Provenance.GEOMETRY)
    reach = (slider.sliding_plate_length_mm - slider.ptfe_length_mm) / 2.0
    return [
        compare(
            rule,
            np.abs(offset),
            reach,
            {
                field: offset,
                "sliding_plate_length_mm": slider.sliding_plate_length_mm,
                "ptfe_length_mm": slider.ptfe_length_mm,
            },
            when,
        )
        for when, offset, field in position.states()
    ]


def protrusion(protrusion_mm: ArrayLike) -> list[Check]:
    """Least gap between sliding plate and recess: 1.0 mm is fine, under 0.2 mm act.

    Below 1.0 mm shorten the interval of inspection.  From memory, unconfirmed.
    """
    found = at_least_zero("protrusion_mm", protrusion_mm)
    practice = "approval practice, unconfirmed"
    return [
        compare(
            Rule(name, "sliding gap h", practice, "mm", Provenance.MEMORY),
            asked,
            found,
            {"protrusion_mm": found},
        )
        for name, asked in (
            ("PTFE protrusion, shorten the interval below", PROTRUSION_FINE_MM),
            ("PTFE protrusion, act below", PROTRUSION_ACT_MM),
        )
    ]


def sheet_thickness(slider: Slider) -> list[Check]:
    """Sheet against 8 mm, and against 2.2 times its nominal protrusion.

    Nominal protrusion 1.75 + L/1200, at least 2.2 mm, L the diameter of a round sheet of
    that area (judgement).  Source: EN 1337-2:2004; from memory.
    """
    diameter = np.sqrt(4.0 * slider.ptfe_area_mm2 / np.pi)
    nominal = np.maximum(RECESS_BASE_MM + diameter / RECESS_LENGTH_RATIO, RECESS_LEAST_MM)
    thickness = {"ptfe_thickness_mm": slider.ptfe_thickness_mm}
    return [
        compare(
            Rule("PTFE sheet, greatest", "recess", EN_EDITION, "mm", Provenance.MEMORY),
            slider.ptfe_thickness_mm,
            SHEET_MOST_MM,
            thickness,
        ),
        compare(
            Rule("PTFE sheet, least", "recess", EN_EDITION, "mm", Provenance.MEMORY),
            SHEET_TO_PROTRUSION * nominal,
            slider.ptfe_thickness_mm,
            {**thickness, "ptfe_area_mm2": slider.ptfe_area_mm2},
        ),
    ]


def sliding_aashto(
    slider: Slider, loads: Loads, position: Carried, coldest_c: ArrayLike
) -> list[Check]:
    """Every check of a sliding bearing by AASHTO LRFD; friction at the coldest bearing."""
    return [
        *contact_stress_aashto(slider, loads),
        friction_force_aashto(slider, loads, coldest_c),
        *travel(position, slider.movement_back_mm, slider.movement_ahead_mm),
        *plate_overlap(slider, position),
    ]


def sliding_en(
    slider: Slider,
    loads: Loads,
    position: Carried,
    hottest_c: ArrayLike,
    protrusion_mm: ArrayLike = np.nan,
    always_above_minus_5_c: ArrayLike = False,
) -> list[Check]:
    """Every check of a sliding bearing by EN 1337-2; strength at the hottest bearing."""
    return [
        contact_stress_en(slider, loads, hottest_c),
        friction_force_en(slider, loads, always_above_minus_5_c),
        *travel(position, slider.movement_back_mm, slider.movement_ahead_mm),
        *plate_overlap(slider, position),
        *protrusion(protrusion_mm),
        *sheet_thickness(slider),
    ]
