"""Square codes that lead to an element's form on the tablet."""

from __future__ import annotations

from itertools import groupby

from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel
from reportlab.graphics.shapes import Drawing, Path
from reportlab.lib.colors import black

LEVEL = QRErrorCorrectLevel.M
"""Still read with a seventh of it dirty."""
QUIET = 4
"""Cells that stay white around it, as its standard asks."""


def place_url(base: str, element_pk: int) -> str:
    """Return the address of an element's form, whichever inspection is on board."""
    return f"{base.rstrip('/')}/field/#/e/{element_pk}"


def square_code(text: str, side: float) -> Drawing:
    """Return a square code of a text, ``side`` points wide with its quiet zone.

    All of it is one path: a sheet of labels holds hundreds of bars for each of its codes.
    """
    code = QRCode(None, LEVEL)
    code.addData(text)
    code.make()
    cells = code.getModuleCount() + 2 * QUIET
    path = Path(fillColor=black, strokeColor=None)
    for row, modules in enumerate(code.modules):
        top = cells - QUIET - row
        at = QUIET
        for is_dark, bar in groupby(map(bool, modules)):
            left, at = at, at + len(list(bar))
            if is_dark:
                path.moveTo(left, top)
                path.lineTo(at, top)
                path.lineTo(at, top - 1)
                path.lineTo(left, top - 1)
                path.closePath()
    drawing = Drawing(side, side, transform=[side / cells, 0, 0, side / cells, 0, 0])
    drawing.add(path)
    return drawing
