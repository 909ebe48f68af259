"""Lists as CSV that are too long to be made whole before they go out."""

import gc

import pytest
from django.db import DatabaseError

from inspections import paging, tables
from inspections.models import Flag
from inspections.selectors import flags
from inventory.models import Bridge, District
from tests.inspections.desk_rows import hand_in, one_of_each
from tests.inspections.plan_rows import due_bridge
from tests.make import make_bridge, make_unit, make_user

pytestmark = pytest.mark.django_db

FILES = (
    "/queue.csv?show=all&sort=element", "/elements.csv?verdict=all&sort=-use",
    "/bridges.csv?sort=-elements", "/inspections.csv", "/plan/due.csv", "/changes.csv",
)  # fmt: skip


@pytest.fixture
def pieces(monkeypatch):
    """Let files go out row by row, as those do that are some hundred times as long."""
    monkeypatch.setattr(paging, "ROWS_A_PART", 2)
    monkeypatch.setattr(tables, "_BLOCK", 1)


@pytest.fixture
def rows():
    unit = one_of_each()
    hand_in(unit, {f"J-{number}": 20.0 + number for number in range(5)}, kind="in_depth")
    due_bridge("P-1", 20)
    return unit


def test_a_file_in_pieces_is_the_same_to_the_byte_as_one_that_goes_out_whole(
    as_role, rows, monkeypatch
):
    client = as_role("engineer")
    for address in FILES:
        with monkeypatch.context() as patched:
            patched.setattr(tables, "_BLOCK", 2**30)
            whole = client.get(address)
            patched.setattr(paging, "ROWS_A_PART", 2)
            patched.setattr(tables, "_BLOCK", 1)
            streamed = client.get(address)
        told = streamed.getvalue()
        assert told == whole.getvalue()
        assert told.count(b"\n") > 2
        assert whole["Content-Length"] == f"{len(told)}"
        assert "Content-Length" not in streamed
        for name in ("Content-Type", "Content-Disposition"):
            assert streamed[name] == whole[name]


def test_what_goes_out_late_is_still_of_the_readers_districts_alone(client, pieces):
    here, there = (District.objects.create(code=code, name=code) for code in ("H", "E"))
    for number in range(6):
        bridge = make_bridge(f"X-{number}")
        hand_in(make_unit(bridge), {f"J-{number}": 20.0})
        Bridge.objects.filter(pk=bridge.pk).update(district=there if number % 2 else here)
    client.force_login(make_user("engineer", here))
    for address in ("/bridges.csv?sort=code", "/elements.csv?verdict=all&sort=bridge"):
        told = client.get(address).getvalue().decode()
        assert [f"X-{number}" in told for number in range(6)] == [True, False] * 3


def test_the_words_of_a_file_are_english_to_its_end_for_a_reader_of_german(as_role, rows, pieces):
    client = as_role("engineer")
    english = client.get("/elements.csv?verdict=all").getvalue()
    client.post("/language/", {"language": "de"})
    assert 'lang="de"' in client.get("/elements/").content.decode()
    assert client.get("/elements.csv?verdict=all").getvalue() == english


def test_a_row_that_goes_while_the_file_is_read_is_left_out_and_none_comes_twice(as_role, pieces):
    for number in range(8):
        make_bridge(f"X-{number}", {})
    answer = as_role("engineer").get("/bridges.csv?sort=code")
    told = iter(answer)
    begun = [next(told) for _ in range(3)]
    Bridge.objects.filter(code__in=["X-5", "X-0"]).delete()
    Bridge.objects.filter(code="X-1").update(code="X-9")
    lines = b"".join([*begun, *told]).decode().splitlines()[1:]
    assert [line.partition(",")[0] for line in lines] == [f"X-{n}" for n in (0, 1, 2, 3, 4, 6, 7)]


def test_a_fault_before_the_file_begins_is_no_file(as_role, rows, monkeypatch):
    def fails(_flags):
        raise DatabaseError("gone")

    monkeypatch.setattr(flags, "last_decisions", fails)
    client = as_role("engineer")
    client.raise_request_exception = False
    assert client.get("/queue.csv?show=all").status_code == 500


def test_a_fault_in_the_midst_cuts_the_file_instead_of_ending_it(
    as_role, rows, pieces, monkeypatch
):
    answer = as_role("engineer").get("/queue.csv?show=all")
    assert answer.status_code == 200
    assert Flag.objects.count() > 4

    def fails(_flags):
        raise DatabaseError("gone")

    monkeypatch.setattr(flags, "last_decisions", fails)
    told = iter(answer)
    assert next(told).startswith(b"score")
    with pytest.raises(DatabaseError):
        list(told)


def test_a_reader_who_leaves_ends_the_file(as_role, rows, pieces):
    answer = as_role("engineer").get("/queue.csv?show=all")
    next(iter(answer))
    answer.close()
    gc.collect()
    assert list(answer) == []
