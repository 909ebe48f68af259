"""What comes in at once, on real server processes and a real database: each thing once."""

from __future__ import annotations

import datetime as dt
import uuid

import pytest

from tests.served.rows import PASSWORD
from tests.served.running import Running, running
from tests.served.sending import at_once, outcomes, post, reading, record, send_photo
from tests.soak.tablet import Tablet
from tests.soak.wire import Wire

ROUNDS = 5


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    with running(tmp_path_factory.mktemp("site"), workers=4) as found:
        for name in ("one", "other"):
            found.ledger.call("tests.served.rows:inspector", name)
        yield found


@pytest.fixture
def open_visit(site):
    return site.ledger.call("tests.served.rows:visit", f"T-{uuid.uuid4().hex[:6]}")


def tablet_of(site: Running, user: str, seed: int) -> Tablet:
    wire = Wire(site.server.port, faults=0, seed=seed)
    wire.sign_in(user, PASSWORD)
    return Tablet(wire, seed)


@pytest.fixture(scope="module")
def tablets(site) -> list[Tablet]:
    return [tablet_of(site, "one", 1), tablet_of(site, "other", 2)]


def test_one_record_that_comes_six_times_at_once_is_taken_once(site, tablets, open_visit):
    for round_ in range(ROUNDS):
        sent = [reading(open_visit, 5.0 + round_), record(open_visit, "note", text="Rust")]
        answers = at_once(*[lambda sent=sent: post(tablets[0], *sent)] * 6)
        assert outcomes(answers) == {"taken": 2, "already": 10}
    found = site.ledger.call("tests.served.rows:counts", open_visit["id"])
    assert (found["readings"], found["notes"], found["judged"]) == (ROUNDS, ROUNDS, ROUNDS)


def test_one_photo_that_comes_six_times_at_once_is_kept_once(site, tablets, open_visit):
    files = site.ledger.call("tests.served.rows:picture_files")
    tablet = tablets[0]
    visit = {"id": open_visit["id"], "places": [(open_visit["bearings"][0], "", "", "")]}
    for _ in range(ROUNDS):
        tablet.fill_in(visit, readings=0, photos=1)
        photo = tablet.waiting.pop()
        answers = at_once(*[lambda photo=photo: send_photo(tablet, photo)] * 6)
        assert outcomes(answers) == {"taken": 1, "already": 5}
    assert site.ledger.call("tests.served.rows:counts", open_visit["id"])["photos"] == ROUNDS
    assert site.ledger.call("tests.served.rows:picture_files") == files + 2 * ROUNDS


def test_two_tablets_at_one_point_and_time_are_both_kept(site, tablets, open_visit):
    now = dt.datetime.now(dt.UTC).isoformat()
    sent = [[reading(open_visit, 10.0 * index + n, now) for n in range(1, 6)] for index in (1, 2)]
    answers = at_once(*(
        lambda tablet=tablet, rows=rows: post(tablet, *rows)
        for tablet, rows in zip(tablets, sent, strict=True)
    ))  # fmt: skip
    assert outcomes(answers) == {"taken": 10}
    rows = site.ledger.call("tests.served.rows:readings", open_visit["id"])
    assert {uid: value for uid, value, _ in rows} == {
        each["uid"]: each["payload"]["value"] for each in (*sent[0], *sent[1])
    }
    assert sorted(repeat for *_, repeat in rows) == list(range(1, 11))


@pytest.mark.parametrize("round_", range(ROUNDS))
def test_a_signature_covers_all_that_was_taken_and_the_rest_is_refused(
    site, tablets, open_visit, round_
):
    one, other = tablets
    reasons = [
        record(open_visit, "left_out", element=each, reason="covered", remark="")
        for each in open_visit["elements"]
    ]
    assert outcomes([post(one, reading(open_visit, 5.0), *reasons)])["taken"] == 3
    signed = record(open_visit, "sign_off", role="Lead", statement="All is complete.", count=3)
    visit = {"id": open_visit["id"], "places": [(open_visit["bearings"][0], "", "", "")]}
    other.fill_in(visit, readings=0, photos=4)
    photos = [other.waiting.pop() for _ in range(4)]

    signature, *answers = at_once(
        lambda: post(one, signed),
        lambda: post(one, *(reading(open_visit, 6.0 + n) for n in range(8))),
        lambda: post(other, *(record(open_visit, "note", text=f"{n}") for n in range(8))),
        *(lambda photo=photo: send_photo(other, photo) for photo in photos),
    )

    assert outcomes([signature]) == {"taken": 1}
    found = outcomes(answers)
    receipts = [each for answer in answers for each in answer.json["receipts"]]
    assert {each["field"] for each in receipts if each["outcome"] == "refused"} <= {"inspection"}
    came = site.ledger.call("tests.served.rows:came", open_visit["id"])
    assert len(came) == 4 + found["taken"]
    assert {each["uid"] for each in receipts if each["outcome"] == "taken"} <= set(came)
    assert site.ledger.call("tests.served.rows:signature_covers_all", open_visit["id"])


def test_many_batches_on_one_bridge_at_once_leave_every_reading_judged(site, tablets, open_visit):
    batches = [[reading(open_visit, 1.0 + 5 * n + m) for m in range(5)] for n in range(8)]
    answers = at_once(*(lambda rows=rows: post(tablets[0], *rows) for rows in batches))
    assert outcomes(answers) == {"taken": 40}
    found = site.ledger.call("tests.served.rows:counts", open_visit["id"])
    assert (found["readings"], found["judged"]) == (40, 40)
