"""Layers of a unit's recorded section, for its heat balance."""

from __future__ import annotations

from inventory.models import UnitSection
from inventory.models.choices import SectionForm
from movement.heat_balance import sections
from movement.heat_balance.sections import Layer

THINNEST_SURFACING_MM = 1.0
"""Less is a coating, which neither stores heat nor holds it back."""
WIDEST_USUAL_WEB = 0.2
"""Largest usual share of a web in its girder's spacing; judgement, no source."""


def layers_of(section: UnitSection) -> list[Layer]:
    """Return the layers of a section; usual figures stand for sizes left empty.

    A usual slab is at most half of what the depth leaves it, and a usual spacing at least
    five webs.

    Raises
    ------
    InputError
        If the sizes cannot be those of one section.
    """
    depth_m = section.depth_mm / 1000.0
    surfacing_m = (
        0.0 if section.surfacing_mm < THINNEST_SURFACING_MM else section.surfacing_mm / 1000.0
    )
    form = SectionForm(section.section_form)
    if form == SectionForm.SLAB:
        return sections.concrete_slab(depth_m, surfacing_m)
    if form == SectionForm.STEEL_BOX:
        return sections.steel_box(surfacing_m, depth_m=depth_m)
    if form == SectionForm.CONCRETE_BOX:
        room_m = depth_m - sections.BOX_BOTTOM_M
        return sections.concrete_box(
            depth_m,
            surfacing_m,
            _metres(section.slab_mm, min(sections.USUAL_BOX_TOP_M, room_m / 2)),
        )
    if form == SectionForm.CONCRETE_GIRDERS:
        web_m = _metres(section.web_mm, sections.USUAL_WEB_M)
        return sections.concrete_girders(
            depth_m,
            surfacing_m,
            _metres(
                section.girder_spacing_mm, max(sections.USUAL_SPACING_M, web_m / WIDEST_USUAL_WEB)
            ),
            web_m,
            _metres(section.slab_mm, min(sections.USUAL_SLAB_M, depth_m / 2)),
        )
    slab_m = _metres(section.slab_mm, min(sections.USUAL_COMPOSITE_SLAB_M, depth_m / 2))
    return sections.composite_girders(
        depth_m - slab_m,
        _metres2(section.girder_steel_mm2, sections.USUAL_GIRDER_STEEL_M2),
        surfacing_m,
        _metres(section.girder_spacing_mm, sections.USUAL_STEEL_SPACING_M),
        slab_m,
    )


def _metres(value_mm: float | None, usual_m: float) -> float:
    return usual_m if value_mm is None else value_mm / 1000.0


def _metres2(value_mm2: float | None, usual_m2: float) -> float:
    return usual_m2 if value_mm2 is None else value_mm2 / 1e6
