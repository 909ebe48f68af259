"""Papers in German: the same paper in both languages side by side, and back again."""

import io
import re

import pdfplumber
import pytest
from django.test import Client
from pypdf import PdfReader

from fixtures import make_languages as made
from inspections.models import Job
from inspections.models.jobs import JobKind
from inspections.paper.frame import FOOT, HEAD, MARGIN
from inspections.services.job_files import result_path
from inventory.models import Element
from tests.inspections.flag_stories import new_story, undone
from tests.inspections.test_event_report import shaken
from tests.inspections.test_options_paper import a_study
from tests.inspections.work_rows import an_order, position
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db
WORDS_OF_ROWS = re.compile(
    r"Test (bridge|district)|cold climate|Station, m|two inspectors|"
    r"Looked at|misread|Steel Co|Mend the joint|Tremor|"
    r"Felt <strongly> & long|Frozen bearing|How can it move again|Dropped \d|short|Cannot be"
    r" reached|It stays replaceable|Shake|(engineer|inspector|manager|E\. Gineer) ?\w*|"
    r"\b(RESTLESS|FROZEN|MOVED|JOINT|S\d+|U1|[TBWJKP]-[\w-]+)\b|W-\d{4}-\d+|Etc/UTC|UTC"
)
"""What the rows are called, as it was typed."""
CITED = re.compile(
    r"AASHTO|CFR|EN 1\d|ASTM|EPG|WSDOT|JCGM|SNBI|PTFE|EAD|LRFD|fib|Model Code|SAE|mrad|[0-9a-f]{12}"
)
"""Clauses and editions stay as their standards write them."""
SAME = {"Name", "Team", "Station", "Position", "Band", "Drift", "Material", "Code"}
"""Words that German writes alike."""


@pytest.fixture(scope="module")
def papers(django_db_setup, django_db_blocker):
    """Every paper by the name of its address: in German and in English."""
    with django_db_blocker.unblock(), undone():
        yield {
            name: [printed(client_in(language), address) for language in ("de", "en")]
            for name, address in addresses().items()
        }


def addresses() -> dict[str, str]:
    """Return where each paper is printed, of rows that leave none of them empty."""
    story = new_story()
    story.tell(story.in_time())
    event = shaken(2)
    an_order([position(Element.objects.get(bridge__code="B-2-1"))], cost_estimate="1250.50")
    study = a_study(3, 3, "short")
    unit = make_unit(make_bridge("T-88"))
    make_element(
        unit, "strip_seal", "J-1", installation=SET | {"setting_gap_mm": 50.0},
        design={"opening_min_mm": 10.5, "opening_max_mm": 100.0},
    )  # fmt: skip
    make_element(unit, "pot", "B-1", installation=SET | {"setting_offset_along_mm": 0.0})
    visit = make_inspection(unit.bridge)
    return {
        "bridge-report": f"/bridges/{story.bridge.code}/report.pdf",
        "element-card": f"/elements/{story.elements['FROZEN'].pk}/card.pdf",
        "element-card, ordered": f"/elements/{position_of('B-2-1')}/card.pdf",
        "district-summary": "/districts/summary.pdf",
        "event-report": f"/events/{event.pk}/report.pdf",
        "work-list": "/work/list.pdf",
        "study-paper": f"/options/{study.pk}/paper.pdf",
        "inspection-form": f"/inspections/{visit.pk}/form.pdf",
        "bridge-labels": f"/bridges/{story.bridge.code}/labels.pdf",
    }


SET = {"setting_source": "measured", "setting_temperature_c": 15.0}


def position_of(code: str) -> int:
    return Element.objects.get(bridge__code=code).pk


def client_in(language: str) -> Client:
    client = Client()
    client.force_login(make_user("engineer"))
    client.post("/language/", {"language": language})
    return client


