"""Plan, events, work, options, settings, files, jobs and people: whole pages in German."""

import datetime as dt
import re
from html.parser import HTMLParser

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import translation

from inspections.exchange.kinds import KINDS
from inspections.models import AgencySettings, Decision, Event, Job, WorkOrder
from inspections.services import thresholds
from inspections.services.work_done import finish_order
from tests import rows_desk
from tests.inspections.field_pages import page_of
from tests.make import make_bridge, make_element, make_unit, make_user
from tests.rights.world import addresses, make_world

pytestmark = pytest.mark.django_db
PAGES = [
    "plan", "plan-not-enough", "plan-calendar", "plan-subscriptions", "plan-route", "visit-new",
    "visit", "visit-change", "bridge-intervals", "events", "event-new", "event", "orders",
    "order-new", "order", "order-change", "order-begin", "order-cancel", "order-finish",
    "options", "study-new", "study", "option-new", "criterion-new", "study-weights",
    "study-choose", "option-change", "option-judge", "option-drop", "option-take-up",
    "thresholds", "imports", "import-register", "import-readings", "import-air",
    "import-element-data", "import-columns", "element-data-out", "jobs", "job", "who-may-what",
    "changes", "drawing-new", "drawing-change", "api-keys",
]  # fmt: skip
OF_ADMINISTRATORS = ["people", "person", "person-invite"]
FROM_ROWS = re.compile(
    r"\b[TWDE]\d?(-\d+)?\b|Test( bridge| district)?\b|District"
    r"|Bearing (frozen|schedule)|Option \d+|Tremor \d+|Reset the bearing"
    r"|How is its movement restored\?|Worn|Script|report\.pdf"
    r"|\b(engineer|inspector|manager|administrator|outsider)\d+|UTC"
    r"|(April|August|September|November) \d{4}|\[[^\]]+\]"
)
"""What the rows of the world are called, and signs that every language has."""
SAME_WORDS = {"Plan", "Name", "Name:", "Code", "Code:", "Station", "Station:", "USD"}


class Texts(HTMLParser):
    """Texts of the main part of a page but what is marked as English."""

    NO_END = frozenset({"input", "br", "link", "meta", "img", "hr"})
    SHOWN = ("aria-label", "placeholder", "title", "data-label")

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[tuple[str, bool]] = []
        self.found: set[str] = set()
        self.feed(page[page.index("<main") : page.index("</main>")])

    @property
    def left_out(self) -> bool:
        return any(is_left_out for _tag, is_left_out in self.open)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if not self.left_out:
            self.found.update(given[name] for name in self.SHOWN if given.get(name))
        if tag not in self.NO_END:
            self.open.append((tag, tag == "code" or given.get("lang") == "en"))

    def handle_endtag(self, tag):
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data):
        if data.strip() and not self.left_out:
            self.found.add(" ".join(data.split()))


def texts_of(page: str) -> set[str]:
    """Return what a page says in words."""
    return {text for text in Texts(page).found if re.search("[A-Za-z]{3}", text)}


def untranslated(client, path: str) -> set[str]:
    """Return what a page says in German as it does in English."""
    pages = []
    for language in ("en", "de"):
        client.post("/language/", {"language": language})
        answer = client.get(path)
        assert answer.status_code == 200, path
        pages.append(page_of(answer))
        assert '<main id="content" tabindex="-1">' in pages[-1], path
    same = texts_of(pages[0]) & texts_of(pages[1])
    return {
        text
        for text in same - SAME_WORDS
        if re.search("[A-Za-z]{3}", FROM_ROWS.sub("", text).replace("UTC", ""))
    }


@pytest.fixture
def german(as_role):
    """Sign in with a role and choose German."""

    def sign_in(role: str):
        client = as_role(role)
        client.post("/language/", {"language": "de"})
        return client

    return sign_in


@pytest.mark.parametrize(
    ("role", "names"), [("engineer", PAGES), ("administrator", OF_ADMINISTRATORS)]
)
def test_no_text_of_a_page_is_left_in_english(client, role, names):
    world = make_world("W")
    user = make_user(role)
    world.given_to(user)
    client.force_login(user)
    known = addresses()

    left = {name: untranslated(client, known[name].path(world)) for name in names}
    assert {name: texts for name, texts in left.items() if texts} == {}


def test_an_event_takes_a_place_with_a_comma(german):
    bridge = make_bridge("N-1", latitude_deg=47.1, longitude_deg=8.3)
    make_element(make_unit(bridge), "strip_seal")
    said = {
        "kind": "flood", "name": "Spring flood", "occurred_at": "2024-05-01T06:00",
        "within_days": "7", "latitude_deg": "47,05", "longitude_deg": "8,31",
        "radius_km": "12,5", "codes": "", "act": "show",
    }  # fmt: skip
    client = german("engineer")

    page = page_of(client.post("/events/new/", said | {"radius_km": "1.250"}))
    assert "«1.250» ist auf zwei Arten lesbar" in page
    assert 'value="1.250"' in page
    page = page_of(client.post("/events/new/", said))
    assert 'value="47,05"' in page
    assert 'type="text" name="latitude_deg"' in page
    again = said | {"act": "save", "shown": f"{bridge.pk}", "bridge": [f"{bridge.pk}"]}
    client.post("/events/new/", again)
    made = Event.objects.get()
    assert (made.latitude_deg, made.longitude_deg, made.radius_km) == (47.05, 8.31, 12.5)


def test_the_english_form_of_an_event_has_inputs_of_numbers(as_role):
    page = page_of(as_role("engineer").get("/events/new/"))
    assert 'type="number" name="latitude_deg"' in page


