"""The paper form asks for what the tablet asks for, and its codes lead to the right place."""

import io
import re

import numpy as np
import pdfplumber
import pytest
from django.test import Client
from django.utils import timezone
from django.utils.translation import override
from pypdf import PdfReader
from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.pdfgen.canvas import Canvas

from inspections.paper.codes import place_url, square_code
from inspections.paper.expected_table import temperatures
from inspections.paper.labels import MM, SHEETS, write_labels
from inventory.models.choices import DeviceType
from inventory.units import System
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db
SETTING = {"setting_source": "measured", "setting_temperature_c": 20.0}


@pytest.fixture
def inspection():
    """An open inspection of a bridge with a joint, a bearing and a shear key."""
    unit = make_unit(make_bridge("T-77"))
    make_element(
        unit, "strip_seal", "J-1", installation=SETTING | {"setting_gap_mm": 50.0},
        design={"opening_min_mm": 10.0, "opening_max_mm": 100.0},
    )  # fmt: skip
    make_element(unit, "pot", "B-1", installation=SETTING | {"setting_offset_along_mm": 0.0})
    make_element(
        unit, "shear_key", "K-1", station_m=0.0, design={"gap_left_mm": 25.0, "gap_right_mm": 25.0},
        installation=SETTING,
    )  # fmt: skip
    return make_inspection(unit.bridge, timezone.now().date())


def pages(user, path: str) -> list[str]:
    """Return the text of each page of a PDF."""
    client = Client()
    client.force_login(user)
    response = client.get(path)
    assert response.status_code == 200
    assert response["Content-Type"] == "application/pdf"
    file = io.BytesIO(b"".join(response.streaming_content))
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(file).pages]


def test_the_form_holds_every_element_with_its_limits_and_points(inspection):
    text = " ".join(pages(make_user("inspector"), f"/inspections/{inspection.pk}/form.pdf"))

    for wanted in ("J-1: Strip seal joint", "B-1: Pot bearing", "K-1: Shear key"):
        assert wanted in text
    for wanted in ("Joint gap, left", "Joint gap, centre", "Key gap, right", "10.0 mm to 100.0 mm"):
        assert wanted in text.replace("\u202f", " ")
    assert "2310 Leakage" in text
    assert "Signature of the lead" in text


def test_the_expected_gap_stands_against_the_temperature(inspection):
    text = " ".join(pages(make_user("inspector"), f"/inspections/{inspection.pk}/form.pdf"))

    # 100 m at 11.7e-6 a degree: 1.17 mm a degree, 50 mm at 20 degC, so 73.4 mm at 0 degC
    assert "73.4" in text
    assert "50.0" in text
    assert "Key gap: 25.0" in text
    assert "at any temperature" in text


def test_the_caution_stands_on_every_page(inspection):
    for page in pages(make_user("inspector"), f"/inspections/{inspection.pk}/form.pdf"):
        assert "a licensed engineer govern" in page


@pytest.mark.parametrize(
    ("system", "first", "step"), [(System.SI, -30.0, 10.0), (System.US, -28.888889, 11.111111)]
)
def test_the_temperatures_are_whole_tens_of_the_readers_degrees(system, first, step):
    found = temperatures({"design_min_c": -34.0, "design_max_c": 45.0}, system)

    assert found[0] == pytest.approx(first)
    assert found[1] - found[0] == pytest.approx(step)
    assert found[-1] <= 45.0
    assert len(found) <= 9


def test_a_sheet_has_a_label_for_each_place_in_walking_order(inspection):
    (text,) = pages(make_user("engineer"), "/bridges/T-77/labels.pdf")

    assert text.index("K-1") < text.index("B-1") < text.index("J-1")


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("page_size", ["A4", "Letter"])
def test_a_label_names_its_device_in_full_and_within_the_label(inspection, page_size, language):
    element = inspection.bridge.elements.get(code="B-1")
    sheet = SHEETS[page_size]
    for kind in DeviceType:
        element.current_installation.device_type = kind
        file = io.BytesIO()
        with override(language):
            write_labels([element], file, base_url="https://l.example/", page_size=page_size)
            name = kind.label
        with pdfplumber.open(file) as pdf:
            label = pdf.pages[0].within_bbox((
                sheet.left * MM, sheet.top * MM,
                (sheet.left + sheet.width) * MM, (sheet.top + sheet.height) * MM,
            ))  # fmt: skip
            told = " ".join(label.extract_text().split())
        assert name in told
        assert element.support.code in told.split()


def test_the_code_of_a_place_leads_to_the_tablets_page():
    assert place_url("https://ledger.example/", 12) == "https://ledger.example/field/#/e/12"


def test_a_bridge_without_elements_gets_a_sheet_that_says_so():
    make_bridge("T-78")

    (text,) = pages(make_user("engineer"), "/bridges/T-78/labels.pdf")

    assert "no elements" in text


@pytest.mark.parametrize(("role", "status"), [("manager", 403), (None, 403), ("inspector", 200)])
def test_who_enters_readings_prints_forms_and_labels(role, status, inspection, client):
    client.force_login(make_user(role))

    for path in (f"/inspections/{inspection.pk}/form.pdf", "/bridges/T-77/labels.pdf"):
        assert client.get(path).status_code == status


def test_a_code_on_paper_is_dark_where_the_standard_has_it_dark_with_room_around_it():
    """Held against the library's own drawing, cell by cell: nothing here can scan."""
    url, side = place_url("https://ledger.example", 4711), 90.0

    def printed(drawing: Drawing):
        file = io.BytesIO()
        canvas = Canvas(file, pagesize=(side, side))
        renderPDF.draw(drawing, canvas, 0, 0)
        canvas.save()
        with pdfplumber.open(file) as pdf:
            return np.asarray(pdf.pages[0].to_image(resolution=576).original.convert("L")) < 128

    widget = QrCodeWidget(url, barLevel="M", barWidth=side, barHeight=side)
    whole = Drawing(side, side)
    whole.add(widget)
    ours, theirs = printed(square_code(url, side)), printed(whole)
    cells = widget.qr.getModuleCount() + 8
    middles = ((np.arange(cells) + 0.5) * ours.shape[0] / cells).astype(int)
    seen = ours[np.ix_(middles, middles)]
    assert (seen == theirs[np.ix_(middles, middles)]).all()
    assert not seen[:4].any()
    assert not seen[:, :4].any()
    assert seen[4, 4:11].all()
