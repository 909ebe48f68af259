"""Pages that take files in: checked first, written once confirmed, never lost without a word."""

import datetime as dt
import os
import re
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inspections.exchange.kinds import KINDS
from inspections.exchange.uploads import LONGEST_WAIT_S
from inspections.models import AirTemperature, Inspection, Reading
from inventory.models import Bridge
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db

GOOD = (
    "bridge_code,inspection_date,team,taken_at,element_code,offset_along_mm\n"
    "B-1,2024-06-01,two,2024-06-01 08:30,P,12.5\n"
)
BAD = GOOD + "B-1,2024-06-01,two,2024-06-01 08:30,Q,far\n"
AIR = "station,time_utc,temp_c\nHILL,2024-06-01T08:00Z,14\n"
TOKEN = re.compile(r'name="confirm" value="([0-9a-f]+)"')


@pytest.fixture(autouse=True)
def site_folder(settings, tmp_path):
    """A folder of the site of this test's own."""
    settings.LOCAL_DIR = tmp_path
    return tmp_path


@pytest.fixture
def bridge():
    """Bridge B-1 with a pot bearing P."""
    bridge = make_bridge("B-1")
    make_element(make_unit(bridge), "pot", code="P")
    return bridge


def check(client, kind: str, text: str | bytes, name: str = "visit.csv", **options):
    content = text if isinstance(text, bytes) else text.encode()
    return client.post(
        reverse(f"import-{kind}"), {"file": SimpleUploadedFile(name, content), **options}
    )


def confirm(client, kind: str, page):
    [token] = TOKEN.findall(page.content.decode())
    return client.post(reverse(f"import-{kind}"), {"confirm": token}, follow=True)


def waiting(folder: Path) -> list[Path]:
    return list((folder / "uploads").iterdir())


FOR_IMPORTERS = [
    *(reverse(f"import-{kind}") for kind in KINDS),
    *(reverse("import-columns", args=[kind]) for kind in KINDS),
    *(reverse("import-template", args=[kind]) for kind in KINDS),
]
FOR_VIEWERS = [
    reverse(name)
    for name in (
        "imports",
        "export-register",
        "export-readings",
        "element-data-out",
        "export-element-data",
    )
]


@pytest.mark.parametrize("url", FOR_IMPORTERS)
@pytest.mark.parametrize(
    ("role", "status"), [("engineer", 200), ("inspector", 403), ("manager", 403), (None, 403)]
)
def test_engineers_alone_import(as_role, url, role, status):
    assert as_role(role).get(url).status_code == status


@pytest.mark.parametrize("url", FOR_VIEWERS)
@pytest.mark.parametrize(
    ("role", "status"), [("engineer", 200), ("inspector", 200), ("manager", 200), (None, 403)]
)
def test_whoever_sees_inspections_may_take_files_out(as_role, url, role, status):
    assert as_role(role).get(url).status_code == status


@pytest.mark.parametrize("url", [*FOR_IMPORTERS, *FOR_VIEWERS])
def test_a_stranger_is_sent_to_sign_in(client, url):
    response = client.get(url)
    assert response.status_code == 302
    assert response.url.startswith(reverse("login"))


@pytest.mark.parametrize("role", ["inspector", "manager", None])
def test_no_other_role_imports_by_posting(as_role, bridge, role):
    client = as_role(role)
    assert check(client, "readings", GOOD, state="open").status_code == 403
    assert client.post(reverse("import-readings"), {"confirm": "0"}).status_code == 403
    assert not Inspection.objects.exists()


def test_those_who_may_not_import_are_offered_exports_alone(as_role):
    page = as_role("manager").get(reverse("imports")).content.decode()
    assert reverse("export-readings") in page
    assert reverse("import-readings") not in page


def test_an_upload_is_checked_and_writes_nothing(as_role, bridge):
    page = check(as_role("engineer"), "readings", GOOD, state="open")
    text = page.content.decode()
    assert "What visit.csv would change" in text
    assert TOKEN.search(text)
    assert not Inspection.objects.exists()
    assert not Reading.objects.exists()


@pytest.mark.parametrize(("state", "stands_open"), [("open", True), ("submitted", False)])
def test_visits_that_came_in_open_are_to_be_handed_in(as_role, bridge, state, stands_open):
    client = as_role("engineer")
    done = confirm(client, "readings", check(client, "readings", GOOD, state=state))
    page = done.content.decode()
    assert ("until then its readings open no flags" in page) is stands_open
    assert ("/inspections/?state=open" in page) is stands_open


def test_a_confirmed_upload_is_imported_as_its_user_asked(as_role, bridge, site_folder):
    client = as_role("engineer")
    done = confirm(client, "readings", check(client, "readings", GOOD, state="accepted"))
    assert "visit.csv is imported; inspections: 1 new; values: 1 new." in done.content.decode()
    reading = Reading.objects.get()
    assert reading.value == 12.5
    assert reading.inspection.state == "accepted"
    assert reading.created_by.username == done.wsgi_request.user.username
    assert waiting(site_folder) == []


