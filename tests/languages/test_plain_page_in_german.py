"""The page in plain words in German, and the one that was saved in another language."""

import datetime as dt
import io
import re

import pytest
from django.core.management import call_command
from django.utils.translation import override
from pypdf import PdfReader

from fixtures import make_languages as made
from inspections.models import Flag, PlainPage
from inspections.plain.texts import generated
from inspections.selectors.plain_pages import plain_now
from inspections.services.decisions import decide
from inventory.units import System
from tests.html_form import form_values
from tests.inspections.desk_rows import words
from tests.inspections.plain_rows import every_kind, page_words
from tests.inspections.work_rows import a_unit, off_joints, position
from tests.languages.test_papers_in_german import client_in, printed
from tests.make import make_user

pytestmark = pytest.mark.django_db
TYPED = re.compile(
    r"The anchor nut is off and the deck lifts\.|the duty officer|Mill Lane Bridge|EUR"
)
"""What crews and the register entered."""


@pytest.fixture
def flag() -> Flag:
    """Return the flag of a joint set to 70 mm that was found at 40 mm."""
    (joint,) = off_joints(a_unit("HV-104"), "J-1")
    return position(joint)


@pytest.fixture
def address(flag) -> str:
    return f"/flags/{flag.pk}/plain/"


def english() -> list[str]:
    """Return the texts of the catalogue that are no German."""
    return [
        each
        for message in made.catalogue_of("de", "django")
        for each in ([message.id] if isinstance(message.id, str) else message.id)
        if " " in each and len(each) > 12 and "%(" not in each and each != message.string
    ]


def saved_by(client, address: str, **texts: str) -> PlainPage:
    """Save the page as it stands before a reader, some texts written over."""
    form = form_values(client.get(address), "plain-form")
    assert client.post(address, form | texts).status_code == 302
    return PlainPage.objects.first()


def paper(client, flag: Flag) -> PdfReader:
    return printed(client, f"/flags/{flag.pk}/plain.pdf")


