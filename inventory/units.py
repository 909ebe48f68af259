"""The one Pint registry: values as people write them, in and out.

A temperature is a point, a difference of temperatures is not: the registry keeps its
rules for offset units.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache, lru_cache

import pint
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inventory.decimal_mark import with_mark
from movement.errors import InputError

UREG = pint.UnitRegistry(
    autoconvert_offset_to_baseunit=False, cache_folder=None, non_int_type=Fraction
)
"""Works in fractions, so that 32 degF is 0 degC and not a hair beside it."""


HAS_UNIT = re.compile("[a-df-z\"'°º″”“′’]", re.IGNORECASE)
"""Finds a unit in what was typed; an e may be an exponent, and no unit is spelt with it alone."""


class Dimension(StrEnum):
    """What a value measures; the value is the SI unit it is stored in."""

    LENGTH = "mm"
    STATION = "m"
    TEMPERATURE = "degC"
    TEMPERATURE_DIFFERENCE = "K"
    ROTATION = "mrad"
    TILT = "deg"
    FORCE = "kN"
    STRESS = "MPa"
    AREA = "mm2"
    EXPANSION = "1/degC"
    COUNT = ""


class System(StrEnum):
    """The user's choice of units."""

    SI = "si"
    US = "us"


SPELLINGS = {
    # as written, lower case: Pint's name
    **dict.fromkeys(["mm", "millimetre", "millimeter"], "mm"),
    "cm": "cm",
    **dict.fromkeys(["m", "metre", "meter"], "m"),
    **dict.fromkeys(['"', "in", "in.", "inch", "inches"], "inch"),
    **dict.fromkeys(["'", "ft", "ft.", "foot", "feet"], "foot"),
    **dict.fromkeys(["c", "°c", "degc", "deg c"], "degC"),
    **dict.fromkeys(["f", "°f", "degf", "deg f"], "degF"),
    "k": "kelvin",
    "mrad": "mrad",
    "rad": "rad",
    **dict.fromkeys(["deg", "°", "degree", "degrees"], "degree"),
    "kn": "kN",
    **dict.fromkeys(["kip", "kips"], "kip"),
    "mpa": "MPa",
    **{each: each for each in ("psi", "ksi")},
    **{f"{each}2": f"{each}**2" for each in ("mm", "cm")},
    **dict.fromkeys(["in2", "sq in"], "inch**2"),
    **{
        f"{per}{each}": name
        for per in ("per ", "/", "1/")
        for name, spelt in (
            ("1/delta_degC", ("c", "°c", "degc", "k")),
            ("1/delta_degF", ("f", "°f", "degf")),
        )
        for each in spelt
    },
}
_ACCEPTED = {
    Dimension.LENGTH: ("mm", "cm", "m", "inch", "foot"),
    Dimension.STATION: ("mm", "cm", "m", "inch", "foot"),
    Dimension.TEMPERATURE: ("degC", "degF"),
    Dimension.TEMPERATURE_DIFFERENCE: ("kelvin", "degC", "degF"),
    Dimension.ROTATION: ("mrad", "rad", "degree"),
    Dimension.TILT: ("degree", "mrad", "rad"),
    Dimension.FORCE: ("kN", "kip"),
    Dimension.STRESS: ("MPa", "psi", "ksi"),
    Dimension.AREA: ("mm**2", "cm**2", "inch**2"),
    Dimension.EXPANSION: ("1/delta_degC", "1/delta_degF"),
    Dimension.COUNT: ("",),
}
SHOWN = {
    # unit and decimals in which each system shows a dimension
    (Dimension.LENGTH, System.SI): ("mm", "mm", 1),
    (Dimension.LENGTH, System.US): ("inch", "in", 2),
    (Dimension.STATION, System.SI): ("m", "m", 2),
    (Dimension.STATION, System.US): ("foot", "ft", 2),
    (Dimension.TEMPERATURE, System.SI): ("degC", "°C", 1),
    (Dimension.TEMPERATURE, System.US): ("degF", "°F", 1),
    (Dimension.TEMPERATURE_DIFFERENCE, System.SI): ("kelvin", "K", 1),
    (Dimension.TEMPERATURE_DIFFERENCE, System.US): ("delta_degF", "°F", 1),
    (Dimension.ROTATION, System.SI): ("mrad", "mrad", 1),
    (Dimension.ROTATION, System.US): ("mrad", "mrad", 1),
    (Dimension.TILT, System.SI): ("degree", "°", 2),
    (Dimension.TILT, System.US): ("degree", "°", 2),
    (Dimension.FORCE, System.SI): ("kN", "kN", 0),
    (Dimension.FORCE, System.US): ("kip", "kip", 1),
    (Dimension.STRESS, System.SI): ("MPa", "MPa", 2),
    (Dimension.STRESS, System.US): ("psi", "psi", 0),
    (Dimension.AREA, System.SI): ("mm**2", "mm²", 0),
    (Dimension.AREA, System.US): ("inch**2", "in²", 1),
    (Dimension.EXPANSION, System.SI): ("1/delta_degC", "per °C", 7),
    (Dimension.EXPANSION, System.US): ("1/delta_degF", "per °F", 8),
    (Dimension.COUNT, System.SI): ("", "", 0),
    (Dimension.COUNT, System.US): ("", "", 0),
}
_PINT = {"K": "kelvin", "deg": "degree", "mm2": "mm**2", "1/degC": "1/delta_degC"}
_DELTA = {"degC": "delta_degC", "degF": "delta_degF"}
_WRITTEN = {
    "inch": "in",
    "foot": "ft",
    "degC": "°C",
    "degF": "°F",
    "kelvin": "K",
    "degree": "deg",
    "mm**2": "mm2",
    "cm**2": "cm2",
    "inch**2": "in2",
    "1/delta_degC": "per °C",
    "1/delta_degF": "per °F",
}