def test_a_bad_file_writes_nothing_and_shows_each_line_column_and_remedy(
    as_role, bridge, site_folder
):
    page = check(as_role("engineer"), "readings", BAD, state="open").content.decode()
    assert "visit.csv has 2 problems" in page
    assert page.count('<th scope="row" class="number">3</th>') == 2
    assert "<code>element_code</code>" in page
    assert "<code>offset_along_mm</code>" in page
    assert "is no place on B-1" in page
    assert not TOKEN.search(page)
    assert not Inspection.objects.exists()
    assert not (site_folder / "uploads").exists() or waiting(site_folder) == []


def test_a_file_that_holds_nothing_new_says_so_and_offers_no_import(as_role, bridge):
    client = as_role("engineer")
    confirm(client, "readings", check(client, "readings", GOOD, state="open"))
    page = check(client, "readings", GOOD, state="open").content.decode()
    assert "the ledger holds all of it already" in page
    assert not TOKEN.search(page)


def test_a_ledger_that_changed_since_the_check_refuses_and_tells_why(as_role, bridge):
    client = as_role("engineer")
    page = check(client, "readings", GOOD, state="open")
    make_inspection(bridge, dt.date(2024, 6, 1), team="three others")
    text = confirm(client, "readings", page).content.decode()
    assert "differs from «three others»" in text
    assert not Reading.objects.exists()


def test_a_checked_file_that_is_gone_is_asked_for_again_plainly(as_role, bridge, site_folder):
    client = as_role("engineer")
    page = check(client, "readings", GOOD, state="open")
    for path in waiting(site_folder):
        path.unlink()
    assert "Choose it again" in confirm(client, "readings", page).content.decode()
    assert not Reading.objects.exists()


def test_only_the_file_that_was_checked_last_can_be_confirmed(as_role, bridge):
    client = as_role("engineer")
    first = check(client, "readings", GOOD, state="open")
    check(client, "readings", GOOD.replace("12.5", "99"), state="open")
    assert "Choose it again" in confirm(client, "readings", first).content.decode()
    assert not Reading.objects.exists()


def test_nobody_confirms_what_another_has_uploaded(client, as_role, bridge, django_user_model):
    page = check(as_role("engineer"), "readings", GOOD, state="open")
    client.logout()
    other = as_role("engineer")
    assert "Choose it again" in confirm(other, "readings", page).content.decode()
    assert not Reading.objects.exists()


def test_files_that_were_never_confirmed_do_not_pile_up(as_role, bridge, site_folder):
    client = as_role("engineer")
    check(client, "readings", GOOD, state="open")
    [old] = waiting(site_folder)
    client.logout()
    long_ago = old.stat().st_mtime - LONGEST_WAIT_S - 60
    os.utime(old, (long_ago, long_ago))
    check(as_role("engineer"), "readings", GOOD, state="open")
    assert old not in waiting(site_folder)
    assert len(waiting(site_folder)) == 1


def test_a_waiting_file_is_readable_by_the_site_alone(as_role, bridge, site_folder):
    check(as_role("engineer"), "readings", GOOD, state="open")
    [path] = waiting(site_folder)
    assert path.stat().st_mode & 0o077 == 0


def test_a_file_over_the_limit_is_refused_with_what_to_do(as_role, bridge):
    page = check(as_role("engineer"), "readings", b"x" * (20 * 1024 * 1024 + 1), state="open")
    text = page.content.decode()
    assert "visit.csv has 20.0 MB, more than 20" in text
    assert "command line" in text


@pytest.mark.parametrize(
    ("content", "says"),
    [(b"", "The file is empty"), (b"\xff\xfeb\x00", "UTF-16"), (b"PK\x03\x04zip", "workbook"),
     ("bridge_code;größe".encode("latin-1"), "not UTF-8")],
)  # fmt: skip
def test_what_is_no_csv_file_is_refused_with_how_to_save_it(as_role, content, says):
    page = check(as_role("engineer"), "readings", content, state="open").content.decode()
    assert says in page
    assert "Nothing was written" in page


def test_a_file_must_be_chosen(as_role):
    page = as_role("engineer").post(reverse("import-readings"), {"state": "open"})
    assert "This field is required" in page.content.decode()


def test_a_hostile_name_or_cell_is_shown_as_text(as_role, bridge):
    text = GOOD.replace("B-1", "<script>alert(1)</script>")
    page = check(as_role("engineer"), "readings", text, name="<b>x.csv", state="open")
    content = page.content.decode()
    assert "<script>alert" not in content
    assert "&lt;script&gt;alert" in content
    assert "<b>x.csv" not in content


