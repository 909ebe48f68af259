"""What reading a damaged picture may raise."""

from __future__ import annotations

import struct

from PIL import Image

DAMAGED = (
    OSError,
    ValueError,
    SyntaxError,
    TypeError,
    AttributeError,
    LookupError,
    ArithmeticError,
    MemoryError,
    struct.error,
    Image.DecompressionBombError,
)
"""Pillow says "not identified" of some; of others its parsers raise what they stumble over: a PNG's
damaged part is a fault of syntax, a TIFF without its width one of types."""
