"""The decimal mark of the reader's language, between what people see and type and what is kept.

What is stored, exported or sent has a point.  The tablet reads by the same rules
(``static/field/plain_text.js``).
"""

from __future__ import annotations

import re

from django.utils.formats import get_format
from django.utils.translation import gettext as _

from inventory.words import is_english
from movement.errors import InputError

_GROUPED = re.compile(r"(?<![\d.,])(?!0)\d{1,3}\.\d{3}(?![\d.,]|e[+-]?\d)", re.IGNORECASE)
"""A point before three digits may stand between thousands, where the language has a comma."""
_WITH_COMMA = re.compile(r"[\d.,]*,[\d.,]*")
_ONE_COMMA = re.compile(r"\d+,\d*|,\d+")
_POINT = re.compile(r"(?<=\d)\.(?=\d)")


def decimal_mark() -> str:
    """Return the sign between the whole and the decimals of a number."""
    return "." if is_english() else get_format("DECIMAL_SEPARATOR")


def with_mark(text: str) -> str:
    """Return a text whose numbers have a point with the reader's mark: ``12,5 mm``."""
    if "." not in text or (mark := decimal_mark()) == ".":
        return text
    return _POINT.sub(mark, text)


def with_point(field: str, text: str) -> str:
    """Return what a reader typed with a decimal point: ``12,5 mm`` is ``12.5 mm``.

    Where the mark is a point, the text stays as it is.

    Parameters
    ----------
    field : str
        Name that an error stands at.
    text : str
        What was typed.

    Raises
    ------
    movement.errors.InputError
        Where it could be read in two ways: ``1.234``, ``1.234,5`` or ``1,2,3``.
    """
    if decimal_mark() == ".":
        return text
    found = _WITH_COMMA.findall(text)
    if _GROUPED.search(text) or not all(_ONE_COMMA.fullmatch(each) for each in found):
        raise InputError(
            field,
            _("«%(typed)s» can be read in two ways") % {"typed": text.strip()},
            _("Write a comma before the decimals and nothing between thousands: 1,234 or 1234."),
        )
    return _WITH_COMMA.sub(lambda each: each[0].replace(",", "."), text)
