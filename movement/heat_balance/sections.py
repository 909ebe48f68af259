"""A cross-section as layers from the road downwards, and those layers as cells.

All areas are per square metre of deck in plan: a girder is smeared over the width that
it carries, with the share of the plan that it fills and the faces that it shows to the air.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from movement.checks import Floats, at_least_zero, finite, positive
from movement.errors import InputError


@dataclass(frozen=True, slots=True)
class Material:
    """Thermal properties, and the weight with which a material governs length.

    Attributes
    ----------
    conductivity_w_per_mk, density_kg_per_m3, heat_capacity_j_per_kgk : float
    alpha_e_mpa_per_k : float
        Coefficient of expansion times modulus, nil for surfacing [MPa/K].
    """

    conductivity_w_per_mk: float
    density_kg_per_m3: float
    heat_capacity_j_per_kgk: float
    alpha_e_mpa_per_k: float

    def __post_init__(self) -> None:
        for each in fields(self)[:3]:
            positive(each.name, getattr(self, each.name))
        finite("alpha_e_mpa_per_k", at_least_zero("alpha_e_mpa_per_k", self.alpha_e_mpa_per_k))


CONCRETE = Material(1.7, 2400.0, 900.0, 10e-6 * 33_000.0)
"""Within EN 1992-1-2, 3.3 (0.9 kJ/kgK; 1.36 to 1.95 W/mK at 20 degC); from memory."""
STEEL = Material(54.0, 7850.0, 440.0, 12e-6 * 210_000.0)
"""EN 1993-1-2, 3.4.1, at 20 degC (440 J/kgK; 53.3 W/mK); from memory."""
ASPHALT = Material(0.9, 2300.0, 920.0, 0.0)
"""Usual figures for dense asphalt; judgement, no source."""


OPEN_VIEW = 0.6
"""What a face between girders exchanges, as a share of one that sees nothing but the open.

Such faces see one another too.  Judgement, no source."""


THINNEST_M = 0.001  # less is a coating, which neither stores heat nor holds it back


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a section.

    Attributes
    ----------
    material : Material
    depth_m : float
    solid_share : float
        Share of the plan that it fills, up to 1 [-].
    side_area : float
        Faces turned to the open air along its depth [m2 per m2 of plan].
    soffit_area : float
        Underside turned to the open air [m2 per m2 of plan].
    cells : int
        Number of cells it is cut into.
    """

    material: Material
    depth_m: float
    solid_share: float = 1.0
    side_area: float = 0.0
    soffit_area: float = 0.0
    cells: int = 5

    def __post_init__(self) -> None:
        positive("depth_m", self.depth_m)
        if self.depth_m < THINNEST_M:
            raise InputError(
                "depth_m", f"{self.depth_m:g} m is below a millimetre", "Leave a coating out."
            )
        positive("solid_share", self.solid_share)
        if self.solid_share > 1.0:
            raise InputError(
                "solid_share", f"{self.solid_share:g} is above 1", "Give a share, 0.2 for 20 %."
            )
        for name in ("side_area", "soffit_area"):
            finite(name, at_least_zero(name, getattr(self, name)))
        if self.cells < 1:
            raise InputError("cells", f"{self.cells} is below 1", "Cut a layer into one or more.")


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """The cells of many sections, (cells, sections); where a section has fewer, nothing.

    Attributes
    ----------
    capacity : array
        Heat stored [J/K per m2 of plan]; 0 in a cell that is not there.
    coupling : array
        Conductance to the cell below [W/K per m2 of plan]; 0 in the last.
    half : array
        Resistance of half a cell, between its middle and a face [m2K/W].
    sides, soffit : array
        Area turned to the open air [m2 per m2 of plan].
    weight : array
        Share in alpha E A; sums to 1 down each section [-].
    """

    capacity: Floats
    coupling: Floats
    half: Floats
    sides: Floats
    soffit: Floats
    weight: Floats

    def of(self, sections: Sequence[int] | Floats) -> Cells:
        """Return the cells of the sections asked for, one column for each."""
        columns = np.asarray(sections, dtype=np.intp)
        return Cells(*(getattr(self, each.name)[:, columns] for each in fields(self)))

    def with_capacity(self, factor: float) -> Cells:
        """Return the same sections storing more or less heat."""
        return replace(self, capacity=self.capacity * factor)


def cut(sections: Sequence[Sequence[Layer]]) -> Cells:
    """Cut sections into cells.

    Parameters
    ----------
    sections : sequence of sequences of Layer
        Layers from the road downwards.

    Raises
    ------
    InputError
        If a section has no layer, or none that governs its length.

    Notes
    -----
    Conduction between two cells passes half of each in series; where they fill unlike
    shares of the plan, through the smaller of the two.
    """
    if not len(sections):
        raise InputError("sections", "is empty", "Give at least one section.")
    columns = [_column(layers) for layers in sections]
    depth = max(column.shape[1] for column in columns)
    stack = np.stack(
        [np.pad(each, ((0, 0), (0, depth - each.shape[1]))) for each in columns], axis=-1
    )
    return Cells(*stack)


