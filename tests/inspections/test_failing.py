"""What is told while database or disk take nothing: come back in a while, and where to look."""

import errno

import pytest
from django.db import InterfaceError, OperationalError, connection
from django.urls import reverse

from inspections.accounts.session_store import SEEN
from tests.make import make_user

pytestmark = pytest.mark.django_db
AWAY = [OperationalError("db.internal.example"), InterfaceError("gone"), OSError(errno.ENOSPC, "x")]


@pytest.fixture
def site(client):
    client.force_login(make_user("engineer"))
    client.raise_request_exception = False
    return client


def while_failing(error: Exception, ask):
    def fails(*_args):
        raise error

    with connection.execute_wrapper(fails):
        return ask()


@pytest.mark.parametrize("error", AWAY, ids=repr)
def test_a_page_says_that_nothing_was_saved_and_what_to_do(site, error):
    answer = while_failing(error, lambda: site.post(reverse("thresholds"), {}))
    told = answer.content.decode()
    assert (answer.status_code, answer["Retry-After"]) == (503, "30")
    assert "Nothing of your last step was saved" in told
    assert "send it again" in told
    assert "internal" not in told
    assert "no-store" in answer["Cache-Control"]


def test_a_session_that_cannot_be_written_is_not_told_as_one_that_was_ended(site):
    def fails(execute, sql, *rest):
        if "inspections_browsersession" in sql and sql.startswith("UPDATE"):
            raise OperationalError("gone")
        return execute(sql, *rest)

    session = site.session
    session.pop(SEEN, None)  # so that this request notes that the session is in use
    session.save()
    with connection.execute_wrapper(fails):
        answer = site.get(reverse("bridges"))
    assert answer.status_code == 503


@pytest.mark.parametrize("error", AWAY, ids=repr)
@pytest.mark.parametrize("path", ["/api/v1/bridges/", "/field/records", "/field/inspections.json"])
def test_a_program_and_a_tablet_are_told_so_in_their_own_terms(site, error, path):
    call = site.post if path == "/field/records" else site.get
    answer = while_failing(error, lambda: call(path, content_type="application/json"))
    assert answer.status_code == 503
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["title"] == "Busy"
    assert b"internal" not in answer.content


def test_a_fault_of_our_own_is_not_put_down_to_the_database(site):
    answer = while_failing(RuntimeError("wrong"), lambda: site.get("/bridges/"))
    assert answer.status_code == 500
    assert b"wrong" not in answer.content.replace(b"went wrong", b"")
