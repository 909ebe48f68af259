"""What a watchman reads of a running site: probes, counts, and lines of the log."""

import json
import logging
import os
import secrets
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import OperationalError, connection
from prometheus_client.parser import text_string_to_metric_families

from tests.make import make_user

ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def _files_in_a_folder_of_their_own(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "files"


def test_a_process_is_alive_without_its_database(client):
    # No mark: any question to the database would fail this test.
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()) == (200, {"alive": True})


@pytest.mark.django_db
def test_a_site_that_can_serve_is_ready(client):
    answer = client.get("/readyz")
    assert answer.status_code == 200
    assert set(answer.json()["checks"].values()) == {"ok"}
    assert "no-store" in answer["Cache-Control"]


@pytest.mark.django_db
def test_a_database_that_is_gone_is_told_without_its_address(client):
    def gone(*_args):
        raise OperationalError("could not connect to db.internal.example")

    with connection.execute_wrapper(gone):
        answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.json()["checks"]["database"] == "does not answer"
    assert b"internal" not in answer.content


@pytest.mark.django_db
def test_a_database_behind_the_code_is_not_ready_and_the_remedy_is_named(client):
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'inspections'")
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert "manage.py migrate" in answer.json()["checks"]["migrations"]


@pytest.mark.django_db
def test_a_folder_that_takes_no_files_is_not_ready(client, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "a-file"
    settings.MEDIA_ROOT.write_text("in the way")
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.json()["checks"]["files"] == "does not answer"


@pytest.mark.parametrize("header", [{}, {"authorization": "Bearer wrong"}])
def test_the_counts_are_no_page_for_who_does_not_know_the_token(client, settings, header):
    settings.METRICS_TOKEN = "right"
    assert client.get("/metrics", headers=header).status_code == 404


def test_without_a_token_in_the_settings_there_are_no_counts(client):
    assert client.get("/metrics", headers={"authorization": "Bearer "}).status_code == 404


@pytest.mark.django_db
def test_requests_are_counted_by_their_route(client, settings):
    settings.METRICS_TOKEN = "right"
    client.force_login(make_user("engineer"))

    def counted(route: str) -> float:
        text = client.get("/metrics", headers={"authorization": "Bearer right"}).content.decode()
        return sum(
            sample.value
            for family in text_string_to_metric_families(text)
            for sample in family.samples
            if sample.name == "ledger_requests_total" and sample.labels["route"] == route
        )

    before = counted("/bridges/"), counted("unknown")
    client.get("/bridges/?q=a-name")
    client.get("/no/such/page/of/anybody")
    assert (counted("/bridges/"), counted("unknown")) == (before[0] + 1, before[1] + 1)


def test_the_number_that_a_proxy_sent_comes_back(client):
    assert client.get("/healthz", headers={"X-Request-ID": "abc-12345"})["X-Request-ID"] == (
        "abc-12345"
    )


@pytest.mark.parametrize("sent", ["", "short", "a\tb c d e f", "x" * 65, "1234567890\u00e9"])
def test_a_number_that_could_break_a_log_is_replaced(client, sent):
    number = client.get("/healthz", headers={"X-Request-ID": sent})["X-Request-ID"]
    assert number != sent
    assert number.isalnum()


@pytest.mark.django_db
def test_a_line_of_the_log_tells_the_route_and_nobody(client, caplog):
    user = make_user("engineer", username="erika.named")
    client.force_login(user)
    with caplog.at_level(logging.INFO, logger="inspections.project.traffic"):
        client.get("/bridges/?q=secret-words")
    (line,) = [each for each in caplog.records if each.name.endswith("traffic")]
    assert (line.route, line.status, line.method) == ("/bridges/", 200, "GET")
    told = json.dumps(line.__dict__, default=str)
    assert "erika" not in told
    assert "secret-words" not in told
    assert "127.0.0.1" not in told


ASK = """
import django
django.setup()
from django.core.management import call_command
from django.test import Client
call_command("migrate", verbosity=0)
probe, page = Client(SERVER_NAME="ledger.example"), Client(SERVER_NAME="ledger.example")
print(probe.get("/healthz").status_code, probe.get("/readyz").status_code)
moved = page.get("/bridges/", headers={"X-Request-ID": "abc-12345"})
print(moved.status_code, moved["Location"])
"""


def test_a_production_site_answers_probes_by_http_and_logs_lines_of_json(tmp_path):
    (tmp_path / "static").mkdir()  # where «collectstatic» would have put them
    given = {
        "LEDGER_PRODUCTION": "1",
        "ALLOWED_HOSTS": "ledger.example",
        "SECRET_KEY": secrets.token_urlsafe(60),
        "LEDGER_DIR": str(tmp_path),
        "DJANGO_SETTINGS_MODULE": "inspections.project.settings",
    }
    left_out = {"DATABASE_URL"}
    inherited = {name: value for name, value in os.environ.items() if name not in left_out}
    done = subprocess.run(
        [sys.executable, "-c", ASK], cwd=ROOT, env=inherited | given,
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    probes, page = done.stdout.splitlines()
    assert probes == "200 200"
    assert page == "301 https://ledger.example/bridges/"
    lines = [json.loads(line) for line in done.stderr.splitlines()]
    (moved,) = [line for line in lines if line.get("status") == 301]
    assert moved["request_id"] == "abc-12345"
    assert moved["level"] == "INFO"