_WHOLE = r"\d{1,9}"
_FRACTION = rf"{_WHOLE}\s*/\s*{_WHOLE}"
_NUMBER = re.compile(
    rf"""\s*(?P<sign>[+-])?\s*
    (?:(?P<feet>{_WHOLE})\s*(?:'|ft\.?|feet|foot)\s*-?\s*(?=[\d.]))?
    (?:(?P<whole>{_WHOLE})\s*(?:\s|-)\s*(?P<mixed>{_FRACTION})
      |(?P<fraction>{_FRACTION})
      |(?P<decimal>\d+(?:\.\d*)?(?:e[+-]?\d+)?|\.\d+(?:e[+-]?\d+)?))
    \s*(?P<unit>(?:1?\s*/)?[^\d\s.,/+-][^\d,]*?2?)?\s*""",
    re.VERBOSE | re.IGNORECASE,
)
_LOOKALIKES = str.maketrans(
    {
        **dict.fromkeys("−–‐‑", "-"),
        **dict.fromkeys("″”“", '"'),
        **dict.fromkeys("′’", "'"),
        "⁄": "/",
        "º": "°",
        "℃": "°C",
        "℉": "°F",
    }
)


@dataclass(frozen=True, slots=True)
class Typed:
    """A value as it is stored, beside what was typed."""

    value: float
    typed: str


def parse(field: str, text: str, dimension: Dimension, unit: str = "", told: str = "") -> Typed:
    """Read a value as people write it: ``2 3/16 in``, ``2-3/16"``, ``55.5 mm``, ``68 F``.

    Parameters
    ----------
    field : str
        Name that an error stands at.
    text : str
        What was typed.
    dimension : Dimension
        What it measures.
    unit : str
        Unit meant where none is written; empty for the stored one.
    told : str
        What an error names, where the text was made plain before; empty for the text.

    Raises
    ------
    movement.errors.InputError
        With the text, the rule and an example of what is accepted.
    """
    plain = _plain(text)
    match = _NUMBER.fullmatch(plain)
    if match is None:
        raise InputError(field, _no_value(told or text), _advice(plain, dimension))
    written = match["unit"] or ""
    number = _number(match)
    if match["feet"]:
        if written and _spelt(written) != "inch":
            raise InputError(
                field,
                _("«%(typed)s» mixes feet with %(written)s")
                % {"typed": (told or text).strip(), "written": written},
                _("Write 1' 2\"."),
            )
        written = "in"
        number += 12.0 * int(match["feet"])
    if match["sign"] == "-":
        number = -number
    name = _unit_name(field, written or unit or dimension.value, dimension)
    factor, offset = _conversion(name, _stored(dimension))
    value = number * factor + offset
    if not math.isfinite(value):
        raise InputError(field, _no_value(told or text), _advice(plain, dimension))
    return Typed(value, text.strip())


def to_shown(value: float, dimension: Dimension, system: System) -> tuple[float, str, int]:
    """Return value, label and decimals in the user's units."""
    factor, offset, label, decimals = _shown_by(dimension, system)
    return value * factor + offset, label, decimals


