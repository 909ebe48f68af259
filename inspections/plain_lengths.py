"""The five texts of a page in plain words, and how long each may be to leave it one page."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext_noop as mark

from inventory.words import translated


@dataclass(frozen=True, slots=True)
class TextOf:
    """One of the texts: its name, its heading, and its greatest length in characters."""

    name: str
    heading: str
    most: int

    @property
    def label(self) -> str:
        """The heading in the language of the moment."""
        return translated(self.heading)


TEXTS = (
    TextOf("title", mark("Title"), 110),
    TextOf("found", mark("What was found"), 720),
    TextOf("meaning", mark("What it means"), 700),
    TextOf("plan", mark("What will be done and when"), 600),
    TextOf("unknown", mark("What is not known"), 620),
)
