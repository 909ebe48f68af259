"""Files of drawings as somebody sends them: told by their content, and encoded anew."""

from __future__ import annotations

import io
import subprocess  # nosec B404 # the one program that it starts is our own
import sys
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps

from inventory.models.choices import DrawingFormat
from inventory.models.drawing import MOST_SHEETS
from inventory.services import pdf_copy
from inventory.services.damaged_pictures import DAMAGED
from movement.errors import InputError

LARGEST_MB = 20
LARGEST_BYTES = LARGEST_MB * 1024 * 1024
LARGEST_PIXELS = pdf_copy.LARGEST_PIXELS
"""An A1 sheet at 250 dots an inch, 8.3 by 5.8 thousand, is 48 million."""
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF")
QUALITY = 90
PATIENCE_S = 60
PDF_BEGINS = b"%PDF-"
PDF_BEGINS_WITHIN = 1024
FIELD = "file"


@dataclass(frozen=True, slots=True)
class Clean:
    """A file that can be kept: what was drawn, and nothing else that was sent."""

    format: DrawingFormat
    content: bytes
    sheets: int


def cleaned(sent: bytes) -> Clean:
    """Return a file of drawings encoded anew.

    Raises
    ------
    InputError
        At ``file``, where it is too large, of no known kind, damaged, protected, or made to fill
        the memory of whoever opens it.
    """
    if len(sent) > LARGEST_BYTES:
        raise InputError(FIELD, f"is larger than {LARGEST_MB} MB", "Split it, or scan it smaller")
    if PDF_BEGINS in sent[:PDF_BEGINS_WITHIN]:
        return _pdf(sent)
    return _picture(sent)


def _pdf(sent: bytes) -> Clean:
    refused = InputError(FIELD, "cannot be read with the means it takes", "Save it anew as a PDF")
    try:
        # By its path, so that it reads nothing of the site and of the environment.
        done = subprocess.run(  # noqa: S603  # nosec B603 # our own program, and the file is its input
            [sys.executable, "-I", Path(pdf_copy.__file__), f"{MOST_SHEETS}"],
            input=sent,
            capture_output=True,
            timeout=PATIENCE_S,
            check=False,
            env={},
        )
    except subprocess.TimeoutExpired:
        raise refused from None
    told = done.stderr.decode(errors="replace")
    if done.returncode == pdf_copy.REFUSED:
        what, remedy = told.splitlines()[-2:]
        raise InputError(FIELD, what, remedy)
    # What it died of, its limits or the reader's own fault, says nothing to whoever sent it.
    if done.returncode or not told.rsplit("\n", 1)[-1].isdigit():
        raise refused
    return Clean(DrawingFormat.PDF, done.stdout, int(told.rsplit("\n", 1)[-1]))


def _picture(sent: bytes) -> Clean:
    try:
        picture = Image.open(io.BytesIO(sent), formats=FORMATS)
        if picture.width * picture.height > LARGEST_PIXELS:
            raise InputError(
                FIELD,
                f"has more than {LARGEST_PIXELS // 10**6} million pixels",
                "Scan it with fewer dots",
            )
        if getattr(picture, "n_frames", 1) > 1:
            raise InputError(FIELD, "holds several pages", "Save it as a PDF")
        photo = picture.format in ("JPEG", "WEBP")
        drawn = _on_white(ImageOps.exif_transpose(picture))
    except InputError:  # itself a ValueError
        raise
    except DAMAGED as error:
        raise InputError(
            FIELD, "is no PDF, PNG, JPEG, TIFF or WebP that can be opened", "Save it as a PDF"
        ) from error
    out = io.BytesIO()
    if photo:
        drawn.save(out, "JPEG", quality=QUALITY, optimize=True)
        return Clean(DrawingFormat.JPEG, out.getvalue(), 1)
    drawn.save(out, "PNG", optimize=True)
    return Clean(DrawingFormat.PNG, out.getvalue(), 1)


def _on_white(picture: Image.Image) -> Image.Image:
    """Return a picture as black, grey or coloured; what is seen through shows white paper."""
    if picture.mode in ("1", "L", "RGB"):
        return picture.copy()
    if "A" in picture.getbands() or "transparency" in picture.info:
        seen = picture.convert("RGBA")
        return Image.alpha_composite(Image.new("RGBA", seen.size, "white"), seen).convert("RGB")
    return picture.convert("RGB")
