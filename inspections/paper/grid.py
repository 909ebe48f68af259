"""Tables that are laid out once, share the styles of their cells, and draw plain cells at once."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import LongTable, Table
from reportlab.platypus.tables import LINECOMMANDS, CellStyle

from inspections.drawing.pdf import PaperDrawing
from inspections.drawing.typeface import show_text
from inspections.paper.paragraph import Plain, ink_of

Command = tuple
_OF_THE_TABLE = frozenset((*LINECOMMANDS, "BACKGROUND", "SPAN", "NOSPLIT"))
"""Commands that a table keeps for itself; all others change the styles of its cells."""
_MOST_CELLS = 400
"""Cells up to which the styles of a table are kept for the next one like it."""
_AT_ONCE = (Plain, PaperDrawing)


class Grid(Table):
    """A table of columns whose widths are given.

    Laid out it stays so: ReportLab asks each table for its height two or three times over.
    """

    _is_laid_out = False

    def _calc(self, width: float, height: float) -> None:
        if not self._is_laid_out:
            super()._calc(width, height)
            # A long table stops where its page is full, and goes on when it is asked again.
            self._is_laid_out = self._hmax == self._nrows

    def _drawCell(  # noqa: N802 - ReportLab's name
        self,
        value: object,
        style: CellStyle,
        place: tuple[float, float],
        size: tuple[float, float],
    ) -> None:
        if isinstance(value, str):
            if value:
                self._draw_text(value, style, place, size)
            return
        parts = value if isinstance(value, (list, tuple)) else (value,)
        if all(isinstance(each, _AT_ONCE) for each in parts):
            if parts:
                self._draw_parts(parts, style, place, size)
            return
        self._curcellstyle = None  # the ink may be that of another cell
        super()._drawCell(value, style, place, size)

    def _draw_text(
        self, text: str, style: CellStyle, place: tuple[float, float], size: tuple[float, float]
    ) -> None:
        lines = text.split("\n")
        font, height, document = style.fontname, style.fontsize, self.canv._doc
        y = place[1] - height
        if style.valign == "TOP":
            y += size[1] - style.topPadding
        elif style.valign == "BOTTOM":
            y += style.bottomPadding + len(lines) * style.leading
        else:
            between = style.bottomPadding + size[1] - style.topPadding
            y += (between + len(lines) * style.leading) / 2.0
        shown = []
        for line in lines:
            x = _start(style, place[0], size[0], line, font, height)
            shown.append(f"1 0 0 1 {x:.4f} {y:.4f} Tm {show_text(line, font, height, document)}")
            y -= style.leading
        self.canv.addLiteral(f"{ink_of(style.color)} rg BT {' '.join(shown)} ET")

    def _draw_parts(
        self,
        parts: Sequence[Plain | PaperDrawing],
        style: CellStyle,
        place: tuple[float, float],
        size: tuple[float, float],
    ) -> None:
        room = size[0] - style.leftPadding - style.rightPadding
        sizes = [each.wrap(room, size[1]) for each in parts]
        between = [
            (one.getSpaceAfter(), next_one.getSpaceBefore()) for one, next_one in pairwise(parts)
        ]
        total = sum(tall for _, tall in sizes) + sum(map(sum, between))
        y = place[1]
        if style.valign == "TOP":
            y += size[1] - style.topPadding
        elif style.valign == "BOTTOM":
            y += style.bottomPadding + total
        else:
            y += (size[1] + style.bottomPadding - style.topPadding + total) / 2.0
        for part, (wide, tall), spaces in zip(parts, sizes, [*between, (0.0, 0.0)], strict=True):
            y -= tall
            part.draw_at(self.canv, _left(style, place[0], size[0], wide), y)
            y -= sum(spaces)


class LongGrid(Grid, LongTable):
    """The same over many pages."""


def grid(
    kind: type[Grid],
    rows: Sequence[Sequence[object]],
    widths: Sequence[float],
    commands: Sequence[Command],
    **more: object,
) -> Grid:
    """Return a table of a kind, set out by ReportLab's commands; all its rows are as long."""
    data = [list(row) for row in rows]
    of_cells = tuple(each for each in commands if each[0] not in _OF_THE_TABLE)
    shape = (len(data), len(data[0]))
    is_kept = shape[0] * shape[1] <= _MOST_CELLS
    return kind(
        data,
        list(widths),
        style=[each for each in commands if each[0] in _OF_THE_TABLE],
        cellStyles=(_kept_styles if is_kept else _cell_styles)(*shape, of_cells),
        hAlign="LEFT",
        **more,
    )


def _cell_styles(rows: int, columns: int, commands: tuple[Command, ...]) -> list[list[CellStyle]]:
    return Table([[""] * columns] * rows, style=list(commands))._cellStyles


_kept_styles = lru_cache(256)(_cell_styles)


def _start(style: CellStyle, x: float, wide: float, line: str, font: str, height: float) -> float:
    return _left(
        style, x, wide, 0.0 if style.alignment == "LEFT" else stringWidth(line, font, height)
    )


def _left(style: CellStyle, x: float, wide: float, used: float) -> float:
    """Return where something of a width begins in a cell."""
    if style.alignment == "LEFT":
        return x + style.leftPadding
    if style.alignment == "RIGHT":
        return x + wide - style.rightPadding - used
    return x + (wide + style.leftPadding - style.rightPadding - used) / 2.0