def shown(value: float | None, dimension: Dimension, system: System, sign: bool = False) -> str:
    """Return a value with its unit as text, a dash where there is none."""
    if value is None or not math.isfinite(value):
        return "–"
    number, label, decimals = to_shown(value, dimension, system)
    text = f"{number:+.{decimals}f}" if sign else f"{number:.{decimals}f}"
    if float(text) == 0:
        text = text.replace("-", "+") if sign else text.lstrip("-")
    text = with_mark(text.replace("-", "−"))
    gap = "" if label in ("", "°") else "\u202f"
    return f"{text}{gap}{label}"


@cache
def _shown_by(dimension: Dimension, system: System) -> tuple[float, float, str, int]:
    """Return factor and offset from the stored unit, the label and the decimals."""
    name, label, decimals = SHOWN[dimension, system]
    return *_conversion(_stored(dimension), name), label, decimals


def conversion(spelling: str, dimension: Dimension) -> tuple[float, float]:
    """Return factor and offset from a unit as written to the stored one."""
    return _conversion(_unit_name("unit", spelling, dimension), _stored(dimension))


@lru_cache(maxsize=256)
def _conversion(name: str, target: str) -> tuple[float, float]:
    """Return factor and offset; only a point of temperature has an offset."""
    if not name:
        return 1.0, 0.0
    one = UREG.Quantity(Fraction(1), _DELTA.get(name, name)).to(_DELTA.get(target, target))
    if name not in _DELTA:
        return float(one.magnitude), 0.0
    zero = UREG.Quantity(Fraction(0), name).to(target)
    return float(one.magnitude), float(zero.magnitude)


def _stored(dimension: Dimension) -> str:
    return _PINT.get(dimension.value, dimension.value)


def _spelt(written: str) -> str | None:
    """Return Pint's name of a unit as written; ``° C`` is ``°C``."""
    plain = written.strip().lower()
    return SPELLINGS.get(plain) or SPELLINGS.get(plain.replace(" ", ""))


def _unit_name(field: str, written: str, dimension: Dimension) -> str:
    if not written and dimension is Dimension.COUNT:
        return ""
    name = _spelt(written)
    accepted = _ACCEPTED[dimension]
    if name is None or name not in accepted:
        usable = ", ".join(_WRITTEN.get(each, each) for each in accepted)
        raise InputError(
            field,
            _("«%(written)s» is no unit of this quantity") % {"written": written.strip()},
            _("Use one of %(units)s.") % {"units": usable}
            if usable
            else _("Write the number alone."),
        )
    # A change is no point: 18 °F of change is 10 K, as a point it is -7.8 °C.
    return _DELTA.get(name, name) if dimension is Dimension.TEMPERATURE_DIFFERENCE else name


def _number(match: re.Match[str]) -> float:
    """Return the number, NaN for a fraction that is none: ``1/0``, ``2 19/16``."""
    if match["decimal"]:
        return float(match["decimal"])
    top, bottom = (int(part) for part in (match["mixed"] or match["fraction"]).split("/"))
    if bottom == 0 or (match["mixed"] and top >= bottom):
        return math.nan
    return int(match["whole"] or 0) + top / bottom


def _plain(text: str) -> str:
    if text.isascii():  # neither a fraction in one sign nor a look-alike
        return " ".join(text.replace("''", '"').split())
    spaced = "".join(
        f" {unicodedata.normalize('NFKC', each)}" if unicodedata.category(each) == "No" else each
        for each in text
    )
    return " ".join(spaced.translate(_LOOKALIKES).replace("''", '"').split())


def _no_value(typed: str) -> str:
    return _("«%(typed)s» is not a value") % {"typed": typed.strip()}


def _advice(plain: str, dimension: Dimension) -> str:
    if re.search(r"\d,\d", plain):
        return _("Write a decimal point, not a comma: 55.5, or 1234.5 without one.")
    if re.search(r"\d \d{3}(?![\d/])", plain):
        return _("Write nothing between thousands: 1234.5.")
    advice = {
        Dimension.LENGTH: mark('Write 55.5 mm, 5.5 cm, 2 3/16 in or 2-3/16".'),
        Dimension.STATION: mark("Write 120.5 m or 395 ft."),
        Dimension.TEMPERATURE: mark("Write 20 °C or 68 F."),
        Dimension.TEMPERATURE_DIFFERENCE: mark("Write 10 K or 18 F."),
        Dimension.ROTATION: mark("Write 4 mrad or 0.23 deg."),
        Dimension.TILT: mark("Write 3.5 deg."),
        Dimension.FORCE: mark("Write 120 kN or 27 kip."),
        Dimension.STRESS: mark("Write 0.9 MPa or 130 psi."),
        Dimension.EXPANSION: mark("Write 11.7e-6 per C or 6.5e-6 per F."),
    }.get(dimension, mark("Write a number, such as 12.5."))
    return _(advice)
