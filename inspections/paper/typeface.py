"""The typeface of everything that is printed or measured: DejaVu Sans, kept in ``fonts``.

It is embedded in each file, so a report reads the same on every machine, and it has
the signs that the standard PDF fonts lack.
"""

from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "LedgerSans"
BOLD = "LedgerSans-Bold"
_FILES = {REGULAR: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}


@cache
def register() -> None:
    """Make both weights known to ReportLab, once a process."""
    folder = Path(__file__).parent / "fonts"
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))
    # Italics are not shipped; markup that asks for them gets the upright weight.
    pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, REGULAR, BOLD)


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Return the width of a text in the unit of its size.

    DejaVu Sans runs wider than the usual fonts of a screen, so what fits here fits there.
    """
    register()
    return pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size)
