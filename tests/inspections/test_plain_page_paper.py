"""A page in plain words on paper: one page, or a refusal that says by how much it is too long."""

import datetime as dt
import io
import itertools

import pdfplumber
import pytest
from django.utils.translation import get_language, override
from pypdf import PdfReader

from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import FlagState
from inspections.paper.cover import Printing
from inspections.paper.frame import FOOT, MARGIN, SIZES
from inspections.paper.plain_page import TooLongError, words_too_many, write_plain_page
from inspections.plain.texts import generated
from inspections.plain_lengths import TEXTS
from inspections.selectors.plain_pages import PlainNow
from inventory.models import Bridge
from inventory.units import System
from tests.inspections.plain_rows import CRITICAL, every_kind, facts, measured, order, place

SI, US = System.SI, System.US
PAGES = ["A4", "Letter"]
LONG_NAME = "Oberwesterwaldkreuzungsbauwerk Nordumfahrung Teilbauwerk links " * 2
PROSE = (
    "The joint at the far end of the bridge did not close as far as it should have when the deck"
    " grew warm, and the council will hear in spring whether it is to be renewed or set anew. "
)


def a_page(system: System = SI, texts: dict | None = None, **fields) -> PlainNow:
    """Return a page as the record gives it, or with other texts in it."""
    one = facts(**fields)
    return PlainNow(
        bridge=Bridge(code="X" * 20, name=one.bridge, time_zone="Europe/Berlin"),
        flag=None,
        facts=one,
        digest="0" * 64,
        saved=None,
        system=system,
        language=get_language(),
        texts=generated(one, system) | (texts or {}),
        offers={},
    )


def printed(page: PlainNow, page_size: str = "A4") -> bytes:
    """Return the page as a file, printed by somebody with a long name."""
    file = io.BytesIO()
    at = dt.datetime(2026, 7, 20, 9, 30, tzinfo=dt.UTC)
    write_plain_page(page, file, Printing(page.system, at, "P" * 150, page_size))
    return file.getvalue()


