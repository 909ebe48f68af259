"""Paragraphs of plain text, which need no parser and are broken into lines once for a width.

ReportLab's own paragraph reads its text as markup, breaks it anew whenever it is asked for its
height, and draws each line by some dozen calls: in a long report, most of its time.
"""

from __future__ import annotations

from functools import cache, lru_cache

from reportlab.lib.colors import Color
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.rl_accel import fp_str
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph
from reportlab.platypus.paragraph import ParaLines, cleanBlockQuotedText
from reportlab.platypus.paraparser import ParaFrag

from inspections.drawing.typeface import show_text

_HAIR = 1e-8
_ALIGNED = (TA_LEFT, TA_RIGHT)
_KEPT = 2048
"""Texts that are remembered: those that recur do so soon."""
_SOFT_HYPHEN, _FIXED_SPACE = "\xad", "\xa0"


class Plain(Paragraph):
    """A paragraph of plain text in the type of its style."""

    def __init__(
        self,
        text: str | None,
        style: ParagraphStyle,
        bulletText: str | None = None,  # noqa: N803 - the names by which ReportLab splits one
        frags: list[ParaFrag] | None = None,
    ) -> None:
        if frags is None:
            cleaned = _cleaned(text)
            frags = [_like(style).clone(text=cleaned)] if cleaned else []
        super().__init__(text, style, bulletText, frags)
        self._broken_for: float | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the room it takes, broken into lines for a width that it had not before."""
        if self._broken_for != width or not hasattr(self, "blPara"):
            super().wrap(width, height)
            self._broken_for = width
        return self.width, self.height

    def breakLines(self, width: list[float]) -> ParaLines:  # noqa: N802 - ReportLab's name
        """Return the lines; where a word must be broken, as ReportLab breaks it."""
        broken = self._lines(width[-1]) if self._is_plain else None
        return super().breakLines(width) if broken is None else broken

    def draw(self) -> None:
        """Draw it where the canvas stands."""
        self.draw_at(self.canv, 0.0, 0.0)

    def draw_at(self, canvas: Canvas, x: float, y: float) -> None:
        """Draw it with its lower left corner at x, y; the ink is that of its style afterwards."""
        lines = self.blPara
        if lines.kind or not self._is_plain:
            canvas.saveState()
            canvas.translate(x, y)
            self.canv = canvas
            super().draw()
            canvas.restoreState()
            return
        if not lines.lines:
            return
        style, document = self.style, canvas._doc
        base = y + self.height - lines.fontSize
        right = style.alignment == TA_RIGHT
        shown = []
        for room, words in lines.lines:
            told = " ".join(words)
            text = show_text(told, lines.fontName, lines.fontSize, document)
            at = x + room if right else x
            if room < -_HAIR and (spaces := told.count(" ") + told.count(_FIXED_SPACE)):
                # What is a little too long for its line has its spaces narrowed.
                at, text = x, f"{room / spaces:.6f} Tw {text} 0 Tw"
            shown.append(f"1 0 0 1 {at:.4f} {base:.4f} Tm {text}")
            base -= style.leading
        canvas.addLiteral(f"{ink_of(style.textColor)} rg BT {' '.join(shown)} ET")

    @property
    def _is_plain(self) -> bool:
        style = self.style
        return (
            len(self.frags) == 1
            and hasattr(self.frags[0], "text")
            and not self.frags[0].link
            and style.alignment in _ALIGNED
            and not (style.leftIndent or style.rightIndent or style.firstLineIndent)
        )

    def _lines(self, room: float) -> ParaLines | None:
        frag = self.frags[0]
        if _SOFT_HYPHEN in frag.text:
            return None
        size = frag.fontSize
        lines = _broken(frag.text, frag.fontName, size, room, self.style.spaceShrinkage)
        return None if lines is None else frag.clone(kind=0, lines=lines, fontSize=size)


class Named(Plain):
    """A name in bold, and what is said of it after that."""

    def __init__(self, name: str, text: str, style: ParagraphStyle) -> None:
        if name:
            rest = f" {cleanBlockQuotedText(text)}"
            frags = [_like(style, bold=True).clone(text=name), _like(style).clone(text=rest)]
        super().__init__(text, style, frags=frags if name else None)
        self._used = sum(
            stringWidth(each.text, each.fontName, each.fontSize) for each in self.frags
        )
        self._fits = False

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the room it takes; what fits on one line needs no breaking."""
        self._fits = self._used <= width
        if not self._fits:
            return super().wrap(width, height)
        self.width, self.height = width, self.style.leading
        return self.width, self.height

    def split(self, _width: float, _height: float) -> list[Paragraph]:
        """Stay whole."""
        return []

    def draw_at(self, canvas: Canvas, x: float, y: float) -> None:
        """Draw it with its lower left corner at x, y; the ink is that of its style afterwards."""
        if not self._fits:
            super().draw_at(canvas, x, y)
            return
        size = self.style.fontSize
        shown = (show_text(each.text, each.fontName, size, canvas._doc) for each in self.frags)
        canvas.addLiteral(
            f"{ink_of(self.style.textColor)} rg BT"
            f" 1 0 0 1 {x:.4f} {y + self.height - size:.4f} Tm {' '.join(shown)} ET"
        )


_cleaned = lru_cache(_KEPT)(cleanBlockQuotedText)


@lru_cache(_KEPT)
def _broken(
    text: str, font: str, size: float, room: float, shrinkage: float
) -> list[tuple[float, list[str]]] | None:
    """Return the lines with the room that each leaves; None where a word must be broken."""
    space = stringWidth(" ", font, size)
    narrower = shrinkage * space
    lines: list[tuple[float, list[str]]] = []
    line: list[str] = []
    used = -space
    for word in text.split(" "):
        wide = stringWidth(word, font, size)
        if wide > room:
            return None
        if line and used + space + wide > room + narrower * len(line):
            lines.append((room - used, line))
            line, used = [word], wide
        else:
            line.append(word)
            used = used + space + wide
    if line:
        lines.append((room - used, line))
    return lines


@cache
def _like(style: ParagraphStyle, bold: bool = False) -> ParaFrag:
    """Return a fragment as ReportLab reads it from the text of a style."""
    return Paragraph("<b>x</b>" if bold else "x", style).frags[0]


@cache
def ink_of(colour: Color) -> str:
    """Return the red, green and blue of a colour as PDF has them."""
    return fp_str(colour.red, colour.green, colour.blue)
