"""What a tablet keeps: every keystroke, for its user alone, and a plain word when it cannot."""

import pytest

from tests.browser.full_storage import MEGABYTE, NOISE, fill, storage_of
from tests.browser.tablet_page import Tablet, tablet_of
from tests.make import make_bridge, make_inspection, make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def tablet(chromium, live_server, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    with tablet_of(chromium, live_server.url, make_user("inspector")) as opened:
        yield opened


@pytest.fixture
def inspection():
    return make_inspection(make_bridge())


DRAFT = "drafts.keepDraft({ user: me, inspection: 7, element: 3, field: given[0] }, given[1])"
DRAFTS = "return drafts.draftsOf(me, 7, 3);"


def keep(tablet: Tablet, field: str, text: str) -> bool:
    return tablet.run(f"return {DRAFT};", [field, text], modules="drafts")


def kept(tablet: Tablet) -> dict[str, str]:
    return {each["field"]: each["text"] for each in tablet.run(DRAFTS, modules="drafts")}


def test_what_was_typed_is_there_when_the_tab_is_closed_in_the_middle_of_it(tablet):
    assert keep(tablet, "gap left", "2 3/1") is True
    tablet.page.close()
    tablet.open()
    assert kept(tablet) == {"gap left": "2 3/1"}


def test_of_many_keystrokes_in_a_row_the_last_one_counts(tablet):
    tablet.run(
        """
        const texts = Array.from({ length: 200 }, (_, index) => "1".repeat(index % 9) + index);
        const place = { user: me, inspection: 7, element: 3, field: "gap left" };
        await Promise.all(texts.map((text) => drafts.keepDraft(place, text)));
        """,
        modules="drafts",
    )
    assert kept(tablet) == {"gap left": "1" + "199"}


def test_an_emptied_field_leaves_no_draft(tablet):
    keep(tablet, "gap left", "5")
    keep(tablet, "gap left", "")
    assert kept(tablet) == {}


def test_drafts_belong_to_one_element_of_one_inspection(tablet):
    tablet.run(
        """
        const field = "remark";
        for (const [inspection, element] of [[7, 3], [7, 31], [71, 3], [7, ""]]) {
          const text = `${inspection} ${element}`;
          await drafts.keepDraft({ user: me, inspection, element, field }, text);
        }
        """,
        modules="drafts",
    )
    assert kept(tablet) == {"remark": "7 3"}
    of_inspection = tablet.run("return drafts.draftsOf(me, 7);", modules="drafts")
    assert sorted(each["text"] for each in of_inspection) == ["7 ", "7 3", "7 31"]


def test_a_record_takes_the_place_of_its_drafts_in_one_step(tablet, inspection):
    tablet.run(
        """
        const place = { user: me, inspection: given, element: 3, field: "gap left" };
        await drafts.keepDraft(place, "55");
        const entry = { inspection: given, kind: "note", payload: { text: "55" } };
        await outbox.enter(me, entry, [place]);
        """,
        inspection.pk,
        modules="drafts outbox",
    )
    assert tablet.run(f"return drafts.draftsOf(me, {inspection.pk});", modules="drafts") == []
    assert [each["payload"] for each in tablet.records("waiting")] == [{"text": "55"}]


def test_every_write_reaches_the_disk_before_it_counts(tablet, inspection):
    used = tablet.page.evaluate_handle(
        """() => {
          const used = [];
          const plain = IDBDatabase.prototype.transaction;
          IDBDatabase.prototype.transaction = function (names, mode, options) {
            if (mode === "readwrite") used.push(options?.durability);
            return plain.call(this, names, mode, options);
          };
          return used;
        }"""
    )
    keep(tablet, "gap left", "5")
    tablet.note(inspection, "Rust on the anchor")
    assert used.json_value() == ["strict", "strict"]


def test_another_user_of_the_tablet_sees_how_much_waits_and_nothing_else(tablet, inspection):
    keep(tablet, "gap left", "5")
    note = tablet.note(inspection, "Rust on the anchor")
    photo = tablet.photo(inspection, None)
    somebody = make_user("inspector")
    tablet.sign_in(somebody)
    tablet.user = somebody
    assert tablet.counts() == {"waiting": 0, "photos": 0, "refused": 0, "others": 2}
    assert kept(tablet) == {}
    assert tablet.records() == []
    assert tablet.run("return outbox.pictureOf(me, given);", photo["uid"], modules="outbox") is None
    for script in ("corrections.drop(me, given)", "corrections.change(me, given, {})"):
        assert not tablet.run(f"return {script};", note["uid"], modules="corrections")
    assert tablet.counts()["others"] == 2


@pytest.fixture
def small(tablet):
    """The tablet with little storage, set before the browser first looks how much there is."""
    storage = storage_of(tablet.page, tablet.url)
    storage(6 * MEGABYTE)
    yield storage
    storage(None)


def test_a_full_disk_is_told_at_once_and_what_was_kept_before_stays(tablet, small, inspection):
    keep(tablet, "remark", "before")
    fill(tablet)
    long = tablet.run(NOISE + "return noise(4000);", modules="news")
    assert keep(tablet, "remark", long) is False
    (told,) = tablet.told("not-kept")
    assert told["what"] == "draft of remark"
    assert told["reason"] == "The tablet's storage is full."
    assert "enter it again" in told["remedy"]
    assert kept(tablet) == {"remark": "before"}

    refused = tablet.run(
        """
        const entry = { inspection: given[0], kind: "note", payload: { text: given[1] } };
        return outbox.enter(me, entry).catch((error) => error.name);
        """,
        [inspection.pk, long],
        modules="outbox",
    )
    assert refused == "NotKept"
    assert tablet.counts()["waiting"] == 0

    small(60 * MEGABYTE)
    assert keep(tablet, "remark", long) is True


def test_a_full_disk_does_not_keep_what_waits_from_being_sent(tablet, small, inspection):
    notes = [tablet.note(inspection, f"Rust on anchor {number}") for number in range(3)]
    tablet.photo(inspection, None)
    fill(tablet)
    outcome = tablet.flush()
    assert (outcome["sent"], outcome["left"], outcome["why"]) == (4, 0, "")
    assert inspection.notes.count() == len(notes)
    assert inspection.photos.count() == 1
    assert tablet.counts()["waiting"] == 0


def test_a_newer_store_is_not_held_up_by_a_tab_with_the_old_app(tablet):
    keep(tablet, "remark", "kept")
    newer = tablet.context.new_page()
    newer.goto("/inspections/")
    opened = newer.evaluate(
        """() => new Promise((resolve) => {
          const request = indexedDB.open("ledger-field", 2);
          request.onsuccess = () => { request.result.close(); resolve("opened"); };
          request.onblocked = () => resolve("blocked");
          request.onupgradeneeded = () => {};
        })"""
    )
    assert opened == "opened"
    # The old app cannot read the new store, and says that it keeps nothing.
    assert keep(tablet, "remark", "more") is False
    assert "open it again" in tablet.told("not-kept")[0]["remedy"]


def test_the_tablet_asks_to_keep_its_store_and_knows_its_size(tablet):
    found = tablet.run("return notes.persist();", modules="notes")
    assert isinstance(found["is_persistent"], bool)
    assert found["quota_bytes"] > MEGABYTE


def test_a_tablet_keeps_its_own_name(tablet):
    first = tablet.run("return notes.tabletId();", modules="notes")
    tablet.page.close()
    tablet.open()
    assert tablet.run("return notes.tabletId();", modules="notes") == first
    assert len(first) == 36
