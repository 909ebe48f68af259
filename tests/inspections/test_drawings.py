"""Drawings of a bridge and its elements: added, said anew, withdrawn and read."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inspections.selectors.changes import changes, told
from inventory.models import Drawing
from inventory.services.drawings import add_drawing, withdraw_drawing
from inventory.units import System
from tests.api.calls import Caller, fields_of, is_problem
from tests.drawing_sheets import scan, sheets
from tests.inspections.desk_rows import words
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _files_in_a_folder_of_their_own(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def bearing():
    return make_element(make_unit(make_bridge("B-1")), code="P1-G1")


def sheet(content: bytes | None = None) -> SimpleUploadedFile:
    content = sheets() if content is None else content
    return SimpleUploadedFile("schedule.pdf", content, "application/pdf")


def said(**more) -> dict:
    return {"number": "S-12", "revision": "", "title": "Bearing schedule"} | more


def add(bridge, **more) -> Drawing:
    return add_drawing(**({"bridge": bridge, "sent": sheets()} | said() | more))


def new(client, **more):
    return client.post("/bridges/B-1/drawings/new/", said(file=sheet()) | more)


def test_an_engineer_adds_a_drawing_which_all_can_read(as_role, bearing):
    answer = new(as_role("engineer"), element=bearing.pk, dated="1998-05-31")

    assert answer.status_code == 302
    drawing = Drawing.objects.get()
    inspector = as_role("inspector")
    for address in ("/bridges/B-1/", f"/elements/{bearing.pk}/"):
        page = words(inspector.get(address))
        assert "S-12 – Bearing schedule" in page
        assert "1998-05-31 PDF, 2 sheets" in page
        assert "Add a drawing" not in page
    file = inspector.get(reverse("drawing-file", args=[drawing.pk]))
    assert file.getvalue().startswith(b"%PDF-")
    assert file["Content-Disposition"] == 'attachment; filename="b-1-s-12.pdf"'


def test_a_scan_is_shown_by_the_browser_itself(as_role, bearing):
    client = as_role("engineer")
    new(client, file=SimpleUploadedFile("s.tif", scan("TIFF", "1")))
    file = client.get(reverse("drawing-file", args=[Drawing.objects.get().pk]))
    assert file["Content-Type"] == "image/png"
    assert file["Content-Disposition"] == 'inline; filename="b-1-s-12.png"'


def test_a_drawing_of_one_element_is_not_on_the_page_of_another(as_role, bearing):
    other = make_element(bearing.unit, code="P1-G2")
    add(bearing.bridge, element=bearing)
    assert "S-12" not in words(as_role("manager").get(f"/elements/{other.pk}/"))


@pytest.mark.parametrize(
    ("wrong", "field", "told"),
    [
        ({"number": ""}, "number", "required"),
        ({"title": "x" * 161}, "title", "160"),
        ({"dated": "31.5.1998"}, "dated", "such as 1998-05-31"),
        ({"element": "12345678"}, "element", "valid choice"),
        ({"file": ""}, "file", "required"),
        ({"file": sheet(b"")}, "file", "empty"),
        ({"file": sheet(b"<html>")}, "file", "no PDF, PNG, JPEG, TIFF or WebP"),
    ],
)
def test_what_cannot_be_kept_is_told_at_its_field_and_what_was_typed_stays(
    as_role, bearing, wrong, field, told
):
    answer = new(as_role("engineer"), **{"title": "Setting table", **wrong})
    assert answer.status_code == 200
    assert told in str(answer.context["form"].errors[field])
    if "title" not in wrong:
        assert 'value="Setting table"' in answer.content.decode()
    assert not Drawing.objects.exists()


def test_a_revision_stands_once_and_a_later_one_marks_the_earlier(as_role, bearing):
    client = as_role("engineer")
    new(client)
    again = new(client)
    assert "is on record in this revision" in str(again.context["form"].errors["revision"])
    new(client, revision="A")
    page = words(client.get("/bridges/B-1/"))
    assert page.index("S-12 A Bearing schedule The whole") < page.index("Earlier revision")
    assert page.count("Earlier revision") == 1


def test_what_a_drawing_is_can_be_said_anew_and_who_did_it_is_told(client, bearing):
    drawing, engineer = add(bearing.bridge), make_user("engineer")
    client.force_login(engineer)
    address = reverse("drawing-change", args=[drawing.pk])
    assert 'value="Bearing schedule"' in client.get(address).content.decode()
    client.post(address, said(title="Joint schedule", element=bearing.pk))
    [change, made] = told(changes(kind="drawing"), System.SI)
    assert change.who == engineer
    assert {(each.label, each.before, each.after) for each in change.differences} == {
        ("Title", "Bearing schedule", "Joint schedule"),
        ("Element", "–", "P1-G1"),
    }
    assert (made.what, made.record) == ("made", "B-1 Bearing schedule")


def test_a_withdrawn_drawing_stays_readable_with_its_reason_and_frees_its_number(as_role, bearing):
    drawing, client = add(bearing.bridge), as_role("engineer")
    address = reverse("drawing-withdraw", args=[drawing.pk])
    assert "Say why" in words(client.post(address, {"reason": " "}))
    client.post(address, {"reason": "Of another bridge"})
    page = words(client.get("/bridges/B-1/"))
    assert "Of another bridge" in page
    assert client.get(reverse("drawing-file", args=[drawing.pk])).status_code == 200
    assert "stays on record as it is" in words(
        client.get(reverse("drawing-change", args=[drawing.pk]))
    )
    refused = client.post(reverse("drawing-change", args=[drawing.pk]), said(title="New"))
    assert "Add it anew" in str(refused.context["form"].errors)
    assert new(client).status_code == 302


def test_a_file_that_is_gone_is_not_found(as_role, bearing):
    drawing = add(bearing.bridge)
    drawing.file.storage.delete(drawing.file.name)
    file = as_role("manager").get(reverse("drawing-file", args=[drawing.pk]))
    assert file.status_code == 404


def send(caller, key="one-key-for-it", **more):
    body = said(bridge="B-1", file=sheet()) | more
    headers = caller.headers | {"Idempotency-Key": key}
    return caller.client.post("/api/v1/drawings/", body, headers=headers)


def test_the_api_takes_a_drawing_once_and_gives_it_back(bearing):
    caller = Caller(make_user("engineer"))
    made = send(caller, element=bearing.pk, dated="1998-05-31")
    assert made.status_code == 201, made.content
    one = made.json()
    assert (one["format"], one["sheets"], one["element_code"]) == ("pdf", 2, "P1-G1")
    again = send(caller, element=bearing.pk, dated="1998-05-31")
    assert again["Idempotency-Replayed"] == "true"
    is_problem(send(caller, file=sheet(sheets(3)), element=bearing.pk, dated="1998-05-31"), 422)
    assert Drawing.objects.count() == 1
    file = caller.client.get(one["file"], headers=caller.headers)
    assert file.getvalue().startswith(b"%PDF-")
    assert caller.get("drawings/", bridge="B-1", withdrawn="false").json()["count"] == 1


def test_the_api_says_what_is_wrong_and_what_a_drawing_is_now(bearing):
    caller = Caller(make_user("engineer"))
    assert fields_of(is_problem(send(caller, file=sheet(b"<html>")), 400)) == ["file"]
    assert fields_of(is_problem(caller.post("drawings/", said(bridge="B-1")), 400)) == ["file"]
    elsewhere = make_element(make_unit(make_bridge("B-2")))
    wrong = send(caller, key="another-key", element=elsewhere.pk)
    assert fields_of(is_problem(wrong, 400)) == ["element"]
    drawing = add(bearing.bridge)
    changed = caller.post(f"drawings/{drawing.pk}/change/", said(title="Joint schedule"))
    assert changed.json()["title"] == "Joint schedule"
    ended = caller.post(f"drawings/{drawing.pk}/withdraw/", {"reason": "Of another bridge"})
    assert ended.json()["withdrawn_why"] == "Of another bridge"
    is_problem(caller.post(f"drawings/{drawing.pk}/withdraw/", {"reason": "Again"}), 409)
    assert caller.get("drawings/", withdrawn="true").json()["count"] == 1


def test_an_inspector_adds_none(bearing):
    is_problem(send(Caller(make_user("inspector"))), 403)


def test_many_drawings_take_no_more_queries(as_role, bearing, django_assert_max_num_queries):
    client = as_role("engineer")
    for number in range(12):
        made = add(bearing.bridge, element=bearing, number=f"S-{number}")
        if number % 2:
            withdraw_drawing(drawing=made, reason="Of another bridge")
    with django_assert_max_num_queries(30):
        client.get("/bridges/B-1/")
    with django_assert_max_num_queries(30):
        client.get(f"/elements/{bearing.pk}/")