def printed(client: Client, address: str) -> PdfReader:
    """Return a paper as it is printed for whoever asks."""
    answer = client.get(address)
    assert answer.status_code == 200, address
    assert answer["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(b"".join(answer.streaming_content)))


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def lines_of(reader: PdfReader) -> set[str]:
    found = "\n".join(page.extract_text() for page in reader.pages).splitlines()
    return {" ".join(each.split()) for each in found}


def test_no_english_text_of_the_catalogue_stands_on_a_german_paper(papers):
    english = [
        message.id
        for message in made.catalogue_of("de", "django")
        if isinstance(message.id, str)
        and len(message.id) > 14
        and " " in message.id
        and "%(" not in message.id
        and message.id != message.string
    ]
    for name, (german, _english) in papers.items():
        text = text_of(german)
        assert [each for each in english if each in text] == [], name


def test_no_line_of_a_paper_is_alike_in_both_languages(papers):
    for name, (german, english) in papers.items():
        left = {
            each
            for each in lines_of(german) & lines_of(english) - SAME
            if re.search(r"[^\W\d]{3}", WORDS_OF_ROWS.sub("", each)) and not CITED.search(each)
        }
        assert left == set(), name


def test_no_number_of_a_paper_has_a_decimal_point(papers):
    pointed = re.compile(r"(?<![\d.])\d+\.\d+(?![\d.]|-\d)")
    for name, (german, _english) in papers.items():
        found = {
            each
            for each in lines_of(german)
            # Numbers of sections, clauses and the version of the model are no decimals.
            if pointed.search(each)
            and not re.search(rf"{CITED.pattern}|[Mm]odell|^\d+\.\d+(\s|$)", each)
        }
        assert found == set(), name


def test_a_german_paper_says_that_it_is_german_and_an_english_one_english(papers):
    for name, (german, english) in papers.items():
        assert german.trailer["/Root"]["/Lang"] == "de", name
        assert english.trailer["/Root"]["/Lang"] == "en", name


def test_papers_are_written_in_the_words_of_the_trade(papers):
    report, event = (text_of(papers[each][0]) for each in ("bridge-report", "event-report"))
    for words in ("Zustandsbericht", "Auffällige Bauteile", "Erwartet, Band", "Tabelle 1.",
                  "Bild 1.", "Nicht zu bewerten", "Außerhalb", "Als Nächstes:",
                  "Grenzen der Anwendung", "sitzt fest", "Bemessungstemperaturen"):  # fmt: skip
        assert words in report, words
    assert re.search(r"Seite 1 von\s*\d", report)
    assert "sprunghaft verschoben: " in event
    assert "+60,0 mm" in event
    assert " 1 250,50" in text_of(papers["work-list"][0])
    assert "10,5 mm bis 100,0 mm" in text_of(papers["inspection-form"][0])
    assert re.search(r"Seite 1 von\s*\d", text_of(papers["inspection-form"][0]))


def test_no_german_word_leaves_the_page_or_runs_into_its_edge(papers):
    for name, (german, _english) in papers.items():
        if name == "bridge-labels":
            continue  # its labels have edges of their own
        with pdfplumber.open(german.stream) as file:
            for page in file.pages:
                for each in page.crop((0, HEAD, page.width, page.height - FOOT)).extract_words():
                    assert each["x0"] >= MARGIN - 1, (name, each["text"])
                    assert each["x1"] <= page.width - MARGIN + 1, (name, each["text"])


def test_numbers_keep_their_point_and_words_their_english_for_who_reads_english(papers):
    for name, (_german, english) in papers.items():
        text = text_of(english)
        for word in ("Bauteil", "Überbau", "Messwert", " und ", " nicht ", "Gedruckt"):
            assert word not in text, name
        assert not re.search(r"\d,\d ?mm", text), name


def test_the_language_of_a_paper_goes_back_with_that_of_the_reader():
    event = shaken()
    client = client_in("de")
    assert "Bericht zum Ereignis" in text_of(printed(client, f"/events/{event.pk}/report.pdf"))
    client.post("/language/", {"language": "en"})
    assert "Event report" in text_of(printed(client, f"/events/{event.pk}/report.pdf"))


def test_a_job_prints_in_the_language_of_whoever_asked(settings, tmp_path):
    settings.LOCAL_DIR, settings.LARGE_REPORT = tmp_path, 0
    event = shaken()
    for language, words, other in (
        ("de", "Noch nicht besucht", "Not yet visited"),
        ("en", "Not yet visited", "Noch nicht besucht"),
    ):
        client = client_in(language)
        answer = client.get(f"/events/{event.pk}/report.pdf")
        assert answer.status_code == 303
        job = Job.objects.filter(kind=JobKind.EVENT_REPORT).latest("pk")
        # Another reader opens it in another language: the paper stays as it was asked for.
        text = text_of(PdfReader(result_path(job.pk)))
        assert words in text
        assert other not in text
        assert job.title.startswith("Report of Shake (Earthquake")
        assert job.message == "The report is made."
