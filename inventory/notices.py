"""What an engineer would ask about figures that are each possible, and do not go together.

None of it refuses a row: the register keeps what the drawings say.
"""

from __future__ import annotations

from collections.abc import Callable

from django.db import models
from django.utils.translation import gettext as _

from inventory.decimal_mark import with_mark
from inventory.models import (
    BearingDesign,
    Element,
    JointDesign,
    RestraintDesign,
    TemperatureBasis,
    Unit,
    UnitConcrete,
)
from inventory.models.choices import BasisMethod, DeckType, DeviceType, ElementKind

_RODDED = (DeviceType.ANCHOR_RODS, DeviceType.HOLD_DOWN, DeviceType.CLAMP)
_APART = 0.05
"""Share by which two figures for one thing may differ before it is asked.  Judgement, no source."""


def notices(row: models.Model) -> dict[str, str]:
    """Return what is worth a look in a row, by field."""
    rule = _RULES.get(type(row))
    return {name: text for name, text in rule(row).items() if text} if rule else {}


def _of_element(element: Element) -> dict[str, str]:
    """Ask about a joint whose unit lies on its other side: its gap would move the wrong way."""
    if element.kind != ElementKind.JOINT or element.station_m is None:
        return {}
    behind, ahead = element.unit, element.unit_ahead
    if ahead is None and behind is not None and element.station_m <= behind.start_station_m:
        return {
            "unit": _(
                "The joint stands where unit %(unit)s begins, which is named as the unit behind"
                " it. It lies ahead: enter it as the unit ahead, or the gap is expected to open"
                " where it closes."
            )
            % {"unit": behind.code}
        }
    if behind is None and ahead is not None and element.station_m >= ahead.end_station_m:
        return {
            "unit_ahead": _(
                "The joint stands where unit %(unit)s ends, which is named as the unit ahead. It"
                " lies behind: enter it as the unit behind, or the gap is expected to open where"
                " it closes."
            )
            % {"unit": ahead.code}
        }
    return {}


def _of_bearing(design: BearingDesign) -> dict[str, str]:
    layers = _sum(
        _product(design.interior_layers, design.layer_thickness_mm),
        _product(2, design.cover_thickness_mm),
    )
    return {
        "vertical_service_max_kn": _differ(
            _sum(design.permanent_kn, design.live_kn),
            _("Permanent and live load"),
            design.vertical_service_max_kn,
            _("the greatest service load"),
            "kN",
        ),
        "rubber_thickness_mm": _differ(
            layers if design.interior_layers else None,
            _("Interior layers and two covers"),
            design.rubber_thickness_mm,
            _("the total elastomer thickness"),
            "mm",
        ),
        "live_rotation_mrad": _above(
            design.live_rotation_mrad,
            design.rotation_mrad,
            _("the rotation it is a part of"),
            "mrad",
        ),
    }


def _of_joint(design: JointDesign) -> dict[str, str]:
    opening_range = _sum(
        design.opening_max_mm, None if design.opening_min_mm is None else -design.opening_min_mm
    )
    return {
        "cell_movement_mm": _differ(
            _product(design.cells, design.cell_movement_mm),
            _("The movements of all cells"),
            opening_range,
            _("the range of the opening"),
            "mm",
        )
    }


def _of_restraint(design: RestraintDesign) -> dict[str, str]:
    uncounted = design.rod_count is None and design.installation.device_type in _RODDED
    return {
        **_beside_the_slack(design),
        "rod_count": _(
            "How many rods there are is not given, so a visit asks for one until somebody counts"
            " them. Enter the count."
        )
        if uncounted
        else "",
        "clamp_force_kn": _differ(
            _product(design.rod_count, design.rod_pretension_kn),
            _("The pretensions of all rods"),
            design.clamp_force_kn,
            _("the clamping force"),
            "kN",
        ),
    }


def _beside_the_slack(design: RestraintDesign) -> dict[str, str]:
    device = design.installation
    if device.device_type != DeviceType.RESTRAINER_CABLE or device.element.unit_ahead_id is None:
        return {}
    said = _(
        "The cable ties two units and tightens only as they part, so its slack stands on the"
        " decreasing side. This figure is not used."
    )
    sides = ("gap_ahead_mm", "gap_left_mm", "gap_right_mm")
    return {name: said for name in sides if getattr(design, name) is not None}


def _of_concrete(concrete: UnitConcrete) -> dict[str, str]:
    return {
        "strength_at_loading_mpa": _above(
            concrete.strength_at_loading_mpa,
            concrete.concrete_strength_mpa,
            _("the strength at 28 days"),
            "MPa",
        )
    }


def _of_basis(basis: TemperatureBasis) -> dict[str, str]:
    """Ask whether one pair of values off a map can hold for both kinds of girders."""
    if basis.method != BasisMethod.AASHTO_B:
        return {}
    decks = set(Unit.objects.filter(bridge=basis.bridge_id).values_list("deck_type", flat=True))
    if not {DeckType.CONCRETE, DeckType.COMPOSITE} <= decks:
        return {}
    return {
        "map_min_c": _(
            "The bridge has units on concrete girders and units on steel girders, and procedure B"
            " has maps for each. Check that these values hold for both, or enter figures that do."
        )
    }


_RULES: dict[type[models.Model], Callable[..., dict[str, str]]] = {
    Element: _of_element,
    BearingDesign: _of_bearing,
    JointDesign: _of_joint,
    RestraintDesign: _of_restraint,
    UnitConcrete: _of_concrete,
    TemperatureBasis: _of_basis,
}


def _sum(*parts: float | None) -> float | None:
    known = [each for each in parts if each is not None]
    return sum(known) if len(known) == len(parts) else None


def _product(count: float | None, each: float | None) -> float | None:
    return None if count is None or each is None else count * each


def _differ(one: float | None, one_is: str, other: float | None, other_is: str, unit: str) -> str:
    if one is None or other is None or abs(one - other) <= _APART * max(abs(one), abs(other)):
        return ""
    return _(
        "%(one_is)s come to %(one)s %(unit)s, and %(other_is)s is given as %(other)s %(unit)s."
        " Both are kept; check which is right."
    ) % {
        "one_is": one_is,
        "one": with_mark(f"{one:g}"),
        "other_is": other_is,
        "other": with_mark(f"{other:g}"),
        "unit": unit,
    }


def _above(one: float | None, limit: float | None, limit_is: str, unit: str) -> str:
    if one is None or limit is None or one <= limit:
        return ""
    return _(
        "%(one)s %(unit)s is above %(limit_is)s, %(limit)s %(unit)s. It is kept; check it."
    ) % {
        "one": with_mark(f"{one:g}"),
        "limit_is": limit_is,
        "limit": with_mark(f"{limit:g}"),
        "unit": unit,
    }
