"""Files taken in by jobs: checked, confirmed, refused with every line, never taken twice."""

import csv
import io

import pytest

from inspections.jobs import imports
from inspections.jobs.running import run_job
from inspections.models import AirTemperature, Inspection, Job, Reading
from inspections.services import job_files, jobs
from inventory.models import Bridge
from tests.inspections.desk_rows import words
from tests.inspections.test_import_pages import AIR, BAD, GOOD, check
from tests.inspections.test_jobs import DATABASE, silent_for
from tests.make import make_bridge, make_element, make_unit, make_user
from tests.worker import work

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def site_folder(settings, tmp_path):
    """A folder of the site of this test's own."""
    settings.LOCAL_DIR = tmp_path
    return tmp_path


@pytest.fixture(autouse=True)
def bridge():
    """Bridge B-1 with a pot bearing P."""
    bridge = make_bridge("B-1")
    make_element(make_unit(bridge), "pot", code="P")
    return bridge


@pytest.fixture
def large(settings):
    """Every file is a large one."""
    settings.LARGE_IMPORT_KB = 0


@pytest.fixture
def workers(settings):
    settings.TASKS, settings.WORKERS = DATABASE, True
    return work


def checked(client, kind="readings", text=GOOD, **options) -> str:
    """Return the address of the job that checks a file."""
    said = ({"state": "open"} if kind == "readings" else {}) | options
    answer = check(client, kind, text, **said)
    assert answer.status_code == 303
    return answer["Location"]


def uploads() -> list[str]:
    return sorted(path.name for path in job_files.folder().glob("*.upload"))


def test_a_large_file_is_checked_and_taken_in_by_jobs(as_role, large):
    client = as_role("engineer")
    where = checked(client)
    page = words(client.get(where))
    assert "The file can be taken in; nothing is written yet." in page
    assert "What visit.csv would change" in page
    assert not Reading.objects.exists()
    answer = client.post(f"{where}import/")
    page = words(client.get(answer["Location"]))
    assert "visit.csv is imported; inspections: 1 new; values: 1 new." in page
    assert "1 of 1 bridges judged" in page
    assert Reading.objects.get().value == 12.5
    assert Reading.objects.get().created_by is not None
    assert uploads() == []


def test_what_came_in_by_a_job_leads_on_as_a_small_file_does(as_role, large):
    client = as_role("engineer")
    where = checked(client)
    step = "See which flags the readings open"
    assert step not in words(client.get(where))
    page = words(client.get(client.post(f"{where}import/")["Location"]))
    assert step in page
    assert "Hand in what stands open" in page


def test_a_register_that_a_job_takes_in_tells_how_many_rows_there_are(as_role, large):
    client = as_role("engineer")
    text = "record,bridge_code,name,district_code\n" + "".join(
        f"{row}\n" for row in ("district,,North,N", "bridge,N-1,First,N", "", "bridge,N-2,Second,N")
    )
    where = checked(client, "register", text)
    assert "3 of 3 rows" in words(client.get(where))
    page = words(client.get(client.post(f"{where}import/")["Location"]))
    assert "3 of 3 rows" in page
    assert "See the bridges, and open their inspections there" in page


def test_a_small_file_is_checked_at_once_and_makes_no_job(as_role):
    page = check(as_role("engineer"), "readings", GOOD, state="open")
    assert page.status_code == 200
    assert not Job.objects.exists()


def test_what_is_confirmed_twice_is_taken_in_once(as_role, workers):
    client = as_role("engineer")
    where = checked(client)
    workers()
    first, second = (client.post(f"{where}import/")["Location"] for _ in range(2))
    assert first == second
    workers()
    assert client.post(f"{where}import/")["Location"] == first
    assert "Its import" in words(client.get(where))
    assert Job.objects.count() == 2
    assert Reading.objects.count() == 1


def test_an_import_that_is_done_is_not_taken_in_by_a_late_attempt(as_role, workers, monkeypatch):
    client = as_role("engineer")
    where = checked(client, "air", AIR)
    workers()
    row = Job.objects.get(pk=int(client.post(f"{where}import/")["Location"].split("/")[2]))
    slow = jobs.take_up(row.pk, 1)
    silent_for(Job.objects.get(pk=row.pk), 11)
    jobs.start_again(job=Job.objects.get(pk=row.pk))
    content = job_files.upload_path(row.pk).read_bytes()
    workers()
    assert AirTemperature.objects.count() == 1
    # The first attempt comes to itself, with its file at hand.
    AirTemperature.objects.all().delete()
    job_files.upload_path(row.pk).write_bytes(content)
    with pytest.raises(jobs.NoLongerMine):
        imports.take_in(slow, job_files.Progress(row.pk, 1))
    run_job.call(row.pk, 1)
    run_job.call(row.pk, 2)
    assert not AirTemperature.objects.exists()


