"""Amounts as people say them: whole millimetres or eighths of an inch, whole degrees, days."""

from __future__ import annotations

import datetime as dt
import math

from django.utils.dateformat import format as formatted
from django.utils.translation import gettext as _

from inspections.form_spec import FIELDS
from inspections.models.choices import ReadingQuantity
from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, to_shown

EIGHTHS = {1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}
MM_PER_EIGHTH = 25.4 / 8.0
DEGREES_PER_MRAD = 0.18 / math.pi
GAP = "\u00a0"
"""No line is broken between a number and its unit."""


def length(value_mm: float, system: System) -> str:
    """Return the size of a length, its sign left out."""
    size = abs(value_mm)
    if system is System.SI:
        if 0.0 < size < 0.5:
            return _("less than %(size)s") % {"size": f"1{GAP}mm"}
        return f"{math.floor(size + 0.5)}{GAP}mm"
    eighths = math.floor(to_shown(size, Dimension.LENGTH, system)[0] * 8.0 + 0.5)
    inch = _("inch")
    if eighths == 0 and size > 0.0:
        return _("less than %(size)s") % {"size": f"1/8{GAP}{inch}"}
    whole, part = divmod(eighths, 8)
    words = [str(whole)] if whole or not part else []
    unit = inch if 0 < eighths <= 8 else _("inches")
    return f"{GAP.join([*words, *([EIGHTHS[part]] if part else [])])}{GAP}{unit}"


def run(part_m: float, whole_m: float, system: System) -> str:
    """Return how much of a length along the road is meant: ``4 of 12 metres``."""
    told = [f"{to_shown(each, Dimension.STATION, system)[0]:.0f}" for each in (part_m, whole_m)]
    unit = _("metres") if system is System.SI else _("feet")
    return _("%(part)s of %(whole)s") % {"part": told[0], "whole": f"{told[1]}{GAP}{unit}"}


def angle(value_deg: float) -> str:
    """Return the size of an angle, to a tenth of a degree."""
    size = abs(value_deg)
    unit = _("degrees")
    if 0.0 < size < 0.05:
        return _("less than %(size)s") % {"size": f"{with_mark('0.1')}{GAP}{unit}"}
    return f"{with_mark(f'{size:.1f}')}{GAP}{unit}"


def temperature(value_c: float, system: System) -> str:
    """Return a temperature in whole degrees."""
    number, label, _ = to_shown(value_c, Dimension.TEMPERATURE, system)
    whole = math.floor(number + 0.5)
    return f"{whole}{GAP}{label}".replace("-", "−")


def amount(quantity: str, value: float, system: System) -> str:
    """Return the size of a value of a quantity that is read."""
    dimension = FIELDS[ReadingQuantity(quantity)].dimension
    if dimension is Dimension.LENGTH:
        return length(value, system)
    if dimension is Dimension.TILT:
        return angle(value)
    if dimension is Dimension.ROTATION:
        return angle(value * DEGREES_PER_MRAD)
    if dimension is Dimension.COUNT:
        return f"{abs(value):.0f}"
    number, label, _ = to_shown(abs(value), dimension, system)
    return f"{number:.0f}{GAP}{label}"


def apart(quantity: str, one: float, other: float, system: System) -> str:
    """Return by how much two values differ as they are told, so that a reader can check it."""
    dimension = FIELDS[ReadingQuantity(quantity)].dimension
    if dimension is Dimension.LENGTH:
        step = 1.0 if system is System.SI else MM_PER_EIGHTH
        return length(_to_step(one, step) - _to_step(other, step), system)
    if dimension in (Dimension.TILT, Dimension.ROTATION):
        scale = 1.0 if dimension is Dimension.TILT else DEGREES_PER_MRAD
        return angle(round(one * scale, 1) - round(other * scale, 1))
    return amount(quantity, one - other, system)


def _to_step(value: float, step: float) -> float:
    return math.copysign(math.floor(abs(value) / step + 0.5) * step, value)


def alike(quantity: str, one: float, other: float, system: System) -> bool:
    """True where two values are the same as they are told."""
    return apart(quantity, one, other, system) == amount(quantity, 0.0, system)


def day(on: dt.date) -> str:
    """Return a day as it is said."""
    parts = {"day": on.day, "month": formatted(on, "F"), "year": on.year}
    return (_("%(day)s %(month)s %(year)s") % parts).replace(" ", GAP)


def share(of_1: float) -> str:
    """Return a share in percent."""
    return f"{of_1 * 100:.0f}{GAP}%"