def said_by(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_no_english_sentence_and_no_decimal_point_stands_in_any_german_text():
    sentences = english()
    with override("de"):
        pages = [page_words(generated(one, each)) for one in every_kind() for each in System]
    for page in pages:
        said = TYPED.sub("", page)
        assert [each for each in sentences if each in said] == [], said
        assert not re.search(r"\d\.\d", said), said
        assert not re.search(r"\b(the|of|and|were|is|be|on|by|should)\b", said), said
    assert any(re.search(r"\d,\d\sGrad", page) for page in pages)


def test_a_german_reader_gets_page_drawing_and_paper_in_german(flag, address):
    client = client_in("de")
    page = client.get(address)
    told = words(page)
    assert '<main id="content" tabindex="-1">' in page.content.decode()
    for sentence in (
        "Eine Seite in einfachen Worten",
        "Weite des Spalts: 40 mm. Richtig wäre gewesen: 70 mm. Das ist 30 mm zu eng.",
        "Noch ist nichts entschieden.",
        "Wie erzeugt drucken (PDF)",
    ):
        assert sentence in told, sentence
    assert [each for each in english() if each in told] == []
    labels = page.content.decode().replace("\u00a0", " ")
    assert "richtig wäre: 70 mm" in labels
    assert "Wie warm es war" in labels
    reader = paper(client, flag)
    assert reader.trailer["/Root"]["/Lang"] == "de"
    on_paper = said_by(reader)
    assert "Das ist 30 mm zu eng." in on_paper
    assert "Was nicht bekannt ist" in on_paper
    assert [each for each in english() if each in on_paper] == []


@pytest.mark.parametrize(
    ("writer", "reader", "of_page", "of_texts", "not_there"),
    [
        ("en", "de", "Zurück zur Meldung", "No decision has been made yet.", "Noch ist nichts"),
        ("de", "en", "Back to the flag", "Noch ist nichts entschieden.", "No decision has"),
    ],
)
def test_a_saved_page_stays_in_its_language_within_a_page_of_the_readers(
    flag, address, writer, reader, of_page, of_texts, not_there
):
    assert saved_by(client_in(writer), address).language == writer
    client = client_in(reader)
    page = client.get(address)
    told = words(page)
    assert of_page in told
    assert of_texts in told
    assert not_there not in told
    assert 'name="take"' not in page.content.decode()
    assert re.search(rf'<textarea[^>]*\blang="{writer}"', page.content.decode())
    assert f'class="drawing-frame" lang="{writer}"' in page.content.decode()
    on_paper = paper(client, flag)
    assert on_paper.trailer["/Root"]["/Lang"] == writer
    assert of_texts in said_by(on_paper)
    assert not_there not in said_by(on_paper)


def test_what_is_offered_beside_a_saved_text_is_in_its_language(flag, address):
    saved_by(client_in("en"), address)
    decide(
        flag=flag, kind="watch", reason="x", until=dt.date(2090, 1, 1), interval_months=6,
        user=make_user("engineer"),
    )  # fmt: skip
    client = client_in("de")
    page = client.get(address)
    told = words(page)
    assert "Die Akten haben sich geändert" in told
    assert "looked at every 6 months until 1 January 2090" in told
    assert "bis 1. Januar 2090" not in told
    again = saved_by(client, address, plan="We shall see.")
    assert (again.language, "looked at every 6 months" in again.generated["plan"]) == ("en", True)


def test_texts_that_were_sent_keep_the_language_they_stood_in(address):
    """The reader turns to another language in a second window before saving."""
    client = client_in("en")
    form = form_values(client.get(address), "plain-form")
    client.post("/language/", {"language": "de"})
    assert client.post(address, form | {"plan": "We shall see."}).status_code == 302
    saved = PlainPage.objects.get()
    assert saved.language == "en"
    assert "No decision has been made yet." in saved.generated["plan"]


def test_a_saved_page_is_saved_in_the_other_language_as_well_and_each_keeps_its_versions(
    flag, address
):
    client = client_in("en")
    saved_by(client, address, plan="The council hears of it in May.")
    german = f"{address}?language=de"
    assert german.removeprefix(address) in client.get(address).content.decode()
    page = client.get(german)
    assert "Noch ist nichts entschieden." in words(page)
    assert "The page was saved in English on" in words(page)
    form = form_values(page, "plain-form") | {"plan": "Der Rat hört davon im Mai."}
    answer = client.post(german, form)
    assert "Der Rat hört davon im Mai." in words(client.get(answer.headers["Location"]))
    assert "hears of it in May" in words(client.get(address))
    assert "Der Rat hört davon im Mai." in words(client_in("de").get(address))
    assert "The page was saved in Deutsch on" in words(client.get(address))
    assert "The page was saved in" not in words(client.get(german))
    for language, said in (("en", "hears of it in May."), ("de", "Der Rat hört davon im Mai.")):
        on_paper = printed(client, f"/flags/{flag.pk}/plain.pdf?language={language}")
        assert on_paper.trailer["/Root"]["/Lang"] == language
        assert said in said_by(on_paper)


def test_a_language_that_no_page_is_in_leads_to_the_readers(address):
    assert "No decision has been made yet." in words(client_in("en").get(f"{address}?language=xx"))


def test_a_refusal_is_told_in_the_readers_language_and_leaves_the_texts_theirs(address):
    saved_by(client_in("en"), address)
    client = client_in("de")
    form = form_values(client.get(address), "plain-form")
    response = client.post(address, form | {"found": "a\n" * 200})
    assert "Die Texte sind zu lang für eine Seite, um etwa" in words(response)
    assert re.search(r'<textarea[^>]*\blang="en"', response.content.decode())


def test_what_the_texts_rest_on_does_not_depend_on_the_language(flag):
    pages = []
    for language in ("en", "de"):
        with override(language):
            pages.append(plain_now(flag.element.bridge, flag, System.SI))
    english_page, german_page = pages
    assert english_page.digest == german_page.digest
    assert english_page.facts == german_page.facts
    assert english_page.texts != german_page.texts


def test_the_command_prints_in_a_language_and_tells_so_in_english(flag, tmp_path, capsys):
    path = tmp_path / "rat.pdf"
    call_command(
        "report", "--kind", "plain", "--flag", str(flag.pk), "--output", str(path),
        "--language", "de",
    )  # fmt: skip
    assert "Das ist 30 mm zu eng." in said_by(PdfReader(io.BytesIO(path.read_bytes())))
    assert f"Page in plain words on {flag}" in capsys.readouterr().out
