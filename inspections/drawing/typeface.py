"""The typeface of everything that is printed or measured: DejaVu Sans, kept in ``fonts``.

It is embedded in each file, so a report reads the same on every machine, and it has
the signs that the standard PDF fonts lack.
"""

from functools import cache, lru_cache
from pathlib import Path
from weakref import WeakKeyDictionary

from reportlab.lib.rl_accel import escapePDF
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import PDFDocument
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "LedgerSans"
BOLD = "LedgerSans-Bold"
_FILES = {REGULAR: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}
_KEPT = 8192
"""Texts whose width and spelling are remembered: a report says the same words over and over."""


class _Face(TTFont):
    """A weight that remembers how wide a text is, and how it is spelled in a file."""

    def __init__(self, name: str, file: str) -> None:
        super().__init__(name, file)
        self.stringWidth = lru_cache(_KEPT)(super().stringWidth)
        self._shown: WeakKeyDictionary[PDFDocument, dict[tuple[str, float], str]] = (
            WeakKeyDictionary()
        )

    def shown(self, text: str, size: float, document: PDFDocument) -> str:
        """Return the operators that show a text, each stretch by the subset with its signs."""
        known = self._shown.get(document)
        if known is None:
            known = self._shown[document] = {}
        found = known.get((text, size))
        if found is None:
            if len(known) >= _KEPT:
                known.clear()
            found = known[text, size] = " ".join(
                f"{self.getSubsetInternalName(subset, document)} {size:g} Tf"
                f" ({escapePDF(signs)}) Tj"
                for subset, signs in self.splitString(text, document)
            )
        return found


@cache
def register() -> None:
    """Make both weights known to ReportLab, once a process."""
    folder = Path(__file__).parent / "fonts"
    for name, file in _FILES.items():
        pdfmetrics.registerFont(_Face(name, str(folder / file)))
    # Italics are not shipped; markup that asks for them gets the upright weight.
    pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, REGULAR, BOLD)


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Return the width of a text in the unit of its size.

    DejaVu Sans runs wider than the usual fonts of a screen, so what fits here fits there.
    """
    register()
    return pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size)


def show_text(text: str, font: str, size: float, document: PDFDocument) -> str:
    """Return the PDF operators that show a text where the text cursor stands."""
    return pdfmetrics.getFont(font).shown(text, size, document)
