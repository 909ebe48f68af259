"""The browser dies without warning, as with a dead battery, and is opened again."""

import os
import signal
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import BrowserContext
from playwright.sync_api import Error as BrowserGone

from inspections.models import FieldNote, Photo, TabletRecord
from tests.browser.chromium import ARGUMENTS, chromium_path
from tests.browser.tablet_page import RECORDS, Tablet
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def open_tablet(chromium, live_server, settings, tmp_path) -> Iterator[Callable[[], Tablet]]:
    """Return a function that opens the same tablet again and again: its store is on the disk."""
    settings.MEDIA_ROOT = tmp_path / "files"
    user = make_user("inspector")
    contexts: list[BrowserContext] = []

    def open_again() -> Tablet:
        context = chromium.browser_type.launch_persistent_context(
            tmp_path / "profile",
            executable_path=chromium_path(),
            args=ARGUMENTS,
            base_url=live_server.url,
        )
        contexts.append(context)
        return Tablet(context, live_server.url, user)

    yield open_again
    contexts[-1].close()


def kill(tablet: Tablet) -> None:
    """End the browser's process as no browser would end itself."""
    session = tablet.context.browser.new_browser_cdp_session()
    processes = session.send("SystemInfo.getProcessInfo")["processInfo"]
    os.kill(next(each["id"] for each in processes if each["type"] == "browser"), signal.SIGKILL)


@pytest.fixture
def inspection():
    unit = make_unit(make_bridge())
    make_element(unit, "pot")
    return make_inspection(unit.bridge)


def test_what_was_typed_entered_and_photographed_outlives_a_dead_battery(open_tablet, inspection):
    tablet = open_tablet()
    note = tablet.note(inspection, "Rust on the anchor")
    photo = tablet.photo(inspection, inspection.bridge.elements.get())
    tablet.run(
        """
        const place = { user: me, inspection: 7, element: 3, field: "gap left" };
        for (const text of ["2", "2 ", "2 3", "2 3/", "2 3/1"]) await drafts.keepDraft(place, text);
        """,
        modules="drafts",
    )
    kill(tablet)

    tablet = open_tablet()
    (draft,) = tablet.run("return drafts.draftsOf(me, 7);", modules="drafts")
    assert draft["text"] == "2 3/1"
    assert [each["uid"] for each in tablet.records("waiting")] == [note["uid"], photo["uid"]]
    assert tablet.flush()["sent"] == 2
    assert FieldNote.objects.get().text == "Rust on the anchor"
    assert str(Photo.objects.get().uid) == photo["uid"]


def test_a_battery_that_dies_before_the_answer_comes_leaves_one_record(open_tablet, inspection):
    tablet = open_tablet()
    note = tablet.note(inspection, "Rust on the anchor")
    tablet.page.route(RECORDS, lambda route: (route.fetch(), kill(tablet)))
    with pytest.raises(BrowserGone):
        tablet.flush()
    assert str(TabletRecord.objects.get().uid) == note["uid"]

    tablet = open_tablet()
    (waiting,) = tablet.records("waiting")
    assert waiting["is_in_doubt"] is True
    assert tablet.flush()["sent"] == 1
    assert FieldNote.objects.count() == 1
