"""What each style name looks like on a screen and on paper.

The colours are our own choice.  The four verdicts are blue, ochre, plum and grey, not
the red, amber and green of traffic lights: they differ in lightness as well as in hue, so
they stay apart for colour-blind readers and in grey print, and each verdict has a shape of
its own besides.  The style sheet's section ``drawings`` is ``css()``, that of the further
schemes ``css_dark()``; a test compares them.
"""

from __future__ import annotations

from dataclasses import dataclass

# custom property: (screen, ink on paper)
COLOURS = {
    "ink": ("#1c2430", "#000000"),
    "muted": ("#566071", "#333333"),
    "rule": ("#aab2be", "#808080"),
    "hairline": ("#dde2e8", "#cccccc"),
    "paper": ("#ffffff", "#ffffff"),
    "deck": ("#d5dbe3", "#e2e2e2"),
    "track": ("#eef1f5", "#f4f4f4"),
    "band": ("#c3d9e8", "#d4d4d4"),
    "expected": ("#1c5d86", "#000000"),
    "limit": ("#3a2a4d", "#000000"),
    "in-range": ("#1c6a94", "#2b5c7c"),
    "watch": ("#a8690a", "#8a5a10"),
    "out-of-range": ("#83104f", "#5e0c39"),
    "cannot-judge": ("#566071", "#404040"),
}
# custom property: screen of a reader who has set the machine to dark
DARK = {
    "ink": "#e8ecef",
    "muted": "#b0bbc5",
    "rule": "#5f6d79",
    "hairline": "#323e48",
    "paper": "#1b232b",
    "deck": "#3d4b58",
    "track": "#26313b",
    "band": "#24485f",
    "expected": "#8ac6ec",
    "limit": "#d3bdf0",
    "in-range": "#6db8e0",
    "watch": "#e6a94a",
    "out-of-range": "#f08fc0",
    "cannot-judge": "#b0bbc5",
}
NONE = "none"


@dataclass(frozen=True, slots=True)
class Style:
    """Fill and stroke are names of ``COLOURS``; sizes are in the drawing's units."""

    fill: str = NONE
    stroke: str = NONE
    width: float = 0.0
    dash: tuple[float, ...] = ()
    size: float = 0.0
    bold: bool = False


def _text(colour: str = "ink", size: float = 11.0, bold: bool = False) -> Style:
    return Style(fill=colour, size=size, bold=bold)


STYLES = {
    "axis": Style(stroke="muted", width=1.0),
    "tick": Style(stroke="muted", width=1.0),
    "grid": Style(stroke="hairline", width=0.8),
    "leader": Style(stroke="rule", width=0.8),
    "track": Style(fill="track", stroke="rule", width=0.8),
    "track-open": Style(stroke="rule", width=1.0, dash=(2, 3)),
    "band": Style(fill="band"),
    "band-edge": Style(stroke="expected", width=0.8, dash=(3, 2)),
    "expected": Style(stroke="expected", width=2.0),
    "fitted": Style(stroke="ink", width=1.6, dash=(9, 4)),
    "fitted-edge": Style(stroke="ink", width=0.9, dash=(1.5, 3)),
    "whisker": Style(stroke="muted", width=1.0),
    "step": Style(fill="track", stroke="muted", width=0.8, dash=(4, 2)),
    "ring": Style(stroke="ink", width=1.4),
    "after-event": Style(stroke="ink", width=1.4),
    "renewed": Style(stroke="ink", width=1.2, dash=(2, 2)),
    "earlier": Style(fill="paper", stroke="muted", width=1.2),
    "spot": Style(),
    "limit": Style(stroke="limit", width=2.2),
    "hatch": Style(stroke="limit", width=0.8),
    "carried": Style(stroke="muted", width=1.2),
    "extreme": Style(stroke="muted", width=1.0, dash=(7, 3, 1.5, 3)),
    "deck": Style(fill="deck", stroke="muted", width=1.0),
    "support": Style(fill="paper", stroke="muted", width=1.2),
    "fixed": Style(fill="paper", stroke="ink", width=1.4),
    "movement": Style(stroke="muted", width=1.2),
    "movement-head": Style(fill="muted"),
    "moved": Style(fill="ink"),
    "should": Style(fill="paper", stroke="ink", width=1.4),
    "should-edge": Style(stroke="ink", width=1.1, dash=(3, 2)),
    "cable": Style(stroke="ink", width=1.8),
    "part": Style(fill="rule", stroke="muted", width=1.0),
    "warmth": Style(fill="muted"),
    "lane": Style(fill="track"),
    "mark-in-range": Style(fill="in-range", stroke="paper", width=0.8),
    "mark-watch": Style(fill="watch", stroke="paper", width=0.8),
    "mark-out-of-range": Style(fill="out-of-range", stroke="paper", width=0.8),
    "mark-cannot-judge": Style(fill="paper", stroke="cannot-judge", width=1.4),
    "carried-in-range": Style(fill="in-range", stroke="paper", width=0.6),
    "carried-watch": Style(fill="watch", stroke="paper", width=0.6),
    "carried-out-of-range": Style(fill="out-of-range", stroke="paper", width=0.6),
    "carried-cannot-judge": Style(fill="paper", stroke="cannot-judge", width=1.2),
    "mark-query": _text("cannot-judge", 8.5, bold=True),
    "label": _text(),
    "label-strong": _text(bold=True),
    "label-muted": _text("muted", 10.0),
    "label-tick": _text("muted", 10.0),
    "label-expected": _text("expected"),
    "label-limit": _text("limit"),
    "label-out-of-range": _text("out-of-range", bold=True),
}


def css() -> str:
    """Return the style sheet's section: custom properties first, then one class a style."""
    lines = ["/* drawings */", ":root {"]
    lines += [f"  --d-{name}: {screen};" for name, (screen, _) in COLOURS.items()]
    lines += ["}", ".drawing { display: block; inline-size: 100%; block-size: auto; }"]
    lines += [".drawing text { font-family: inherit; stroke: none; }"]
    lines += [f".d-{name} {{ {_declarations(style)} }}" for name, style in STYLES.items()]
    return "\n".join([*lines, "/* end of drawings */", ""])


def css_dark() -> str:
    """Return the section of the further schemes' sheet: the same properties in the dark."""
    lines = ["/* drawings in the dark */", "@media screen and (prefers-color-scheme: dark) {"]
    lines += ["  :root {", *(f"    --d-{name}: {colour};" for name, colour in DARK.items()), "  }"]
    return "\n".join([*lines, "}", "/* end of drawings in the dark */", ""])


def _declarations(style: Style) -> str:
    parts = [f"fill: {_variable(style.fill)};", f"stroke: {_variable(style.stroke)};"]
    if style.width:
        parts.append(f"stroke-width: {style.width:g};")
    if style.dash:
        parts.append(f"stroke-dasharray: {' '.join(f'{each:g}' for each in style.dash)};")
    if style.size:
        parts.append(f"font-size: {style.size:g}px;")
    if style.bold:
        parts.append("font-weight: 700;")
    return " ".join(parts)


def _variable(name: str) -> str:
    return NONE if name == NONE else f"var(--d-{name})"