def test_a_cost_is_shown_and_taken_with_a_comma(german):
    order = rows_desk.order(cost_estimate="1250.50")
    client = german("engineer")
    address = reverse("order-change", args=[order.pk])
    assert 'value="1250,50"' in page_of(client.get(address))

    said = {"title": order.title, "description": "", "by_whom": "", "planned_on": ""}
    client.post(address, said | {"cost_estimate": "980,75", "cost": ""})
    order.refresh_from_db()
    assert f"{order.cost_estimate}" == "980.75"
    assert "980,75" in page_of(client.get(reverse("order", args=[order.pk])))


def test_the_english_form_refuses_a_cost_with_a_comma(as_role):
    order = rows_desk.order()
    page = page_of(
        as_role("engineer").post(
            reverse("order-change", args=[order.pk]),
            {"title": order.title, "cost_estimate": "980,75"},
        )
    )
    assert "«980,75» is no amount" in page


def test_thresholds_are_previewed_and_saved_with_a_comma(german):
    rows_desk.element()
    present = AgencySettings.current()
    said = {name: str(getattr(present, name)).replace(".", ",") for name in thresholds.FIGURES}
    said |= {"watch_k": "1,125", "reason": "", "based_on": thresholds.present_version()}
    client = german("engineer")

    answer = client.post("/thresholds/", said | {"act": "preview"})
    shown = answer.context["shown"]
    assert "<strong>1,125</strong>" in page_of(answer)
    part = client.get(
        reverse("thresholds-preview", args=[shown["bridges"][0].pk]) + "?" + shown["query"]
    )
    assert part.status_code == 200
    client.post("/thresholds/", said | {"act": "save", "reason": "Frühjahr"})
    assert AgencySettings.current().watch_k == 1.125


def test_a_day_starts_at_coordinates_with_commas(german):
    make_bridge("N-1", latitude_deg=47.1, longitude_deg=8.3)
    for start in ("47,05; 8,31", "47.05, 8.31"):
        page = page_of(german("engineer").get("/plan/route/", {"codes": "N-1", "start": start}))
        assert "<td>47,1000; 8,3000</td>" in page


def test_weekdays_and_months_are_german(german):
    page = page_of(german("engineer").get("/plan/calendar/?month=2024-05"))
    assert ">Mai 2024</h1>" in page
    assert '<span aria-hidden="true">So</span><span class="unseen">Sonntag</span>' in page
    assert '<span class="unseen">1. Mai</span>' in page


def test_what_finishing_work_keeps_is_english(german):
    flag = rows_desk.flag()
    order = rows_desk.order(bridge=flag.element.bridge, kind="repair")
    order.items.create(element=flag.element, flag=flag)
    with translation.override("de"):
        finish_order(
            order=order, finished_at=rows_desk.AT + dt.timedelta(days=40), outcome="greased",
            user=make_user("engineer"),
        )  # fmt: skip
    assert Decision.objects.latest("pk").reason == f"{order.code}, repair: greased"
    assert WorkOrder.objects.get().get_kind_display() == "Repair"


def test_the_register_is_written_in_german_and_with_commas_where_work_is_finished(german):
    element = make_element(make_unit(make_bridge("N-1")), "strip_seal", code="J1")
    order = rows_desk.order(bridge=element.bridge, kind="replacement")
    order.items.create(element=element)
    client = german("engineer")
    address = reverse("order-finish", args=[order.pk])
    page = page_of(client.get(address))
    for label in ("Bauart", "Hersteller", "Bemerkungen"):
        assert f">{label}</label>" in page, label

    key = f"e{element.pk}"
    said = {
        "finished_at": "2024-08-01T10:00", "outcome": "new seal", "cost": "",
        f"{key}-device_type": "strip_seal", f"{key}-setting_source": "measured",
        f"{key}-setting_temperature_c": "18,5", f"{key}-setting_gap_mm": "52,5",
        f"{key}-setting_gap_axis": "square", f"{key}-opening_axis": "square",
        f"{key}-opening_max_mm": "82,5",
    }  # fmt: skip
    client.post(address, said)
    element.refresh_from_db()
    assert element.current_installation.setting_gap_mm == 52.5
    assert element.current_installation.setting_temperature_c == 18.5


def test_a_job_is_kept_in_english_and_told_in_german(german, settings, register_text):
    settings.LARGE_IMPORT_KB = 0
    client = german("engineer")
    client.post("/imports/register/", {"file": register_text})

    job = Job.objects.get()
    assert job.title == "Check of register.csv (register)"
    assert job.message == "The file can be taken in; nothing is written yet."
    page = page_of(client.get(reverse("job", args=[job.pk])))
    assert "<h1>Prüfung der Datei register.csv (Bestand)</h1>" in page
    assert "Die Datei lässt sich übernehmen; noch ist nichts geschrieben." in page
    assert '<th scope="row">Brücke</th>' in page


def test_the_columns_of_a_file_are_told_in_the_words_of_the_file(client):
    client.force_login(make_user("engineer"))
    bodies = []
    for language in ("en", "de"):
        client.post("/language/", {"language": language})
        page = page_of(client.get("/imports/register/columns/"))
        bodies.append(page[page.index("<tbody") : page.index("</tbody>")])
    assert bodies[1] == bodies[0].replace("<tbody>", '<tbody lang="en">')


@pytest.fixture
def register_text():
    """Return the sample of a register as it would be sent."""
    return SimpleUploadedFile("register.csv", KINDS["register"].template().encode())
