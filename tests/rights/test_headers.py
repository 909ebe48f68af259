"""What each answer tells a browser: run no script of others, stand in no frame, guess no kind."""

from __future__ import annotations

import gzip
import os
import secrets
import subprocess
import sys
from pathlib import Path

import pytest
from django.contrib import admin
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from inspections.models import Photo
from inventory.models import Bridge, Drawing
from tests.make import make_user
from tests.rights.world import World, addresses, keep_files, make_world
from tests.served.database import file_with_tables
from tests.served.ledger import FILE

ROOT = Path(__file__).parents[2]
FIXED = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}
DIRECTIVES = {
    "default-src": "'self'",
    "object-src": "'none'",
    "base-uri": "'self'",
    "frame-ancestors": "'none'",
    "form-action": "'self'",
    "img-src": "'self' data:",
}


@pytest.fixture
def world(settings, tmp_path, db) -> World:
    settings.MEDIA_ROOT = tmp_path
    settings.REST_FRAMEWORK = settings.REST_FRAMEWORK | {
        "DEFAULT_THROTTLE_RATES": {"reads": None, "writes": None}
    }
    made = make_world("HERE")
    keep_files(made, b"<script>alert(1)</script>")
    return made


@pytest.fixture
def engineer(client, world):
    user = make_user("engineer")
    world.given_to(user)
    client.force_login(user)
    client.raise_request_exception = False
    return client


def lacking(answer) -> list[str]:
    """Return what an answer's headers do not say as they should."""
    wrong = [name for name, value in FIXED.items() if answer.headers.get(name) != value]
    policy = answer.headers.get("Content-Security-Policy", "")
    told = dict(each.strip().split(" ", 1) for each in policy.split(";") if each.strip())
    return wrong + ([] if told == DIRECTIVES else [f"Content-Security-Policy: {policy}"])


@pytest.mark.parametrize("signed_in", [True, False])
def test_every_address_answers_with_every_header(engineer, world, signed_in):
    if not signed_in:
        engineer.logout()
    wrong, kinds, statuses = {}, set(), set()
    for name, address in addresses().items():
        if name == "logout":
            continue  # it would end what follows
        for method in ("get", "post"):
            # The key of a calendar is shown once, so none of a row is known.
            path = "/plan/no-key.ics" if name == "calendar-feed" else address.path(world)
            answer = getattr(engineer, method)(path)
            kinds.add(answer.headers.get("Content-Type", "").split(";")[0])
            statuses.add(answer.status_code)
            if lacks := lacking(answer):
                wrong[method, name] = (answer.status_code, lacks)
    assert not wrong
    if signed_in:
        assert {"text/html", "text/csv", "image/jpeg", "application/pdf",
                "application/problem+json"} <= kinds  # fmt: skip
        assert {200, 302, 400, 404, 405} <= statuses


def test_every_page_of_the_admin_site_answers_with_every_header(engineer, world):
    site = [reverse("admin:index"), reverse("admin:login")]
    for model in admin.site._registry:
        name = f"admin:{model._meta.app_label}_{model._meta.model_name}"
        site += [reverse(f"{name}_changelist"), reverse(f"{name}_add")]
        if model in world.rows:
            site.append(reverse(f"{name}_change", args=[world.rows[model].pk]))
    assert len(site) > 30
    wrong = {path: lacks for path in site if (lacks := lacking(engineer.get(path)))}
    assert not wrong