def text_of(file: bytes) -> str:
    pages = PdfReader(io.BytesIO(file)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def longest() -> dict[str, str]:
    """Return texts of prose, each as long as it may be to the character."""
    return {
        each.name: (PROSE * 9)[: each.most - 1].rstrip().ljust(each.most, "x") for each in TEXTS
    }


@pytest.mark.parametrize("page_size", PAGES)
@pytest.mark.parametrize("system", [SI, US])
def test_the_longest_texts_and_names_leave_it_one_page(page_size, system):
    texts = longest()
    assert [len(texts[each.name]) for each in TEXTS] == [each.most for each in TEXTS]
    page = a_page(
        system,
        texts,
        bridge=LONG_NAME,
        place=place(code="E" * 30),
        orders=tuple(order(code="W-" + "9" * 18) for _ in range(3)),
    )
    reader = PdfReader(io.BytesIO(printed(page, page_size)))
    assert len(reader.pages) == 1
    said = "".join("".join(each.extract_text() for each in reader.pages).split())
    for text in texts.values():
        assert "".join(text.split()) in said
    assert "page1of1" in said


@pytest.mark.parametrize(
    ("page_size", "language"), [("A4", "en"), ("Letter", "en"), ("A4", "de"), ("Letter", "de")]
)
def test_every_generated_page_is_one_page_with_its_text_within_the_margins(page_size, language):
    width, height = SIZES[page_size]
    # one of each cause and state, and the first of them without a reading
    for one in every_kind()[::7][::3] + every_kind()[6::28]:
        with override(language):
            texts = generated(one, SI)
        page = PlainNow(Bridge(code="B-1"), None, one, "0" * 64, None, SI, language, texts, {})
        with pdfplumber.open(io.BytesIO(printed(page, page_size))) as pdf:
            assert len(pdf.pages) == 1
            words = pdf.pages[0].extract_words()
            assert min(each["x0"] for each in words) >= MARGIN - 1.0
            assert max(each["x1"] for each in words) <= width - MARGIN + 1.0
            body = [each for each in words if each["bottom"] < height - FOOT + 1.0]
            assert any(each["text"] in ("Signature", "Unterschrift") for each in body)


@pytest.mark.parametrize("page_size", PAGES)
def test_nothing_printed_lies_over_anything_else(page_size):
    page = a_page(US, longest(), bridge=LONG_NAME)
    with pdfplumber.open(io.BytesIO(printed(page, page_size))) as pdf:
        lines = pdf.pages[0].extract_text_lines()
    for one, two in itertools.combinations(lines, 2):
        over = one["x0"] < two["x1"] and two["x0"] < one["x1"]
        # a line box is as high as its type, so neighbours may touch by a part of a point
        assert not (
            over and one["top"] < two["bottom"] - 2.0 and two["top"] < one["bottom"] - 2.0
        ), (
            one["text"],
            two["text"],
        )


def test_what_does_not_fit_is_refused_with_the_number_of_words():
    wide = {each.name: ("WWWW " * 200)[: each.most] for each in TEXTS}
    with pytest.raises(TooLongError, match=r"too long for one page, by about \d+ words") as error:
        printed(a_page(texts=wide))
    half_a_line = 6
    of_each = error.value.words // 4 + half_a_line
    less = {name: " ".join(text.split()[:-of_each]) for name, text in wide.items()}
    less["title"] = "Short"
    assert len(PdfReader(io.BytesIO(printed(a_page(texts=less)))).pages) == 1


def test_a_text_of_many_short_lines_is_refused_rather_than_run_over():
    lines = {"found": "a\n" * 300}
    assert words_too_many(generated(facts(), SI) | lines) > 0
    with pytest.raises(TooLongError):
        printed(a_page(texts=lines))


def test_short_texts_are_printed_larger_than_long_ones():
    def size(texts: dict[str, str]) -> float:
        with pdfplumber.open(io.BytesIO(printed(a_page(texts=texts)))) as pdf:
            marked = [each for each in pdf.pages[0].chars if each["text"] == "Q"]
        return round(marked[0]["size"], 1)

    assert size({"plan": "Q: nothing yet."}) > size(
        longest() | {"plan": "Q" + longest()["plan"][1:]}
    )


def test_who_prints_it_is_cut_before_it_meets_the_number_of_the_page():
    with pdfplumber.open(io.BytesIO(printed(a_page()))) as pdf:
        words = pdf.pages[0].extract_words()
    name = next(each for each in words if each["text"].startswith("PPP"))
    number = [each for each in words if each["text"] == "page"][-1]
    assert name["text"].endswith("…")
    assert name["x1"] < number["x0"]


def test_the_page_is_of_the_size_asked_for_and_says_what_it_is():
    reader = PdfReader(io.BytesIO(printed(a_page(), "Letter")))
    assert [round(float(each)) for each in reader.pages[0].mediabox[2:]] == [612, 792]
    assert reader.metadata.title == a_page().texts["title"]
    assert reader.trailer["/Root"]["/Lang"] == "en"
    fonts = reader.pages[0]["/Resources"]["/Font"]
    for each in fonts.values():
        kind = each.get_object()
        inner = kind.get("/DescendantFonts", [kind])[0].get_object()
        assert "/FontFile2" in inner["/FontDescriptor"].get_object()


def test_cautions_and_a_line_to_sign_stand_on_it_whatever_was_written():
    said = text_of(printed(a_page(texts=dict.fromkeys([t.name for t in TEXTS], "All is well."))))
    assert "not an engineer's assessment until signed" in said
    assert "An engineer decides on the use of the bridge." in said
    assert "never replaces it. Local codes" in said
    for each in ("Engineer, licence number", "Signature", "Date"):
        assert each in said


def test_codes_and_basis_stand_small_at_the_foot():
    with pdfplumber.open(io.BytesIO(printed(a_page()))) as pdf:
        words = [
            each
            for each in pdf.pages[0].extract_words(extra_attrs=["size"])
            if "A2-B2" in each["text"]
        ]
    assert words
    assert max(each["size"] for each in words) < 8.0


def test_the_drawing_on_paper_carries_the_labels_of_the_one_on_the_page():
    said = text_of(printed(a_page(US)))
    for each in ("moved 5/8 in", "should have moved 1 1/4 in", "How warm it was", "73 °F"):
        assert each.replace(" ", "") in said.replace(" ", "").replace("\u00a0", "")


@pytest.mark.parametrize("page_size", PAGES)
def test_the_fullest_page_that_the_record_can_give_fits(page_size):
    crowded = a_page(
        bridge=LONG_NAME,
        cause="critical",
        critical=(CRITICAL.__class__("W" * 2000, "W" * 160, CRITICAL.found_on, None),),
        state=FlagState.IN_WORK,
        orders=(order(), order(planned_on=None, estimate="")),
        measured=measured(way=5, setting_from="baseline", verdict=VerdictWord.WATCH),
        other_flags=99,
    )
    assert len(PdfReader(io.BytesIO(printed(crowded, page_size))).pages) == 1
