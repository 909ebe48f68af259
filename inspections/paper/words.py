"""Words and figures of the printed page in the language of whoever reads it.

What stands at the head of every table is put into a language once, not for each table.
"""

from __future__ import annotations

from functools import cache

from django.utils.translation import get_language
from django.utils.translation import pgettext as in_context

from inventory.decimal_mark import with_mark
from inventory.words import is_english, translated

NARROW_SPACE = "\u202f"


Marked = str | tuple[str, str]
"""A marked text, or what sets it apart from the same words elsewhere, and the text."""


def pgettext_noop(context: str, text: str) -> tuple[str, str]:
    """Mark a text whose words are others in a context, to be translated where it is shown."""
    return context, text


def heads(texts: tuple[Marked, ...]) -> list[str]:
    """Return marked texts in the reader's language."""
    return list(_heads(texts, get_language()))


@cache
def _heads(texts: tuple[Marked, ...], _language: str | None) -> tuple[str, ...]:
    return tuple(translated(each) if isinstance(each, str) else in_context(*each) for each in texts)


def word(text: Marked) -> str:
    """Return a marked text that recurs with each row, in the reader's language."""
    return _heads((text,), get_language())[0]


def percent(of_1: float) -> str:
    """Return a share in whole percent; German sets the sign apart."""
    told = f"{of_1:.0%}".replace("-", "−")
    return told if is_english() else f"{told[:-1]}{NARROW_SPACE}%"


def figure(value: float) -> str:
    """Return a pure number as short as it is, with the reader's decimal mark."""
    return with_mark(f"{value:g}".replace("-", "−"))
