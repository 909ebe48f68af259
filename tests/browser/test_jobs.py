"""A long job in a browser: its page keeps itself up to date, and says when it has ended."""

import pytest
from playwright.sync_api import expect

from inspections.models import AirTemperature, Job
from inspections.services import job_files, jobs, thresholds
from tests.inspections.test_condition_report import a_bridge
from tests.inspections.test_jobs import silent_for
from tests.make import make_user
from tests.worker import work

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def waiting(settings, tmp_path):
    """A bridge of three elements, and jobs that wait for a worker."""
    settings.LOCAL_DIR, settings.WORKERS = tmp_path, True
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    return a_bridge(code="T-1")


def test_the_page_follows_a_job_to_its_end_and_has_the_file(open_as, assert_usable):
    page = open_as("manager", "/bridges/T-1/")
    page.get_by_role("link", name="Condition report (PDF)").click()
    expect(page.get_by_text("Waiting: 0 of 3 elements")).to_be_visible()
    assert_usable(page)
    row = Job.objects.get()
    progress = job_files.Progress(row.pk, row.attempt, done=2, total=3, unit="elements")
    expect(page.locator("[data-job-words]")).to_contain_text("2 of 3 elements")
    assert page.locator("progress").evaluate("bar => bar.value / bar.max") == pytest.approx(2 / 3)
    progress.forget()
    work()
    expect(page.get_by_text("The report is made.")).to_be_visible()
    expect(page.locator("[data-job-news]")).to_have_text("Done")
    assert_usable(page)
    with page.expect_download() as download:
        page.get_by_role("link", name="condition").click()
    assert download.value.suggested_filename.startswith("T-1-condition-")
    page.get_by_role("link", name="Jobs", exact=True).click()
    expect(page.get_by_role("link", name="Condition report of T-1")).to_be_visible()
    assert_usable(page)


@pytest.mark.parametrize("screen", ["tablet"], indirect=True)
def test_a_silent_job_is_offered_to_be_started_again(open_as, assert_usable):
    page = open_as("manager", "/bridges/T-1/")
    page.get_by_role("link", name="Condition report (PDF)").click()
    expect(page.get_by_text("Waiting")).to_be_visible()
    row = Job.objects.get()
    assert jobs.take_up(row.pk, 1) is not None
    silent_for(Job.objects.get(), 11)
    expect(page.get_by_text("What was doing it may have been stopped.")).to_be_visible()
    assert_usable(page)
    page.get_by_role("button", name="Start it again").click()
    expect(page.get_by_text("Waiting: 0 of 3 elements")).to_be_visible()


@pytest.mark.parametrize("screen", ["tablet"], indirect=True)
def test_without_scripts_a_link_shows_how_far_it_is(open_as):
    page = open_as("manager", "/bridges/T-1/", java_script_enabled=False)
    page.locator("text=Condition report (PDF)").click()
    expect(page.locator("[data-job-reload]")).to_be_visible()
    work()
    page.locator("[data-job-reload]").click()
    expect(page.locator("text=The report is made.")).to_have_count(1)


@pytest.mark.parametrize("screen", ["tablet"], indirect=True)
def test_a_refused_file_is_told_line_by_line_and_an_accepted_one_is_confirmed(
    open_as, assert_usable
):
    page = open_as("engineer", "/imports/air/")
    for text, told in (
        ("HILL,x,14", "Nothing was written."),
        ("HILL,2024-06-01T08:00Z,14", "Done"),
    ):
        page.get_by_label("CSV or XLSX file").set_input_files(
            {
                "name": "air.csv",
                "mimeType": "text/csv",
                "buffer": f"station,time_utc,temp_c\n{text}\n".encode(),
            }
        )
        page.get_by_role("button", name="Check the file").click()
        expect(page.get_by_text("Waiting")).to_be_visible()
        work()
        expect(page.locator("[data-job]").get_by_text(told).first).to_be_visible()
        assert_usable(page)
        if "Nothing" in told:
            page.get_by_role("link", name="Mend the file and check it again").click()
    page.get_by_role("button", name="Import this file").click()
    expect(page.get_by_text("Waiting")).to_be_visible()
    work()
    expect(page.get_by_text("air.csv is imported")).to_be_visible()
    assert AirTemperature.objects.count() == 1


def test_a_page_tells_in_plain_words_that_its_verdicts_are_older(open_as, assert_usable):
    thresholds.save_settings(
        figures={"watch_k": 2.5},
        reason="Agreed in the spring review",
        user=make_user("engineer"),
        based_on=thresholds.present_version(),
    )
    page = open_as("engineer", "/bridges/T-1/")
    expect(page.get_by_text("1 of 1 bridges is still to be judged")).to_be_visible()
    assert_usable(page)
    page.get_by_role("link", name="How far it is").click()
    expect(page.get_by_text("Waiting: 0 of 1 bridges")).to_be_visible()
    work()
    expect(page.get_by_text("Every bridge is judged by the settings of")).to_be_visible()
    expect(page.get_by_text("still to be judged")).to_have_count(0)
