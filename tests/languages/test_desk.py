"""The engineer's pages in German: what stands there the same as in English is no sentence."""

import html
import re

import pytest
from django.test import Client
from django.utils import translation

from fixtures import make_languages as made
from inspections.models import Explanation, Flag
from inspections.models.desk_choices import FlagState, WorkState
from inspections.services import decisions
from inventory.facts import QUANTITIES_OF
from inventory.models import BearingDesign, JointDesign, RestraintDesign
from inventory.models.choices import ElementKind
from inventory.words import in_sentence, translated
from tests.inspections.field_pages import page_of
from tests.inspections.flag_stories import new_story, undone
from tests.make import make_user

pytestmark = pytest.mark.django_db

DATA = re.compile(
    r"Test (bridge|district)|two inspectors|Looked at|misread|"
    r"(RESTLESS|FROZEN|MOVED|JOINT|S\d+|U1|T-\d+)\b"
)
"""What the story's register and crews entered: it stays as it was typed."""
CITED = re.compile(r"AASHTO|EN 1\d|ASTM|EPG|WSDOT|\bUTC\b|[0-9a-f]{12}")
"""Clauses and editions, the time zone, and what a signature covers."""
SAME = {"Band", "Station", "Station, m", "Team", "PTFE", "Enter", "mrad"}
"""Words that German writes alike, and a key of the keyboard."""


@pytest.fixture(scope="module")
def story(django_db_setup, django_db_blocker):
    """A bridge with a frozen bearing, a support that moved, flags and decisions."""
    with django_db_blocker.unblock(), undone():
        told = new_story()
        told.tell(told.in_time())
        yield told


@pytest.fixture(scope="module")
def pages(story):
    """The pages of the desk by address, each in German and in English."""
    german, english = in_language("de"), in_language("en")
    return {each: (german.get(each), english.get(each)) for each in addresses(story)}


def in_language(language: str, role: str = "engineer") -> Client:
    """Sign somebody in and choose a language."""
    client = Client()
    client.force_login(make_user(role))
    client.post("/language/", {"language": language})
    return client


def addresses(story) -> list[str]:
    """Return the pages of the desk that a bridge with flags fills."""
    bridge = f"/bridges/{story.bridge.code}/"
    return [
        "/",
        "/?show=all&sort=bridge",
        "/?q=nothing-of-that-name",
        "/elements/?verdict=all",
        "/elements/?verdict=cannot-judge",
        "/bridges/",
        bridge,
        f"{bridge}?at=coldest",
        "/how-it-is-judged/",
        *(f"/elements/{each.pk}/" for each in story.elements.values()),
        *(f"/flags/{each.pk}/" for each in Flag.objects.all()),
    ]


def texts(page: str) -> set[str]:
    """Return what a page's own part shows or reads out, without what is marked as English."""
    start = page.index("<main")
    main = re.sub(r'<(\w+)[^>]* lang="en">.*?</\1>', "", page[start : page.index("</main>")])
    shown = re.findall(r">([^<>]+)<", main)
    read_out = re.findall(r' (?:aria-label|title|placeholder|alt|data-label)="([^"]*)"', main)
    return {html.unescape(each).strip() for each in (*shown, *read_out)}


def test_nothing_of_the_desk_is_left_in_english(pages):
    for address, (told, plain) in pages.items():
        assert (told.status_code, plain.status_code) == (200, 200), address
        assert told["Content-Language"] == "de"
        page = told.content.decode()
        assert '<html lang="de">' in page
        assert ' lang="' not in page[page.index("<main") : page.index(">", page.index("<main"))]
        alike = texts(page) & texts(plain.content.decode())
        left = {
            each
            for each in alike - SAME
            if re.search(r"[^\W\d]{3}", DATA.sub("", each)) and not CITED.search(each)
        }
        assert left == set(), address


def test_no_english_text_of_the_catalogue_stands_in_a_german_page(pages):
    """Not within a longer sentence either."""
    english = [
        message.id
        for message in made.catalogue_of("de", "django")
        if isinstance(message.id, str)
        and len(message.id) > 20
        and "%(" not in message.id
        and message.id != message.string
    ]
    for address, (told, _plain) in pages.items():
        shown = " | ".join(texts(told.content.decode()))
        assert [each for each in english if each in shown] == [], address


def test_no_number_of_the_desk_has_a_decimal_point(pages):
    pointed = re.compile(r"(?<![\d.])\d+\.\d+(?![\d.]|-\d)")
    for address, (told, _plain) in pages.items():
        found = {each for each in texts(told.content.decode()) if pointed.search(each)}
        left = {each for each in found if not re.search(f"{CITED.pattern}|JCGM|Modell", each)}
        assert left == set(), address


