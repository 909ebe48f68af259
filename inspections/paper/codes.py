"""Square codes that lead to an element's form on the tablet."""

from __future__ import annotations

from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing

LEVEL = "M"
"""Still read with a seventh of it dirty."""


def place_url(base: str, element_pk: int) -> str:
    """Return the address of an element's form, whichever inspection is on board."""
    return f"{base.rstrip('/')}/field/#/e/{element_pk}"


def square_code(text: str, side: float) -> Drawing:
    """Return a square code of a text, ``side`` points wide."""
    widget = QrCodeWidget(text, barLevel=LEVEL)
    left, bottom, right, top = widget.getBounds()
    drawing = Drawing(
        side, side, transform=[side / (right - left), 0, 0, side / (top - bottom), 0, 0]
    )
    drawing.add(widget)
    return drawing