def test_errors_redirects_and_static_files_answer_with_every_header(engineer):
    def gone(*_args):
        raise OperationalError("gone")

    def broken(*_args):
        raise RuntimeError("a fault of our own")

    strict = Client(enforce_csrf_checks=True)
    answers = {
        "not found": (404, engineer.get("/no/such/page")),
        "moved": (301, engineer.get("/bridges")),
        "without a token": (403, strict.post(reverse("login"), {})),
        "static": (200, engineer.get("/static/inspections/ledger.css")),
        "another host": (400, engineer.get("/bridges", headers={"host": "elsewhere.example"})),
    }
    for name, fault, status in (("fault", broken, 500), ("away", gone, 503)):
        with connection.execute_wrapper(fault):
            answers[name] = (status, engineer.get("/bridges/"))
    found = {name: (answer.status_code, lacking(answer)) for name, (_, answer) in answers.items()}
    assert found == {name: (status, []) for name, (status, _) in answers.items()}


def test_a_file_that_is_no_picture_is_never_shown_as_a_page(engineer, world):
    photo = world.rows[Photo]
    for name in ("photo", "photo-thumbnail"):
        answer = engineer.get(reverse(name, args=[photo.pk]))
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
    for name in ("drawing-file", "api-drawings-file"):
        answer = engineer.get(reverse(name, args=[world.rows[Drawing].pk]))
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"].startswith("attachment; ")
        assert answer["X-Content-Type-Options"] == "nosniff"


PRODUCTION = """
import django
django.setup()
from django.core.management import call_command
from django.contrib.auth.models import User
from django.test import Client
call_command("migrate", verbosity=0)
call_command("collectstatic", verbosity=0)
User.objects.create_user("one", password="four invented words here")
site = Client(SERVER_NAME="ledger.example")
def told(name, answer):
    print(name, answer.status_code, answer.headers.get("Strict-Transport-Security"), sep="|")
site.defaults["HTTP_X_FORWARDED_PROTO"] = "https"
told("page", site.get("/sign-in/"))
form = {"username": "one", "password": "four invented words here"}
told("signed in", site.post("/sign-in/", form))
told("missing", site.get("/no/such/page"))
told("admin", site.get("/admin/"))
told("tablet", site.get("/field/worker.js"))
told("api", site.get("/api/v1/bridges/"))
told("static", site.get("/static/inspections/icon.svg"))
told("probe", site.get("/healthz"))
for name in ("sessionid", "csrftoken"):
    cookie = site.cookies[name]
    print(name, bool(cookie["secure"]), cookie["samesite"], bool(cookie["httponly"]), sep="|")
"""


def test_a_production_site_asks_for_https_everywhere_and_keeps_its_cookies_to_it(tmp_path):
    given = {
        "LEDGER_PRODUCTION": "1",
        "ALLOWED_HOSTS": "ledger.example",
        "SECRET_KEY": secrets.token_urlsafe(60),
        "LEDGER_DIR": str(tmp_path),
        "DATABASE_URL": f"sqlite:///{tmp_path / FILE}",
        "DJANGO_SETTINGS_MODULE": "inspections.project.settings",
    }
    file_with_tables(tmp_path)
    done = subprocess.run(
        [sys.executable, "-c", PRODUCTION], cwd=ROOT, env=os.environ | given,
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    *answers, session, token = [line.split("|") for line in done.stdout.splitlines()]
    assert len(answers) == 8
    assert {strict for *_, strict in answers} == {"max-age=31536000; includeSubDomains; preload"}
    assert session == ["sessionid", "True", "Lax", "True"]
    assert token == ["csrftoken", "True", "Lax", "False"]  # the tablet's script sends it


def test_text_is_packed_and_what_is_packed_by_itself_is_left(engineer, world):
    bridge = world.rows[Bridge].code
    for path in (f"/bridges/{bridge}/", "/api/v1/elements/"):
        plain = engineer.get(path)
        packed = engineer.get(path, headers={"accept-encoding": "gzip"})
        assert packed["Content-Encoding"] == "gzip"
        assert len(packed.content) < len(plain.content)
        if path.startswith("/api/"):
            assert gzip.decompress(packed.content) == plain.content
    picture = engineer.get(
        reverse("photo", args=[Photo.objects.first().uid]), headers={"accept-encoding": "gzip"}
    )
    assert "Content-Encoding" not in picture
