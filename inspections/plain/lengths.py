"""The five texts of a page in plain words, and how long each may be to leave it one page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TextOf:
    """One of the texts: its name, its heading, and its greatest length in characters."""

    name: str
    label: str
    most: int


TEXTS = (
    TextOf("title", "Title", 110),
    TextOf("found", "What was found", 640),
    TextOf("meaning", "What it means", 620),
    TextOf("plan", "What will be done and when", 480),
    TextOf("unknown", "What is not known", 520),
)