def test_an_air_record_comes_in_with_its_station_named_in_the_form(as_role):
    client = as_role("engineer")
    page = check(client, "air", AIR.replace("station,", "").replace("HILL,", ""), station="HILL")
    assert "No bridge names HILL" in page.content.decode()
    assert not AirTemperature.objects.exists()
    confirm(client, "air", page)
    assert AirTemperature.objects.get().station == "HILL"


def test_the_hours_that_a_station_lacks_are_listed_before_it_comes_in(as_role):
    text = AIR + "HILL,2024-06-01T10:00Z,15\nHILL,2024-06-02T00:00Z,9\nHILL,2024-06-02T01:00Z,\n"
    page = check(as_role("engineer"), "air", text).content.decode()
    assert "Station HILL lacks 14 hours (UTC): 2024-06-01 09:00; 2024-06-01 11:00 to 23:00." in page
    assert "Blank, left out: line 5." in page


def test_a_register_comes_in_and_the_downloaded_one_changes_nothing(as_role):
    client = as_role("engineer")
    sample = client.get(reverse("import-template", args=["register"])).getvalue()
    page = check(client, "register", sample)
    assert not Bridge.objects.exists()
    after = confirm(client, "register", page)
    assert '<a href="/bridges/">See the bridges, and open their inspections' in (
        after.content.decode()
    )
    kinds = Bridge.objects.get().elements.values_list("kind", flat=True)
    assert sorted(kinds) == ["bearing", "joint"]
    again = check(client, "register", client.get(reverse("export-register")).getvalue())
    assert "the ledger holds all of it already" in again.content.decode()


def test_the_sample_of_every_kind_comes_in_on_a_site_that_holds_nothing_else(as_role):
    """In the order of the page, which lists first what the others rest on."""
    client = as_role("engineer")
    for kind in KINDS:
        sample = client.get(reverse("import-template", args=[kind])).getvalue()
        page = check(client, kind, sample, name=f"sample.{KINDS[kind].suffix}", state="open")
        assert TOKEN.search(page.content.decode()), f"{kind}: nothing to confirm"
        assert confirm(client, kind, page).status_code == 200
        again = check(client, kind, sample, name=f"sample.{KINDS[kind].suffix}", state="open")
        assert not TOKEN.search(again.content.decode()), f"{kind}: was not written"


def test_the_downloaded_readings_come_in_without_a_change(as_role, bridge):
    read(make_inspection(bridge), bridge.elements.get(), "offset_along", 12.5, 10.0)
    client = as_role("engineer")
    response = client.get(reverse("export-readings"))
    assert response["Content-Disposition"] == 'attachment; filename="readings.csv"'
    text = response.getvalue()
    assert b",12.5," in text
    page = check(client, "readings", text, state="open").content.decode()
    assert "the ledger holds all of it already" in page


def test_one_bridge_is_taken_out_alone_and_an_unknown_one_is_not_found(as_role, bridge):
    make_element(make_unit(make_bridge("B-2")))
    client = as_role("manager")
    text = client.get(reverse("export-register"), {"bridge": "B-2"}).getvalue().decode()
    assert "B-2" in text
    assert "B-1" not in text
    assert client.get(reverse("export-readings"), {"bridge": "B-9"}).status_code == 404


@pytest.mark.parametrize("kind", KINDS)
def test_each_column_is_documented_on_its_page(as_role, kind):
    page = as_role("engineer").get(reverse("import-columns", args=[kind])).content.decode()
    if KINDS[kind].suffix == "xml":
        sample = re.findall(r"    <(\w+)>", KINDS[kind].template())
    else:
        sample = KINDS[kind].template().splitlines()[0].split(",")
    for column in sample:
        assert f"<td>{column}</td>" in page


def test_an_unknown_kind_of_file_is_not_found(as_role):
    client = as_role("engineer")
    assert client.get(reverse("import-columns", args=["photos"])).status_code == 404


def test_no_page_carries_inline_style_or_script(as_role, bridge):
    client = as_role("engineer")
    pages = [client.get(url) for url in (*FOR_IMPORTERS[:6], reverse("imports"))]
    pages += [check(client, "readings", text, state="open") for text in (GOOD, BAD)]
    for page in pages:
        text = page.content.decode()
        assert " style=" not in text
        assert "<style" not in text
        assert "<script" not in text


def test_national_inventory_rows_come_in_with_the_bad_ones_left_out_and_listed(as_role):
    client = as_role("engineer")
    content = (Path(__file__).parents[1] / "data" / "nbi_sample.csv").read_bytes()
    assert not TOKEN.search(check(client, "register", content).content.decode())
    page = check(client, "register", content, skip_bad_rows="on")
    assert "Left out: line" in page.content.decode()
    confirm(client, "register", page)
    assert Bridge.objects.exists()
