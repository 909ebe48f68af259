"""The key of a checkout: made once, whole, whoever starts first; that of a site: never weak."""

import os
import secrets
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from inspections.project.env import hosts, local_secret, production_secret


def test_processes_that_start_together_get_one_key(tmp_path):
    folder = tmp_path / "new"
    with ThreadPoolExecutor(16) as starting:
        keys = set(starting.map(lambda _: local_secret(folder), range(64)))

    assert len(keys) == 1
    assert len(keys.pop()) > 50
    assert [each.name for each in folder.iterdir()] == ["secret-key"]
    assert (folder / "secret-key").stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("weak", ["", "secret", "change-me" * 9, "a" * 80])
def test_a_site_does_not_take_a_key_that_can_be_guessed(weak, monkeypatch):
    monkeypatch.setenv("SECRET_KEY", weak)
    with pytest.raises(ImproperlyConfigured, match=r"SECRET_KEY.*token_urlsafe"):
        production_secret("SECRET_KEY")


def test_a_site_takes_a_key_made_as_it_says(monkeypatch):
    made = secrets.token_urlsafe(60)
    monkeypatch.setenv("SECRET_KEY", made)
    assert production_secret("SECRET_KEY") == made


@pytest.mark.parametrize(
    "given", ["", "*", "*.example", ".example", "https://ledger.example", "ledger.example:8000"]
)
def test_a_site_names_each_of_its_hosts(given, monkeypatch):
    monkeypatch.setenv("ALLOWED_HOSTS", given)
    with pytest.raises(ImproperlyConfigured, match="ALLOWED_HOSTS"):
        hosts("ALLOWED_HOSTS")


def test_hosts_may_stand_apart_and_be_addresses_of_the_newer_kind(monkeypatch):
    monkeypatch.setenv("ALLOWED_HOSTS", "ledger.example, [::1],")
    assert hosts("ALLOWED_HOSTS") == ["ledger.example", "[::1]"]


def test_an_unsafe_site_does_not_start_and_says_what_to_set(tmp_path):
    given = {"LEDGER_PRODUCTION": "1", "SECRET_KEY": "short", "ALLOWED_HOSTS": "ledger.example",
             "LEDGER_DIR": str(tmp_path)}  # fmt: skip
    done = subprocess.run(
        [sys.executable, "manage.py", "check"], cwd=Path(__file__).parents[2],
        env=os.environ | given, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode != 0
    assert "SECRET_KEY is too easy to guess" in done.stderr


def test_a_local_site_does_not_pass_for_a_production_site(tmp_path):
    local = {"LEDGER_PRODUCTION": "0", "LEDGER_DIR": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=Path(__file__).parents[2], env=os.environ | local, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode != 0
    for unsafe in ("SECURE_HSTS_SECONDS", "SECURE_SSL_REDIRECT", "SESSION_COOKIE_SECURE",
                   "CSRF_COOKIE_SECURE"):  # fmt: skip
        assert unsafe in done.stderr
