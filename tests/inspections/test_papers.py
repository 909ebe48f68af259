"""What holds of every report in both sizes, with the longest names that the ledger takes.

The files are read by three programs that know nothing of the one that wrote them: pypdf,
pdfplumber, and qpdf (by pikepdf), whose check of syntax and streams finds nothing.
"""

import io
import re
import uuid
from pathlib import Path

import pdfplumber
import pikepdf
import pytest
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader
from reportlab.platypus import Spacer

from inspections.models import Photo, WorkOrder
from inspections.paper.frame import CAUTION, FOOT, HEAD, MARGIN, SIZES, ReportPages
from inspections.paper.text import SMALL, Caption, para, table
from inventory.models import Bridge, District, Element, Support, Unit
from tests.inspections.test_condition_report import fonts_of, outline_of, text_of
from tests.inspections.test_event_report import shaken
from tests.inspections.work_rows import an_order, position

pytestmark = pytest.mark.django_db
LONG, WORDS = "Neverendingname" * 8, "Long & <winding> " * 7


@pytest.fixture
def codes(settings, tmp_path) -> dict[str, str]:
    """A stock whose names are as long as they may be; what each kind of report is asked by."""
    settings.MEDIA_ROOT = tmp_path / "files"
    event = shaken(2)
    element = Element.objects.get(bridge__code="B-2-1")
    an_order([position(element)])
    for width, height in ((900, 300), (300, 900), (20, 20)):
        a_photo(element, width, height)
    District.objects.update(name=WORDS)
    Bridge.objects.update(name=LONG)
    Element.objects.update(name=WORDS[:60])
    Support.objects.update(name=WORDS[:60])
    Unit.objects.update(name=WORDS[:60])
    WorkOrder.objects.update(title=WORDS)
    event.name, event.description = LONG, (WORDS + LONG) * 9
    event.save()
    return {
        "condition": "B-2-1",
        "district": "",
        "element": f"B-2-1/{element.code}",
        "event": str(event.pk),
        "work": "",
    }


def a_photo(element: Element, width: int, height: int) -> Photo:
    """Keep a photo of an element, of a size in pixels."""
    out = io.BytesIO()
    Image.linear_gradient("L").resize((width, height)).convert("RGB").save(out, "JPEG")
    uid, visit = uuid.uuid4(), element.bridge.inspections.latest("date")
    return Photo.objects.create(
        uid=uid,
        inspection=visit,
        element=element,
        caption=f"{width} by {height} " + LONG,
        taken_at=timezone.now(),
        image=ContentFile(out.getvalue(), f"{uid}.jpg"),
        thumbnail=ContentFile(out.getvalue(), f"{uid}.jpg"),
        width_px=width,
        height_px=height,
    )


@pytest.mark.parametrize("page", ["A4", "Letter"])
@pytest.mark.parametrize("kind", ["condition", "district", "element", "event", "work"])
def test_every_report_is_sound_complete_and_within_its_margins(kind, page, codes, tmp_path):
    path = tmp_path / "report.pdf"
    asked = [codes[kind]] if codes[kind] else []
    units = {"A4": "si", "Letter": "us"}[page]
    call_command("report", *asked, "--kind", kind, "--output", str(path), "--units", units)
    with pikepdf.open(path) as file:
        assert file.check_pdf_syntax() == []
    reader = PdfReader(path)
    assert all(fonts_of(reader).values())
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert reader.metadata.title
    assert reader.metadata.author == "Bearing and Joint Ledger"
    headings = outline_of(reader)
    assert headings[-1] == "Limits of use"
    assert links_of(reader) >= len(headings)
    check_pages(path, reader, page)
    for each in ("Figure", "Table"):
        numbers = [int(n) for n in re.findall(rf"\b{each} (\d+)\. ", text_of(reader))]
        assert numbers == list(range(1, len(numbers) + 1))


def links_of(reader: PdfReader) -> int:
    """Return how many links within the file there are, each to a page that exists."""
    links = [note.get_object() for page in reader.pages for note in page.get("/Annots", [])]
    within = [each for each in links if "/Dest" in each]
    assert all(reader.pages.index(each["/Dest"][0].get_object()) >= 0 for each in within)
    return len(within)


def check_pages(path: Path, reader: PdfReader, page: str) -> None:
    """Hold each page to its size, number, cautions and margins; the first is to be signed."""
    width, height = SIZES[page]
    count = len(reader.pages)
    with pdfplumber.open(path) as file:
        for number, each in enumerate(file.pages, 1):
            assert (each.width, each.height) == pytest.approx((width, height), abs=0.01)
            text = each.extract_text()
            assert f"page {number} of {count}" in text
            assert CAUTION[1] in text
            body = each.crop((0, HEAD, width, height - FOOT))
            for word in body.extract_words():
                assert word["x0"] >= MARGIN - 1, word
                assert word["x1"] <= width - MARGIN + 1, word
            for image in each.images:
                assert image["x0"] >= MARGIN - 1
                assert image["x1"] <= width - MARGIN + 1
                assert image["bottom"] <= height - FOOT + 1
        assert "Licence number" in file.pages[0].extract_text()


@pytest.mark.parametrize("kind", ["condition", "element"])
def test_photos_are_printed_in_proportion_each_with_its_caption(kind, codes, tmp_path):
    path = tmp_path / "report.pdf"
    call_command("report", codes[kind], "--kind", kind, "--output", str(path))
    with pdfplumber.open(path) as file:
        shapes = [image["width"] / image["height"] for page in file.pages for image in page.images]
    wanted = {"element": [3.0, 1 / 3, 1.0], "condition": [1 / 3, 1.0]}[kind]
    assert shapes == pytest.approx(wanted, rel=0.01)
    assert text_of(PdfReader(path)).count("photo of") == len(wanted)


def test_a_photo_whose_file_is_lost_leaves_the_rest_of_the_report_whole(codes, tmp_path):
    lost = Photo.objects.latest("taken_at")
    lost.image.storage.delete(lost.image.name)
    path = tmp_path / "report.pdf"
    call_command("report", codes["element"], "--kind", "element", "--output", str(path))
    text = text_of(PdfReader(path))
    assert text.count("not where it was stored") == 1
    assert text.count("photo of") == 3


@pytest.mark.parametrize("left", range(10, 120, 10))
def test_no_table_leaves_its_caption_behind_at_the_foot_of_a_page(left, tmp_path):
    path = tmp_path / "table.pdf"
    with path.open("wb") as file:
        pages = ReportPages(
            file, "A4", running=("T-1", "T"), printed="now", title="T", subject="T", what="T"
        )
        words = para("as many words as a column has no room for on one line", SMALL)
        above = Spacer(0, SIZES["A4"][1] - HEAD - FOOT - left)
        rows = [["Why"], *([words] for _ in range(9))]
        pages.write([above, Caption("Table", "What was seen."), table(rows, [80.0])])
    found = [page.extract_text() for page in PdfReader(path).pages]
    (named,) = (each for each in found if "What was seen." in each)
    assert "as many" in named
