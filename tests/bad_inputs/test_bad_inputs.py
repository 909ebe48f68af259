"""Bad input everywhere: nothing breaks, nothing is written in part, each refusal says why."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import uuid
from collections.abc import Callable
from typing import Any

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st

from inspections.exchange.kinds import KINDS
from inspections.models import HeldRole
from inspections.roles import Role
from inspections.who_may import ACTIONS
from tests.bad_inputs import EXAMPLES, VARIABLE
from tests.bad_inputs.answers import tried
from tests.bad_inputs.forms import forms_of
from tests.bad_inputs.values import broken_bytes, json_values, texts
from tests.drawing_sheets import acting, changed, scan, sheets
from tests.inspections.test_import_pages import TOKEN
from tests.inspections.test_tablet_photos import picture
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
from tests.rights.world import World, addresses, keep_files, make_world
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db
SHARES = {
    "forms": 0.4, "queries": 0.1, "api": 0.2, "files": 0.14, "records": 0.1, "photos": 0.04,
    "drawings": 0.02,
}  # fmt: skip
"""Of all examples, the part that each way in gets: by how much there is to get wrong."""


def bad(way: str) -> Callable:
    """Return settings for one way in: the same examples each time, others in the long run."""
    return settings(
        max_examples=max(1, round(SHARES[way] * EXAMPLES)),
        derandomize=VARIABLE not in os.environ,
        database=None,
        report_multiple_bugs=False,
        suppress_health_check=list(HealthCheck),
    )


@pytest.fixture(autouse=True)
def _site_of_its_own(settings, tmp_path):
    settings.MEDIA_ROOT = settings.LOCAL_DIR = tmp_path
    settings.REST_FRAMEWORK = settings.REST_FRAMEWORK | {
        "DEFAULT_THROTTLE_RATES": {"reads": None, "writes": None}
    }


@pytest.fixture
def world() -> World:
    """A district with a row of every table."""
    made = make_world("HERE")
    keep_files(made, b"a picture")
    return made


@pytest.fixture
def client(client, world):
    """Somebody who holds every role, for whom nothing is shut."""
    user = make_user(Role.ENGINEER.value)
    for role in Role:
        HeldRole.objects.get_or_create(user=user, role=role.value, district=None)
    world.given_to(user)
    client.force_login(user)
    client.raise_request_exception = False
    return client


def hold(ask: Callable[[], HttpResponse], told: Any) -> HttpResponse:
    """Ask; fail where the answer is wrong, saying what was sent."""
    answer, wrong = tried(ask)
    note(f"{told}")
    assert not wrong, f"{wrong} to {told}"
    return answer


def spoilt(draw: Callable, values: dict[str, Any], bad_values: st.SearchStrategy) -> dict[str, Any]:
    """Return some values with a few of them changed, left out, or never asked for."""
    changed = dict(values)
    for name in draw(st.lists(st.sampled_from(sorted(values)), min_size=1, max_size=3)):
        if draw(st.integers(0, 9)):
            changed[name] = draw(bad_values)
        else:
            changed.pop(name, None)
    return changed


def test_forms(client, world):
    forms = [each for each in forms_of(client, world) if each.method == "POST"]
    assert len(forms) >= 50

    @bad("forms")
    @given(st.data())
    def holds(data):
        form = data.draw(st.sampled_from(forms))
        client.cookies.pop("messages", None)  # what an earlier page would still have told
        sent = spoilt(data.draw, form.values, texts) | {"csrfmiddlewaretoken": "as a browser does"}
        hold(lambda: client.post(form.path, sent), (form.path, sent))

    holds()


def test_queries(client, world):
    known = {each.path: each.values for each in forms_of(client, world) if each.method == "GET"}
    schema = client.get("/api/schema/").json()
    for path, calls in schema["paths"].items():
        names = [each["name"] for each in calls.get("get", {}).get("parameters", ())
                 if each["in"] == "query"]  # fmt: skip
        if names and "{" not in path:
            known[path] = dict.fromkeys(names, "")
    assert len(known) > 30

    @bad("queries")
    @given(st.data())
    def holds(data):
        path = data.draw(st.sampled_from(sorted(known)))
        sent = spoilt(data.draw, known[path], texts)
        hold(lambda: client.get(path, sent), (path, sent))

    holds()


def test_api(client, world):
    schema = client.get("/api/schema/").json()
    parts = schema["components"]["schemas"]
    calls = []
    known = addresses()
    for action in ACTIONS:
        for method, name in action.addresses:
            if method == "POST" and "api/v1" in known[name].route:
                path = known[name].path(world)
                calls.append((path, _body(schema, parts, path)))
    assert len(calls) > 20
    client.defaults["HTTP_ACCEPT"] = "application/json"

    @bad("api")
    @given(st.data())
    def holds(data):
        path, names = data.draw(st.sampled_from(calls))
        keys = st.sampled_from(names) if names else texts
        sent = data.draw(st.dictionaries(keys, json_values, max_size=6) | json_values)
        text = json.dumps(sent)
        key = {"HTTP_IDEMPOTENCY_KEY": f"{uuid.uuid4()}"}
        hold(lambda: client.post(path, text, "application/json", **key), (path, text))

    holds()


def _body(schema: dict, parts: dict, path: str) -> list[str]:
    """Return the names of what a call takes, by the description of the API."""
    for route, calls in schema["paths"].items():
        pieces, given_pieces = route.split("/"), path.split("/")
        if (
            len(pieces) == len(given_pieces)
            and all(
                one == other or one.startswith("{")
                for one, other in zip(pieces, given_pieces, strict=True)
            )
            and "requestBody" in calls.get("post", {})
        ):
            [body, *_] = calls["post"]["requestBody"]["content"].values()
            part = parts.get(body["schema"].get("$ref", "").rpartition("/")[2], body["schema"])
            return sorted(part.get("properties", ()))
    return []


def test_files(client, world):
    samples = {
        name: client.get(reverse("import-template", args=[name])).getvalue()
        for name in sorted(KINDS)
    }

    @bad("files")
    @given(st.data())
    def holds(data):
        name = data.draw(st.sampled_from(sorted(samples)))
        content = samples[name]
        if KINDS[name].suffix == "csv" and data.draw(st.booleans()):
            content = _with_spoilt_cells(data.draw, content, as_workbook=data.draw(st.booleans()))
        if data.draw(st.booleans()):
            content = data.draw(broken_bytes(content))

        def ask() -> HttpResponse:
            sent = {"file": SimpleUploadedFile(f"file.{KINDS[name].suffix}", content)}
            checked = client.post(reverse(f"import-{name}"), sent | {"state": "open"})
            token = TOKEN.search(checked.content.decode(errors="replace"))
            if checked.status_code != 200 or token is None:
                return checked
            return client.post(reverse(f"import-{name}"), {"confirm": token[1]})

        hold(ask, (name, content))

    holds()


def _with_spoilt_cells(draw: Callable, content: bytes, *, as_workbook: bool) -> bytes:
    table = list(csv.reader(io.StringIO(content.decode())))
    for _ in range(draw(st.integers(1, 3))):
        row = draw(st.sampled_from(table))
        if row:
            row[draw(st.integers(0, len(row) - 1))] = draw(texts)
    if as_workbook:
        book, out = openpyxl.Workbook(), io.BytesIO()
        for row in table:
            book.active.append(
                [openpyxl.cell.cell.ILLEGAL_CHARACTERS_RE.sub("", each) for each in row]
            )
        book.save(out)
        return out.getvalue()
    text = io.StringIO()
    csv.writer(text).writerows(table)
    return text.getvalue().encode()


@pytest.fixture
def visit():
    """An open inspection of today, on a bridge with a bearing."""
    unit = make_unit(make_bridge())
    make_element(unit, "pot", code="B1", design={"movement_ahead_mm": 60, "movement_back_mm": 60})
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def tablet() -> Tablet:
    """An inspector's tablet."""
    made = Tablet(make_user("inspector"))
    made.client.raise_request_exception = False
    return made


