"""Nothing is lost on the way: every fault of network, server, session and clock, and its outcome.

The server is the real one; a route stands in the way only where a test needs a fault.
"""

import datetime as dt
import itertools
from collections import Counter

import pytest
from django.utils import timezone

from inspections.models import FieldNote, Inspection, Photo, Reading, SignOff, TabletRecord
from tests.browser.tablet_page import PHOTOS, RECORDS, tablet_of
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def tablet(chromium, live_server, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    with tablet_of(chromium, live_server.url, make_user("inspector")) as opened:
        yield opened


@pytest.fixture
def inspection() -> Inspection:
    """An open inspection of today on a bridge with one bearing."""
    unit = make_unit(make_bridge())
    make_element(unit, "pot", code="B1")
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def bearing(inspection):
    return inspection.bridge.elements.get()


def uids(records: list[dict]) -> list[str]:
    return [each["uid"] for each in records]


def arrived() -> set[str]:
    return {str(uid) for uid in TabletRecord.objects.values_list("uid", flat=True)}


def test_records_and_photos_arrive_and_leave_the_list_by_their_receipts(
    tablet, inspection, bearing
):
    reading = tablet.reading(inspection, bearing, 12.5)
    note = tablet.note(inspection, "Rust on the anchor")
    photo = tablet.photo(inspection, bearing)

    outcome = tablet.flush()

    assert outcome == {"sent": 3, "refused": 0, "left": 0, "why": "", "words": ""}
    assert str(Reading.objects.get().record_id) == reading["uid"]
    assert FieldNote.objects.get().text == "Rust on the anchor"
    kept = Photo.objects.get()
    assert (str(kept.uid), kept.caption, kept.width_px) == (photo["uid"], "Left face", 640)
    assert uids(tablet.records("sent")) == uids([reading, note, photo])
    assert tablet.run("return outbox.pictureOf(me, given);", photo["uid"], modules="outbox") is None


@pytest.mark.parametrize(("answer_ms", "batches"), [(0, [200, 60]), (5_500, [200, 50, 10])])
def test_on_a_good_line_the_batches_are_large(tablet, inspection, answer_ms, batches):
    tablet.page.clock.install()
    tablet.page.route(
        RECORDS, lambda route: (tablet.page.clock.run_for(answer_ms), route.continue_())
    )
    tablet.run(
        """
        for (let index = 0; index < 260; index += 1) {
          const payload = { element: null, text: `${index}` };
          await outbox.enter(me, { inspection: given, kind: "note", payload });
        }
        """,
        inspection.pk,
        modules="outbox",
    )
    assert tablet.flush()["sent"] == 260
    assert [len(batch) for batch in tablet.posted()] == batches
    assert FieldNote.objects.count() == 260


def test_what_the_line_broke_over_goes_again_in_smaller_parts(tablet, inspection):
    tablet.run(
        """
        for (let index = 0; index < 120; index += 1) {
          const payload = { element: null, text: `${index}` };
          await outbox.enter(me, { inspection: given, kind: "note", payload });
        }
        """,
        inspection.pk,
        modules="outbox",
    )
    tablet.page.route(RECORDS, lambda route: route.abort(), times=1)
    assert tablet.flush()["left"] == 120
    assert tablet.flush()["sent"] == 120
    assert [len(batch) for batch in tablet.posted()][-3:] == [50, 50, 20]
    assert FieldNote.objects.count() == 120


def test_three_flushes_at_once_send_everything_exactly_once(tablet, inspection, bearing):
    records = [tablet.note(inspection, f"{index}") for index in range(4)]
    records += [tablet.photo(inspection, bearing, 320 + index) for index in range(2)]
    # Slow answers, so that the three overlap for sure.
    tablet.page.route(RECORDS, lambda route: (tablet.page.wait_for_timeout(200), route.continue_()))
    outcomes = tablet.run(
        "return Promise.all([send.flush(me), send.flush(me), send.flush(me)]);", modules="send"
    )
    assert sorted(each["sent"] for each in outcomes) == [0, 0, 6]
    posted = Counter(uid for batch in tablet.posted() for uid in batch)
    assert posted == Counter(uids(records))


def html(route):
    route.fulfill(status=200, content_type="text/html", body="<h1>Welcome to the hotel</h1>")


def to_sign_in(route):
    route.fulfill(status=302, headers={"Location": "/sign-in/?next=/field/records"})


def half(route):
    route.fulfill(status=200, content_type="application/json", body='{"receipts": [{"uid": "')


def other_receipts(route):
    receipt = {"uid": "00000000-0000-4000-8000-000000000000", "outcome": "taken"}
    route.fulfill(status=200, json={"receipts": [receipt]})


def no_receipts(route):
    route.fulfill(status=200, json={"ok": True})


def unknown_outcome(route):
    sent = route.request.post_data_json["records"]
    receipts = [{"uid": each["uid"], "outcome": "maybe"} for each in sent]
    route.fulfill(status=200, json={"receipts": receipts})


FAULTS = {
    "the network drops": (lambda route: route.abort("internetdisconnected"), "offline"),
    "the server fails": (lambda route: route.fulfill(status=500, body="oops"), "failed"),
    "the server is away": (lambda route: route.fulfill(status=502, body="oops"), "away"),
    "the server is busy": (lambda route: route.fulfill(status=503, body="oops"), "away"),
    "it is forbidden": (lambda route: route.fulfill(status=403, body="CSRF"), "sign-in"),
    "it is not signed in": (lambda route: route.fulfill(status=401, json={}), "sign-in"),
    "a redirect to the sign-in page": (to_sign_in, "sign-in"),
    "the batch is too large": (lambda route: route.fulfill(status=413, body=""), "rejected"),
    "somebody else's page": (html, "garbled"),
    "half an answer": (half, "offline"),
    "an answer without receipts": (no_receipts, "garbled"),
    "receipts of other records": (other_receipts, ""),
    "receipts with an unknown outcome": (unknown_outcome, ""),
}


@pytest.mark.parametrize(("fault", "why"), FAULTS.values(), ids=FAULTS.keys())
def test_whatever_goes_wrong_with_the_answer_the_records_stay_and_go_again(
    tablet, inspection, fault, why
):
    records = [tablet.note(inspection, "one"), tablet.note(inspection, "two")]
    tablet.page.route(RECORDS, fault)
    outcome = tablet.flush()
    assert (outcome["sent"], outcome["left"], outcome["why"]) == (0, 2, why)
    assert uids(tablet.records("waiting")) == uids(records)
    assert bool(tablet.told("sign-in")) == (why == "sign-in")
    assert tablet.told("sending")[-1] == {"busy": False, "outcome": outcome}
    assert not arrived()

    tablet.page.unroute(RECORDS)
    tablet.page.close()  # and the app is closed and opened meanwhile
    tablet.open()
    assert tablet.flush()["left"] == 0
    assert arrived() == set(uids(records))


@pytest.mark.parametrize("answer", ["lost", "half"])
def test_an_answer_that_is_lost_is_asked_for_again_and_the_record_is_one(
    tablet, inspection, answer
):
    def take_and_lose(route):
        response = route.fetch()
        if answer == "lost":
            route.abort("connectionreset")
        else:
            route.fulfill(response=response, body=response.text()[:20])

    note = tablet.note(inspection, "Rust on the anchor")
    tablet.page.route(RECORDS, take_and_lose)
    assert tablet.flush()["why"] == "offline"
    assert arrived() == {note["uid"]}

    # Nobody can tell now whether it arrived, so nobody may change it.
    for script in ("corrections.change(me, given, {})", "corrections.drop(me, given)"):
        assert not tablet.run(f"return {script};", note["uid"], modules="corrections")
    words = tablet.run(
        "return corrections.whyFixed((await outbox.recordsOf(me))[0]);",
        modules="corrections outbox",
    )
    assert words == "It may have arrived: wait until the server has answered."

    tablet.page.unroute(RECORDS)
    assert tablet.flush()["sent"] == 1
    assert [len(batch) for batch in tablet.posted()] == [1, 1]
    assert FieldNote.objects.count() == 1


def test_a_photo_that_breaks_off_half_way_goes_again_whole(tablet, inspection, bearing):
    photo = tablet.photo(inspection, bearing)
    tablet.page.route(PHOTOS, lambda route: route.abort("connectionreset"))
    assert tablet.flush()["why"] == "offline"
    assert tablet.counts() == {"waiting": 1, "photos": 1, "refused": 0, "others": 0}
    tablet.page.unroute(PHOTOS)
    assert tablet.flush()["sent"] == 1
    assert str(Photo.objects.get().uid) == photo["uid"]


def test_a_photo_taken_twice_because_its_answer_was_lost_is_one(tablet, inspection, bearing):
    tablet.photo(inspection, bearing)
    tablet.page.route(PHOTOS, lambda route: (route.fetch(), route.abort("connectionreset")))
    assert tablet.flush()["why"] == "offline"
    tablet.page.unroute(PHOTOS)
    assert tablet.flush()["sent"] == 1
    assert Photo.objects.count() == 1


def test_photos_that_wait_do_not_hold_up_the_records_before_them(tablet, inspection, bearing):
    tablet.photo(inspection, bearing)
    note = tablet.note(inspection, "Rust on the anchor")
    tablet.page.route(PHOTOS, lambda route: route.abort("connectionreset"))
    assert tablet.flush()["sent"] == 1
    assert arrived() == {note["uid"]}


def test_what_is_refused_stays_with_its_reason_until_it_is_corrected(tablet, inspection, bearing):
    wrong = tablet.reading(inspection, bearing, 2500.0)
    note = tablet.note(inspection, "beside it")
    assert tablet.flush() == {"sent": 1, "refused": 1, "left": 0, "why": "", "words": ""}
    assert arrived() == {note["uid"]}

    (refused,) = tablet.records("refused")
    assert refused["uid"] == wrong["uid"]
    assert "2000" in refused["refusal"]["message"]
    assert tablet.flush()["sent"] == 0  # it does not go again by itself
    assert len(tablet.posted()) == 1

    right = wrong["payload"] | {"typed": "25 mm", "value": 25.0}
    changed = tablet.run(
        "return corrections.change(me, ...given);", [wrong["uid"], right], modules="corrections"
    )
    assert changed["uid"] != wrong["uid"]
    assert tablet.flush()["sent"] == 1
    assert Reading.objects.get().value == 25.0
    assert tablet.counts()["refused"] == 0


def test_what_is_refused_can_be_let_go_and_stays_on_view(tablet, inspection, bearing):
    wrong = tablet.reading(inspection, bearing, 2500.0)
    tablet.flush()
    assert tablet.run("return corrections.drop(me, given);", wrong["uid"], modules="corrections")
    assert tablet.counts()["refused"] == 0
    assert uids(tablet.records("dropped")) == [wrong["uid"]]


def test_what_has_not_gone_yet_is_corrected_in_place(tablet, inspection):
    note = tablet.note(inspection, "Rsut")
    tablet.run(
        "return corrections.change(me, given, { element: null, text: 'Rust' });",
        note["uid"],
        modules="corrections",
    )
    tablet.flush()
    assert arrived() == {note["uid"]}
    assert FieldNote.objects.get().text == "Rust"


def test_a_failed_attempt_without_a_network_leaves_a_record_open_to_correction(tablet, inspection):
    note = tablet.note(inspection, "Rsut")
    tablet.context.set_offline(True)
    assert tablet.flush()["why"] == "offline"
    tablet.context.set_offline(False)
    assert tablet.run(
        "return corrections.change(me, given, { element: null, text: 'Rust' });",
        note["uid"],
        modules="corrections",
    )


def test_a_session_that_expired_offline_asks_to_sign_in_and_loses_nothing(tablet, inspection):
    note = tablet.note(inspection, "Rust on the anchor")
    tablet.end_session()
    outcome = tablet.flush()
    assert (outcome["why"], outcome["left"]) == ("sign-in", 1)
    assert tablet.told("sign-in") == [{"status": 401}]
    tablet.sign_in(tablet.user)
    assert tablet.flush()["sent"] == 1
    assert arrived() == {note["uid"]}


def test_records_go_out_under_nobody_s_name_but_their_maker_s(tablet, inspection):
    note = tablet.note(inspection, "Rust on the anchor")
    maker, somebody = tablet.user, make_user("inspector", username="somebody")
    tablet.sign_in(somebody)
    outcome = tablet.flush()
    assert (outcome["why"], outcome["left"]) == ("another-user", 1)
    assert tablet.told("another-user") == [{"name": "somebody"}]
    assert not arrived()

    tablet.sign_in(maker)
    tablet.flush()
    assert FieldNote.objects.get(record__uid=note["uid"]).created_by == maker


def test_one_record_that_the_server_fails_over_holds_up_no_other(tablet, inspection):
    records = [tablet.note(inspection, f"{index}") for index in range(5)]
    bad = records[1]["uid"]

    def fail_over_it(route):
        if bad in route.request.post_data:
            route.fulfill(status=500, body="oops")
        else:
            route.continue_()

    tablet.page.route(RECORDS, fail_over_it)
    outcome = tablet.flush()
    assert (outcome["sent"], outcome["left"], outcome["why"]) == (4, 1, "failed")
    assert arrived() == set(uids(records)) - {bad}
    (left,) = tablet.records("waiting")
    assert left["trouble"] == "The server failed (500)."

    # From then on it goes alone, behind the others.
    tablet.requests.clear()
    later = [tablet.note(inspection, "later 1"), tablet.note(inspection, "later 2")]
    tablet.flush()
    assert tablet.posted() == [uids(later), [bad]]

    tablet.page.unroute(RECORDS)
    assert tablet.flush()["left"] == 0


def test_a_server_that_fails_over_everything_is_left_alone_after_a_few_tries(tablet, inspection):
    for index in range(20):
        tablet.note(inspection, f"{index}")
    tablet.page.route(RECORDS, lambda route: route.fulfill(status=500, body="oops"))
    assert tablet.flush()["left"] == 20
    assert len(tablet.posted()) == 4


def test_a_signature_goes_when_all_else_of_its_inspection_has_gone(tablet, inspection, bearing):
    signed = tablet.enter(
        inspection, "sign_off", {"role": "Lead", "statement": "All is complete.", "count": 2}
    )
    reading = tablet.reading(inspection, bearing, 12.5)
    tablet.photo(inspection, bearing)
    left_out = tablet.enter(
        inspection,
        "left_out",
        {"element": bearing.pk, "reason": "no_access", "remark": "The rest"},
    )
    tablet.page.route(PHOTOS, lambda route: route.abort("connectionreset"))
    tablet.flush()
    assert arrived() == {reading["uid"], left_out["uid"]}
    waiting = tablet.run("return queue.heldSignatures(me);", modules="queue")
    assert uids(waiting) == [signed["uid"]]

    tablet.page.unroute(PHOTOS)
    assert tablet.flush()["left"] == 0
    assert SignOff.objects.get().inspection == inspection
    assert inspection.photos.count() == 1


def test_a_signature_waits_while_something_of_its_inspection_is_refused(
    tablet, inspection, bearing
):
    wrong = tablet.reading(inspection, bearing, 2500.0)
    signed = tablet.enter(
        inspection, "sign_off", {"role": "Lead", "statement": "All is complete.", "count": 1}
    )
    tablet.flush()
    assert tablet.flush()["left"] == 1
    assert uids(tablet.records("waiting")) == [signed["uid"]]
    assert uids(tablet.records("refused")) == [wrong["uid"]]


def test_what_a_signature_counts_on_is_all_that_waits_or_has_gone(tablet, inspection, bearing):
    tablet.reading(inspection, bearing, 12.5)
    tablet.flush()
    tablet.photo(inspection, bearing)
    count = tablet.run("return outbox.countToSign(me, given);", inspection.pk, modules="outbox")
    assert count == 2


def test_a_second_measurement_goes_with_its_first_and_both_are_kept(tablet, inspection, bearing):
    first = tablet.reading(inspection, bearing, 12.5)
    tablet.reading(inspection, bearing, 13.0, is_repeat_of=first["uid"])
    assert tablet.flush()["sent"] == 2
    rows = Reading.objects.order_by("repeat").values_list("value", "repeat")
    assert list(rows) == [(12.5, 1), (13.0, 2)]
    assert Reading.objects.values("taken_at").distinct().count() == 1


def test_a_second_measurement_follows_its_first_when_that_is_corrected(tablet, inspection, bearing):
    first = tablet.reading(inspection, bearing, 2500.0)
    tablet.reading(inspection, bearing, 13.0, is_repeat_of=first["uid"])
    assert tablet.flush()["refused"] == 2
    right = first["payload"] | {"typed": "12.5 mm", "value": 12.5}
    tablet.run(
        "return corrections.change(me, ...given);", [first["uid"], right], modules="corrections"
    )
    assert tablet.flush()["sent"] == 2
    assert sorted(Reading.objects.values_list("value", "repeat")) == [(12.5, 1), (13.0, 2)]


def test_a_second_measurement_stands_alone_when_its_first_is_let_go(tablet, inspection, bearing):
    first = tablet.reading(inspection, bearing, 2500.0)
    tablet.reading(inspection, bearing, 13.0, is_repeat_of=first["uid"])
    tablet.reading(inspection, bearing, 14.0, is_repeat_of=first["uid"])
    tablet.flush()
    tablet.run("return corrections.drop(me, given);", first["uid"], modules="corrections")
    assert tablet.flush()["sent"] == 2
    assert sorted(Reading.objects.values_list("value", "repeat")) == [(13.0, 1), (14.0, 2)]


def test_a_photo_whose_picture_is_gone_is_told_so_and_holds_up_nothing(tablet, inspection, bearing):
    photo = tablet.photo(inspection, bearing)
    other = tablet.photo(inspection, bearing, 320)
    tablet.run(
        "await store.write(['photos'], 'x', (t) => t.objectStore('photos').delete(given));",
        photo["uid"],
        modules="store",
    )
    tablet.flush()
    assert arrived() == {other["uid"]}
    (refused,) = tablet.records("refused")
    assert "Take it anew" in refused["refusal"]["message"]


def test_a_wrong_clock_is_told_and_the_times_are_moved_when_they_arrive(
    tablet, inspection, bearing
):
    slow = dt.timedelta(minutes=40)
    tablet.page.clock.set_fixed_time(timezone.now() - slow)
    told = (timezone.now() - slow).isoformat()
    tablet.reading(inspection, bearing, 12.5, taken_at=told)
    tablet.flush()
    assert tablet.told("clock")[0]["words"].startswith("This tablet's clock is 40 minutes slow.")
    off = Reading.objects.get().taken_at - timezone.now()
    assert abs(off) < dt.timedelta(minutes=1)
    record = TabletRecord.objects.get()
    assert record.payload["taken_at"] == told
    assert record.clock_slow_s == pytest.approx(2400, abs=30)

    warning = tablet.run("return clock.clockWarning();", modules="clock")
    assert warning["slow_s"] == pytest.approx(2400, abs=30)


def test_a_clock_set_back_after_the_last_contact_is_noticed_without_a_network(tablet):
    tablet.run("await session.fetchInspections();", modules="session")
    assert tablet.run("return clock.clockWarning();", modules="clock") is None
    tablet.page.clock.set_fixed_time(timezone.now() - dt.timedelta(days=1))
    warning = tablet.run("return clock.clockWarning();", modules="clock")
    assert warning["words"].startswith("This tablet's clock is 24 hours slow.")


def test_what_is_entered_without_a_network_goes_by_itself_when_it_returns(tablet, inspection):
    tablet.context.set_offline(True)
    tablet.run("window.sending = keep_sending.keepSending(() => me);", modules="keep_sending")
    note = tablet.note(inspection, "Rust on the anchor")
    tablet.page.wait_for_timeout(300)
    assert not arrived()
    tablet.context.set_offline(False)
    for _ in range(50):
        if tablet.counts()["waiting"] == 0:
            break
        tablet.page.wait_for_timeout(100)
    assert arrived() == {note["uid"]}


def test_a_button_sends_at_once_and_a_stopped_sender_stays_quiet(tablet, inspection):
    tablet.note(inspection, "one")
    outcome = tablet.run(
        """
        const sending = keep_sending.keepSending(() => me);
        const outcome = await sending.now();
        sending.stop();
        return outcome;
        """,
        modules="keep_sending",
    )
    assert outcome["sent"] == 1
    tablet.note(inspection, "two")
    tablet.page.wait_for_timeout(1500)
    assert tablet.counts()["waiting"] == 1


def test_attempts_grow_patient_and_no_two_tablets_keep_step(tablet):
    delays = tablet.run(
        """
        return Array.from({ length: 8 }, (_, index) =>
          Array.from({ length: 200 }, () => keep_sending.delayAfter(index + 1)));
        """,
        modules="keep_sending",
    )
    means = [sum(each) / len(each) for each in delays]
    assert means[0] == pytest.approx(5_000, rel=0.1)
    assert all(later >= 0.9 * sooner for sooner, later in itertools.pairwise(means))
    assert max(max(each) for each in delays) <= 360_000
    assert len({round(each) for each in delays[0]}) > 50


def test_what_is_sent_is_written_down_with_the_tablet_s_name_and_its_own_time(tablet, inspection):
    note = tablet.note(inspection, "Rust on the anchor")
    tablet.flush()
    record = TabletRecord.objects.get()
    assert record.tablet == tablet.run("return notes.tabletId();", modules="notes")
    assert record.made_at == dt.datetime.fromisoformat(note["made_at"])
    assert record.payload == note["payload"]
