"""The description of the API: complete, true, and on a page."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
import schemathesis
from django.core.management import call_command
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import CHECKS

from tests.api.calls import BUILT, RESOURCES, Caller, is_problem, one_more, one_of_each
from tests.make import make_user

pytestmark = pytest.mark.django_db
FEW = settings(
    max_examples=6,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def test_the_description_is_complete(tmp_path):
    target = tmp_path / "schema.yml"
    call_command("spectacular", validate=True, fail_on_warn=True, file=f"{target}")
    assert target.stat().st_size


def test_it_is_given_to_whoever_is_signed_in(as_role, client):
    is_problem(client.get("/api/schema/"), 401)
    schema = as_role("manager").get("/api/schema/").json()
    assert {f"/api/v1/{name}/" for name in RESOURCES} <= {*schema["paths"]}


def test_its_page_needs_no_inline_script_or_style(as_role, client):
    assert client.get("/api/docs/").status_code == 302
    page = as_role("inspector").get("/api/docs/").content.decode()
    assert "<style" not in page
    assert all("src=" in each.split(">")[0] for each in page.split("<script")[1:])


@pytest.fixture
def _unthrottled(settings):
    settings.REST_FRAMEWORK = settings.REST_FRAMEWORK | {
        "DEFAULT_THROTTLE_RATES": {"reads": None, "writes": None}
    }


@contextmanager
def connected() -> Iterator[None]:
    """Keep the test's own connection, which the end of a request would close."""
    signals = (request_started, request_finished)
    for each in signals:
        each.disconnect(close_old_connections)
    try:
        yield
    finally:
        for each in signals:
            each.connect(close_old_connections)


@pytest.mark.usefixtures("_unthrottled")
def test_no_request_breaks_the_server_and_each_answer_is_as_described():
    one_of_each()
    for resource in BUILT:
        one_more(resource)
    caller = Caller(make_user("engineer"))
    schema = schemathesis.openapi.from_dict(
        caller.client.get("/api/schema/", headers=caller.headers).json()
    )
    schema.app = get_wsgi_application()
    wanted = [
        CHECKS.get_one(name)
        for name in (
            "not_a_server_error",
            "status_code_conformance",
            "content_type_conformance",
            "response_schema_conformance",
        )
    ]
    tried = 0
    for found in schema.get_all_operations():
        operation = found.ok()

        @FEW
        @given(case=operation.as_strategy())
        def holds(case):
            # Without a network in between, nobody unpacks what was packed for one.
            case.headers.update(caller.headers | {"Accept-Encoding": "identity"})
            case.call_and_validate(checks=wanted)

        with connected():
            holds()
        tried += 1
    assert tried >= 2 * len(RESOURCES) + 4
