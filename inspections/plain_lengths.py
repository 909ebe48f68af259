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
    TextOf("found", "What was found", 720),
    TextOf("meaning", "What it means", 700),
    TextOf("plan", "What will be done and when", 600),
    TextOf("unknown", "What is not known", 620),
)