def _column(layers: Sequence[Layer]) -> Floats:
    if not len(layers):
        raise InputError("sections", "has a section without a layer", "Give its layers.")
    count = [each.cells for each in layers]

    def spread(values: list[float]) -> Floats:
        return np.repeat(np.array(values, dtype=np.float64), count)

    thickness = spread([each.depth_m / each.cells for each in layers])
    share = spread([each.solid_share for each in layers])
    heat = spread(
        [each.material.density_kg_per_m3 * each.material.heat_capacity_j_per_kgk for each in layers]
    )
    half = thickness / 2.0 / spread([each.material.conductivity_w_per_mk for each in layers])
    coupling = np.zeros(thickness.size)
    coupling[:-1] = np.minimum(share[:-1], share[1:]) / (half[:-1] + half[1:])
    soffit = np.zeros(thickness.size)
    soffit[np.cumsum(count) - 1] = [each.soffit_area for each in layers]
    weight = spread([each.material.alpha_e_mpa_per_k for each in layers]) * thickness * share
    if not weight.sum() > 0:
        raise InputError(
            "sections", "has a section in which nothing governs its length", "Give alpha E."
        )
    return np.stack(
        [
            heat * thickness * share,
            coupling,
            half,
            spread([each.side_area / each.cells for each in layers]),
            soffit,
            weight / weight.sum(),
        ]
    )


# Usual sizes, where a section's own are not known.  Judgement, no source.
USUAL_SLAB_M, USUAL_SPACING_M, USUAL_WEB_M = 0.22, 2.0, 0.4  # on concrete girders
USUAL_BOX_TOP_M, BOX_BOTTOM_M = 0.25, 0.22
USUAL_COMPOSITE_SLAB_M, USUAL_STEEL_SPACING_M, USUAL_GIRDER_STEEL_M2 = 0.25, 3.0, 0.05


def concrete_slab(depth_m: float, surfacing_m: float = 0.1) -> list[Layer]:
    """A solid slab under asphalt; 0 m of surfacing leaves it bare."""
    cells = max(6, int(np.ceil(depth_m / 0.05)))
    return [*_surfacing(surfacing_m), Layer(CONCRETE, depth_m, soffit_area=1.0, cells=cells)]


def concrete_girders(
    depth_m: float,
    surfacing_m: float = 0.1,
    spacing_m: float = USUAL_SPACING_M,
    web_m: float = USUAL_WEB_M,
    slab_m: float = USUAL_SLAB_M,
) -> list[Layer]:
    """A slab on rectangular webs, open from below; ``depth_m`` is that of both."""
    share, height = web_m / spacing_m, _below("slab_m", slab_m, depth_m)
    return [
        *_surfacing(surfacing_m),
        Layer(CONCRETE, slab_m, soffit_area=1.0 - share, cells=5),
        Layer(CONCRETE, height, share, OPEN_VIEW * 2.0 * height / spacing_m, share, cells=8),
    ]


def concrete_box(
    depth_m: float, surfacing_m: float = 0.1, slab_m: float = USUAL_BOX_TOP_M
) -> list[Layer]:
    """A single-cell box, 12 m wide, webs 0.45 m: its inside has no open air."""
    height = _below("slab_m", slab_m + BOX_BOTTOM_M, depth_m)
    return [
        *_surfacing(surfacing_m),
        Layer(CONCRETE, slab_m, soffit_area=0.45, cells=5),
        Layer(CONCRETE, height, 0.9 / 12.0, 2.0 * height / 12.0, cells=6),
        Layer(CONCRETE, BOX_BOTTOM_M, 0.5, soffit_area=0.5, cells=4),
    ]


def composite_girders(
    girder_m: float = 1.5,
    steel_m2: float = USUAL_GIRDER_STEEL_M2,
    surfacing_m: float = 0.1,
    spacing_m: float = USUAL_STEEL_SPACING_M,
    slab_m: float = USUAL_COMPOSITE_SLAB_M,
) -> list[Layer]:
    """A concrete slab on open steel plate girders."""
    faces = OPEN_VIEW * 2.0 * (girder_m + 0.5) / spacing_m  # web, and flanges of about 0.5 m
    return [
        *_surfacing(surfacing_m),
        Layer(CONCRETE, slab_m, soffit_area=0.85, cells=6),
        Layer(STEEL, girder_m, steel_m2 / spacing_m / girder_m, faces, cells=6),
    ]


def steel_box(
    surfacing_m: float = 0.05,
    deck_mm: float = 24.0,
    girder_mm: float = 20.0,
    depth_m: float = 2.0,
) -> list[Layer]:
    """An orthotropic deck on a steel box, 10 m wide; plates smeared over the plan.

    ``deck_mm`` is the deck plate with its ribs, ``girder_mm`` webs and bottom plate with
    theirs, both as a solid sheet over the whole plan.
    """
    return [
        *_surfacing(surfacing_m),
        Layer(STEEL, deck_mm / 1000.0, soffit_area=0.4, cells=2),
        Layer(STEEL, depth_m, girder_mm / 1000.0 / depth_m, 2.0 * depth_m / 10.0, 0.6, cells=4),
    ]


def _below(field: str, slab_m: float, depth_m: float) -> float:
    """Return the depth left below the slab."""
    if not slab_m < depth_m:
        raise InputError(
            field, f"{slab_m:g} m leave nothing of {depth_m:g} m", "Give the whole depth."
        )
    return depth_m - slab_m


def _surfacing(depth_m: float) -> list[Layer]:
    return [Layer(ASPHALT, depth_m, cells=3)] if depth_m > 0 else []