def test_an_import_that_breaks_off_has_taken_nothing_and_goes_again(as_role, workers, monkeypatch):
    client = as_role("engineer")
    where = checked(client)
    workers()
    where = client.post(f"{where}import/")["Location"]

    def breaks(*_given, **_more):
        raise MemoryError("no more")

    with monkeypatch.context() as patch:
        patch.setattr(jobs, "end", breaks)  # at the last moment
        with pytest.raises(MemoryError):
            run_job.call(int(where.split("/")[2]), 1)
    assert not Inspection.objects.exists()
    silent_for(Job.objects.get(pk=int(where.split("/")[2])), 11)
    client.post(f"{where}again/")
    workers()
    assert "is imported" in words(client.get(where))
    assert Reading.objects.count() == 1


def test_a_refusal_names_line_field_and_remedy_and_leads_back(as_role, large):
    client = as_role("engineer")
    where = checked(client, text=BAD, name="bad.csv")
    page = words(client.get(where))
    assert "Nothing was written. bad.csv has" in page
    assert "element_code" in page
    assert "offset_along_mm" in page
    assert "Mend the file and check it again" in page
    assert not Inspection.objects.exists()
    assert uploads() == []
    assert f"{where}import/" not in client.get(where).content.decode()


def test_what_was_said_about_a_refused_file_is_there_again(as_role, large):
    client = as_role("engineer")
    where = checked(client, "air", "station,time_utc,temp_c\n,x,14\n", station="HILL")
    number = where.split("/")[2]
    assert f"/imports/air/?job={number}" in client.get(where).content.decode()
    assert 'value="HILL"' in client.get(f"/imports/air/?job={number}").content.decode()


def test_what_somebody_else_said_about_a_file_is_not_there(as_role, large):
    client = as_role("engineer")
    number = checked(client, "readings", BAD, state="submitted").split("/")[2]
    chosen = '<option value="submitted" selected'
    assert chosen in client.get(f"/imports/readings/?job={number}").content.decode()
    client.force_login(make_user("engineer", district=Bridge.objects.get().district))
    assert chosen not in client.get(f"/imports/readings/?job={number}").content.decode()


def test_more_problems_than_a_page_holds_are_all_in_a_file(as_role, large):
    client = as_role("engineer")
    lines = "".join(f"HILL,2024-06-01T08:00Z,hot{n}\n" for n in range(400))
    where = checked(client, "air", f"station,time_utc,temp_c\n{lines}")
    page = words(client.get(where))
    assert "All 400 problems as CSV" in page
    assert "And 100 more." in page
    file = client.get(f"{where}result/")
    assert file["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(b"".join(file.streaming_content).decode())))
    assert [row["line"] for row in rows] == [str(n) for n in range(2, 402)]
    assert rows[399]["column"] == "temp_c"


def test_a_file_that_changes_nothing_is_not_offered_to_be_imported(as_role, large):
    client = as_role("engineer")
    client.post(f"{checked(client)}import/")
    where = checked(client)
    assert "the ledger holds all of it already" in words(client.get(where))
    client.post(f"{where}import/")
    assert Job.objects.count() == 3


def test_a_checked_file_that_is_no_longer_kept_is_told(as_role, large):
    client = as_role("engineer")
    where = checked(client)
    job_files.upload_path(Job.objects.get().pk).unlink()
    page = client.post(f"{where}import/", follow=True)
    assert "The file that was sent is no longer here. Choose it again." in words(page)


def test_a_file_checked_before_workers_were_there_is_taken_in_by_one(as_role, workers, settings):
    client = as_role("engineer")
    settings.WORKERS = False
    page = check(client, "readings", GOOD, state="open")
    token = page.context["upload"].token
    settings.WORKERS = True
    where = client.post("/imports/readings/", {"confirm": token})["Location"]
    workers()
    assert "is imported" in words(client.get(where))


@pytest.mark.parametrize(("role", "status"), [("inspector", 403), ("manager", 403), (None, 403)])
def test_who_may_not_import_takes_nothing_in(as_role, role, status):
    assert as_role(role).post("/jobs/1/import/").status_code == status