def test_records(tablet, visit):
    bearing = visit.bridge.elements.get()
    now = tablet.now.isoformat()
    states = {"cs1": 1, "cs2": 0, "cs3": 0, "cs4": 0, "total": 1}
    good = [
        tablet.reading(visit, bearing, 12.0),
        *(
            tablet.record(visit, kind, payload)
            for kind, payload in (
                ("temperature", {"unit": None, "place": "girder_web", "sunlit": False,
                                 "typed": "50 F", "temperature_c": 10.0, "taken_at": now}),
                ("condition", {"element": bearing.pk, "defect": 1000, "remark": "", **states}),
                ("note", {"element": None, "text": "Ice on the bench"}),
                ("critical", {"element": bearing.pk, "what": "Plate sheared off",
                              "done": "Lane closed", "told": "Engineer on duty",
                              "found_at": now}),
                ("left_out", {"element": bearing.pk, "reason": "unsafe", "remark": ""}),
            )
        ),
    ]  # fmt: skip

    @bad("records")
    @given(st.data())
    def holds(data):
        record = data.draw(st.sampled_from(good))
        sent = record | {"payload": spoilt(data.draw, record["payload"], json_values | texts)}
        if not data.draw(st.integers(0, 4)):
            sent = spoilt(data.draw, sent, json_values | texts)
        more = {} if data.draw(st.integers(0, 9)) else {"records": data.draw(json_values)}
        hold(lambda: tablet.post(sent, **more), (sent, more))

    holds()


def test_photos(tablet, visit):
    whole = [picture(60, 40), picture(60, 40, "PNG"), picture(60, 40, "WEBP")]
    now = tablet.now.isoformat()

    @bad("photos")
    @given(st.data())
    def holds(data):
        content = data.draw(broken_bytes(data.draw(st.sampled_from(whole))))
        fields = {
            "inspection": visit.pk, "element": visit.bridge.elements.get().pk, "caption": "Left",
            "taken_at": now, "made_at": now, "clock_now": now, "tablet": tablet.name,
            "sha256": hashlib.sha256(content).hexdigest(),
        }  # fmt: skip
        if data.draw(st.booleans()):
            fields = spoilt(data.draw, fields, texts)

        def ask() -> HttpResponse:
            image = SimpleUploadedFile("p.jpg", content, "image/jpeg")
            return tablet.client.post(f"/field/photos/{uuid.uuid4()}", fields | {"image": image})

        hold(ask, (fields, content))

    holds()


def test_drawings(client, visit):
    address = reverse("drawing-new", args=[visit.bridge.code])
    whole = [sheets(), changed(sheets(), acting), scan("PNG"), scan("TIFF", "1")]
    said = {"number": "S-1", "revision": "A", "title": "Bearings", "dated": "", "element": ""}

    @bad("drawings")
    @given(st.data())
    def holds(data):
        content = data.draw(broken_bytes(data.draw(st.sampled_from(whole))))
        fields = spoilt(data.draw, said, texts) if data.draw(st.booleans()) else said

        def ask() -> HttpResponse:
            return client.post(address, fields | {"file": SimpleUploadedFile("s.pdf", content)})

        hold(ask, (fields, content))

    holds()