def test_the_bar_of_a_score_is_drawn_with_points_in_every_language(pages):
    bar = re.compile(r'<rect class="score-\w+"[^>]*>')
    german, english = (bar.findall(each.content.decode()) for each in pages["/"])
    assert german
    assert german == english


def test_the_desk_stays_english_for_who_reads_english(pages):
    for address, (_told, plain) in pages.items():
        page = page_of(plain)
        assert '<html lang="en">' in page
        for german in ("Bauteil", "Überbau", "Messwert", "Meldung", " und ", " nicht "):
            assert german not in page, address


def test_what_is_shown_of_a_flag_is_told_in_german_sentences(story):
    flag = Flag.objects.get(element=story.elements["FROZEN"], cause="response")
    page = page_of(in_language("de").get(f"/flags/{flag.pk}/"))

    assert "Folgt nicht der Temperatur" in page
    assert "Sein Verlauf, Auslenkung längs: festsitzend; Bewegungsverhältnis" in page
    element = page_of(in_language("de").get(f"/elements/{flag.element_id}/"))
    assert re.search(r"Folgt der Temperatur zu −?0,\d\d des Erwarteten", element)


def test_an_explanation_names_cause_odds_and_next_step_in_german(story):
    assert Explanation.objects.filter(cause=1).exists()
    page = page_of(in_language("de").get(f"/bridges/{story.bridge.code}/"))

    assert "FROZEN bewegt sich nicht mit der Temperatur: sitzt fest" in page
    assert re.search(r"um einen Faktor von .+? wahrscheinlicher als mit «alles in Ordnung»", page)
    assert "Sehen Sie FROZEN auf Korrosion, Schmutz und Farbe" in page


def test_a_decision_signed_in_german_is_kept_as_one_signed_in_english(story):
    flags = list(Flag.objects.exclude(state="withdrawn").order_by("pk")[:2])
    kept = []
    for flag, language in zip(flags, ("de", "en"), strict=True):
        client = in_language(language)
        answer = client.post(
            f"/flags/{flag.pk}/",
            {"kind": "accept", "reason": "so belassen", "until": "2090-01-01"},
            follow=True,
        )
        assert answer.status_code == 200
        decision = flag.decisions.latest("pk")
        assert decisions.digest_of(decision) == decision.digest
        kept.append((decision.kind, decision.reason, decision.signed_as, decision.until))
        if language == "de":
            assert "Unterschrieben: auf Zeit hingenommen." in page_of(answer)
    assert kept[0] == kept[1]


def test_a_refused_decision_is_told_in_german(story):
    flag = Flag.objects.exclude(state="withdrawn").first()
    client = in_language("de")
    answer = client.post(f"/flags/{flag.pk}/", {"kind": "accept", "reason": ""})
    assert "Sagen Sie, warum: Der Grund bleibt erfasst." in page_of(answer)
    answer = client.post(
        f"/flags/{flag.pk}/", {"kind": "accept", "reason": "x", "until": "2001-01-01"}
    )
    assert "2001-01-01 liegt nicht in der Zukunft" in page_of(answer)


@pytest.mark.parametrize("design", [BearingDesign, JointDesign, RestraintDesign])
def test_every_capacity_of_a_device_has_a_german_name_and_help(design):
    quantities = QUANTITIES_OF[design].values()
    told = {text for each in quantities for text in (each.label, each.help) if text}
    with translation.override("de"):
        assert {each for each in told if translated(each) == each} == set()


@pytest.mark.parametrize("list_", ["elements", "bridges", "queue"])
def test_a_list_saved_as_a_file_is_the_same_in_every_language(story, list_):
    address = f"/{list_}.csv"
    told, english = (b"".join(in_language(each).get(address)) for each in ("de", "en"))
    assert told == english


@pytest.mark.parametrize("address", ["/nothing-there/", "/elements/999999/", "/plan/nothing/"])
def test_what_is_not_there_is_told_in_the_readers_language(address):
    answer = in_language("de").get(address)
    assert answer.status_code == 404
    page = page_of(answer)
    assert "<h1>Nicht gefunden</h1>" in page
    assert answer["Content-Language"] == "de"
    assert "<h1>Not found</h1>" in page_of(in_language("en").get(address))


def test_what_is_not_allowed_is_told_in_the_readers_language():
    answer = in_language("de", "inspector").get("/people/")
    assert answer.status_code == 403
    assert "<h1>Nicht erlaubt</h1>" in page_of(answer)


def test_in_a_sentence_a_german_noun_keeps_its_capital_and_no_other_word_does():
    with translation.override("de"):
        told = [in_sentence(each.label) for each in (*FlagState, *WorkState)]
        nouns = [in_sentence(each.label) for each in ElementKind]
    assert {"zu entscheiden", "behoben, noch nicht nachgewiesen", "beauftragt"} <= set(told)
    assert "Arbeit beauftragt" in told
    assert nouns == ["Lager", "Fahrbahnübergang", "Festhaltung"]
