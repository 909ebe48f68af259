"""Words to choose from, in the reader's language.

A member keeps its English word, as it stands in the code: what is stored, exported or compared
never depends on who reads. ``label`` and ``choices`` give it in the language of the moment.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import property as enum_property
from functools import cache, wraps
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models.enums import ChoicesType
from django.utils.functional import Promise, lazy
from django.utils.translation import get_language, gettext, gettext_lazy, override, pgettext


class WordsType(ChoicesType):
    """Gives the pairs of value and word so that each reader gets them in their language."""

    @property
    def choices(self) -> list[tuple[object, object]]:
        """Pairs of value and word, as form and model fields take them."""
        return [(member.value, gettext_lazy(member._label_)) for member in self]


class TextWords(models.TextChoices, metaclass=WordsType):
    """Values that are texts."""

    @enum_property
    def label(self) -> str:
        """The word in the reader's language."""
        return translated(self._label_)


class WholeWords(models.IntegerChoices, metaclass=WordsType):
    """Values that are whole numbers."""

    @enum_property
    def label(self) -> str:
        """The word in the reader's language."""
        return translated(self._label_)


def translated(text: str) -> str:
    """Return a text of the code in the reader's language; an empty one stays empty."""
    return gettext(text) if text else ""


def word_of(row: models.Model, name: str) -> str:
    """Return the word of a choice that a row has made, in the reader's language.

    The same as ``get_..._display``, which puts all choices of a field in words each time.
    """
    value = getattr(row, name)
    return str(_words(row._meta.get_field(name)).get(value, value))


@cache
def _words(field: models.Field) -> dict[object, object]:
    return dict(field.flatchoices)


translated_when_shown = lazy(translated, str)
"""A text of the code in the language of whoever reads it, at the time that it is read."""


def name_in_readers_words(model: type[models.Model]) -> None:
    """Call a table and its fields by the reader's words, those too that are derived from code.

    Migrations know none of it: they compare what the code says.
    """
    told = model._meta
    for row in (told, *told.local_fields, *told.local_many_to_many):
        for name in ("verbose_name", "verbose_name_plural", "help_text"):
            text = getattr(row, name, "")
            # A plural that Django makes of the one word is lazy, and English for good.
            if text and (name == "verbose_name_plural" or not isinstance(text, Promise)):
                setattr(row, name, translated_when_shown(str(text)))


def in_english(service: Callable[..., Any]) -> Callable[..., Any]:
    """Let a service write its texts in English, whoever asked for it."""

    @wraps(service)
    def in_its_words(*args: Any, **kwargs: Any) -> Any:
        with override(settings.LANGUAGE_CODE):
            return service(*args, **kwargs)

    return in_its_words


def is_english() -> bool:
    """Return whether the texts of the moment are those of the code."""
    return (get_language() or settings.LANGUAGE_CODE).partition("-")[0] == "en"


def in_sentence(words: str) -> str:
    """Return a label as it stands within a sentence; a German noun keeps its capital.

    Which words are none, the catalogue of the language says: no rule tells them from nouns.
    What is spelled in capitals, such as PTFE, stays so.
    """
    if is_english():
        return " ".join(each if _in_capitals(each) else each.lower() for each in words.split(" "))
    small = pgettext(
        "first words of labels that take no capital within a sentence, with spaces between", "none"
    )
    first = words.partition(" ")[0]
    return f"{first.lower()}{words[len(first) :]}" if first.rstrip(",:") in _each(small) else words


def _in_capitals(word: str) -> bool:
    return len(word) > 1 and word[:2].isupper()


def shortened(text: str, most: int) -> str:
    """Return a text of about so many signs at most, cut between two words where it has any."""
    if len(text) <= most:
        return text
    whole_words, _, last = text[:most].rpartition(" ")
    return f"{(whole_words or last).rstrip()} …"


@cache
def _each(words: str) -> frozenset[str]:
    return frozenset(words.split())
