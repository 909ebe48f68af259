"""Files of drawings: told by content, encoded anew, and refused where they would do harm."""

import contextlib
import io
import itertools
import subprocess
import time

import pdfplumber
import pikepdf
import pytest
from PIL import Image

from inventory.services import drawing_files
from inventory.services.drawing_files import LARGEST_BYTES, cleaned
from movement.errors import InputError
from tests.drawing_sheets import (
    acting,
    changed,
    layered,
    protected,
    scan,
    sheets,
    stamped,
    unpacking_to,
    with_a_picture_of,
    with_a_program,
)


def open_text(content: bytes) -> bytes:
    """Return a PDF with nothing in it packed."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(content)) as pdf:
        pdf.save(
            out,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
            stream_decode_level=pikepdf.StreamDecodeLevel.all,
            compress_streams=False,
        )
    return out.getvalue()


def words(content: bytes) -> list[str]:
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return [page.extract_text() for page in pdf.pages]


def test_a_pdf_keeps_what_is_drawn_and_loses_what_acts():
    sent = changed(sheets(), acting)
    assert b"opened" in open_text(sent)
    assert b"a program" in open_text(sent)

    clean = cleaned(sent)

    assert (clean.format, clean.sheets) == ("pdf", 2)
    assert words(clean.content) == words(sheets())
    for trace in (b"JavaScript", b"opened", b"away.example", b"a program", b"OpenAction"):
        assert trace not in open_text(clean.content)


def test_a_reviewers_stamp_becomes_part_of_the_sheet():
    clean = cleaned(changed(sheets(), stamped))
    assert "AS BUILT" in words(clean.content)[0]
    with pikepdf.open(io.BytesIO(clean.content)) as pdf:
        assert "/Annots" not in pdf.pages[0].obj


def test_a_layer_that_is_off_stays_off():
    clean = cleaned(changed(sheets(), layered))
    with pikepdf.open(io.BytesIO(clean.content)) as pdf:
        [off] = pdf.Root.OCProperties.D.OFF
        assert off.objgen == pdf.pages[0].obj.Resources.Properties.L1.objgen


def test_the_same_file_is_encoded_to_the_same_bytes_later():
    before = cleaned(sheets())
    time.sleep(1.1)  # a PDF's number may be made of the second in which it is written
    assert cleaned(sheets()) == before


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        (protected("secret"), "protected"),
        (protected(""), "protected"),
        (sheets(201, (100, 100)), "201 pages"),
        (changed(sheets(), unpacking_to(80 * 2**20)), "unpacks"),
        (changed(sheets(), unpacking_to(2000 * 2**20)), "unpacks"),
        (changed(sheets(), with_a_picture_of(40_000, 40_000)), "60 million pixels"),
        (changed(sheets(), with_a_program), "PostScript"),
        (b"%PDF-1.7\n%%EOF", "no PDF"),
        (b"%PDF-1.7" + bytes(range(256)) * 40, "no PDF"),
    ],
    ids=[
        "password", "empty password", "many pages", "a bomb", "a larger bomb", "a large picture",
        "a program", "nothing in it", "noise",
    ],
)  # fmt: skip
def test_a_pdf_that_would_do_harm_is_refused_with_the_remedy(sent, told):
    with pytest.raises(InputError) as refusal:
        cleaned(sent)
    assert refusal.value.field == "file"
    assert told in refusal.value.message
    assert refusal.value.remedy


@pytest.mark.parametrize("cut", [0.3, 0.6, 0.9])
def test_half_a_pdf_is_refused_and_not_mended_with_empty_sheets(cut):
    whole = sheets()
    with pytest.raises(InputError, match="no PDF that can be read"):
        cleaned(whole[: int(len(whole) * cut)])


def test_a_reader_that_never_ends_is_not_waited_for(monkeypatch):
    monkeypatch.setattr(drawing_files, "PATIENCE_S", 0.001)
    with pytest.raises(InputError, match="cannot be read"):
        cleaned(sheets())


def test_nothing_of_the_site_is_told_to_the_process_that_reads(monkeypatch):
    given = {}
    run = subprocess.run
    monkeypatch.setenv("SECRET_KEY", "a secret")
    monkeypatch.setattr(
        drawing_files.subprocess,
        "run",
        lambda *args, **more: given.update(more) or run(*args, **more),
    )
    cleaned(sheets())
    assert given["env"] == {}


@pytest.mark.parametrize(
    ("sent", "kept", "mode"),
    [
        (scan("TIFF", "1"), "png", "1"),
        (scan("PNG", "L"), "png", "L"),
        (scan("PNG", "RGBA"), "png", "RGB"),
        (scan("JPEG", "RGB"), "jpeg", "RGB"),
        (scan("WEBP", "RGB"), "jpeg", "RGB"),
    ],
    ids=["black and white", "grey", "seen through", "photo", "another photo"],
)
def test_a_scan_is_encoded_anew(sent, kept, mode):
    clean = cleaned(sent)
    assert (clean.format, clean.sheets) == (kept, 1)
    with Image.open(io.BytesIO(clean.content)) as picture:
        assert (picture.format, picture.mode) == (kept.upper(), mode)
        light, dark = (picture.convert("L").getpixel(at) for at in ((300, 200), (300, 10)))
        assert light > 230
        assert dark < 60


def test_what_a_scanner_adds_is_left_behind():
    note = Image.Exif()
    note[0x010E] = "secret place"
    sent = scan("JPEG", "RGB", exif=note)
    assert b"secret place" in sent
    assert b"secret place" not in cleaned(sent).content


def several_pages() -> bytes:
    out = io.BytesIO()
    page = Image.new("1", (60, 40))
    page.save(out, "TIFF", save_all=True, append_images=[page])
    return out.getvalue()


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        (b"", "no PDF"),
        (b"<html><script>alert(1)</script>", "no PDF"),
        (b"GIF89a" + b"0" * 100, "no PDF"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no PDF"),
        (scan("PNG")[:300], "no PDF"),
        (scan("PNG", "1", (10_000, 6_001)), "60 million pixels"),
        (several_pages(), "several pages"),
        (b"\0" * (LARGEST_BYTES + 1), "20 MB"),
    ],
    ids=["empty", "a page", "GIF", "SVG", "half of one", "many pixels", "TIFF pages", "too large"],
)
def test_what_is_no_drawing_is_refused(sent, told):
    with pytest.raises(InputError) as refusal:
        cleaned(sent)
    assert refusal.value.field == "file"
    assert told in refusal.value.message


@pytest.mark.parametrize("format", ["TIFF", "PNG", "JPEG", "WEBP"])
def test_a_scan_with_a_damaged_byte_is_taken_or_refused(format):
    sent = scan(format, size=(60, 40))
    at = [*range(min(200, len(sent))), *range(max(0, len(sent) - 200), len(sent))]
    refused = 0
    for place, byte in itertools.product(at, (0x00, 0xFF)):
        damaged = sent[:place] + bytes([byte]) + sent[place + 1 :]
        # Whatever else is raised would be a fault of the server.
        with contextlib.suppress(InputError):
            refused -= cleaned(damaged).sheets
        refused += 1
    assert 0 < refused < 2 * len(at)
