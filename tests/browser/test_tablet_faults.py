"""A server that dies and a network that breaks in the middle of things: nothing is lost or doubled.

Server, database and browser are processes of their own, ended without warning.
"""

import uuid

import pytest

from tests.browser.served_tablet import (
    all_sent,
    left_gap,
    served_tablet,
    take_along,
    visit_of,
)
from tests.browser.tablet_page import RECORDS
from tests.served.proxy import Proxy
from tests.served.running import running

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    with running(tmp_path_factory.mktemp("site")) as found:
        yield found


@pytest.fixture
def name() -> str:
    return f"i-{uuid.uuid4().hex[:8]}"


@pytest.fixture
def tablet(chromium, site, name):
    with served_tablet(chromium, site, name) as opened:
        yield opened


@pytest.fixture
def visit(site, name):
    return visit_of(site, name.upper())


def held(site, visit) -> dict:
    return site.ledger.call("tests.served.rows:counts", visit.pk)


def came(site, visit) -> list[str]:
    return site.ledger.call("tests.served.rows:came", visit.pk)


def uids(records: list[dict]) -> list[str]:
    return sorted(each["uid"] for each in records)


def enter_readings(tablet, visit, count: int) -> list[dict]:
    return [tablet.reading(visit, visit.bearing, 1.0 + index) for index in range(count)]


def test_a_server_that_dies_between_two_batches_gets_the_rest_when_it_is_back(site, tablet, visit):
    records = enter_readings(tablet, visit, 260)
    batches = []

    def die_before_the_second(route):
        batches.append(route.request)
        if len(batches) == 2:
            site.server.kill()
        route.continue_()

    tablet.page.route(RECORDS, die_before_the_second)
    outcome = tablet.flush()
    assert (outcome["sent"], outcome["left"], outcome["why"]) == (200, 60, "offline")
    assert len(came(site, visit)) == 200

    site.server.start()
    assert tablet.flush()["left"] == 0
    assert came(site, visit) == uids(records) == uids(tablet.records("sent"))
    assert (held(site, visit)["readings"], held(site, visit)["judged"]) == (260, 260)


def test_a_server_that_dies_before_its_answer_has_each_record_once_in_the_end(site, tablet, visit):
    records = enter_readings(tablet, visit, 50)

    def die_before_the_answer(route):
        route.fetch()
        site.server.kill()
        route.abort()

    tablet.page.route(RECORDS, die_before_the_answer, times=1)
    outcome = tablet.flush()
    assert (outcome["sent"], outcome["left"], outcome["why"]) == (0, 50, "offline")
    before = came(site, visit)
    assert len(before) == 50  # and so they come a second time
    assert all(each["is_in_doubt"] for each in tablet.records("waiting"))

    site.server.start()
    assert tablet.flush()["left"] == 0
    assert came(site, visit) == uids(records) == uids(tablet.records("sent"))
    # Those that were taken before it died are judged as well.
    assert (held(site, visit)["readings"], held(site, visit)["judged"]) == (50, 50)


def test_what_is_entered_while_the_server_is_dead_goes_by_itself_when_it_is_back(
    site, tablet, visit, name
):
    page = take_along(tablet.context, name.upper())
    site.server.kill()
    part = left_gap(page)
    part.get_by_role("textbox").fill("50 mm")
    part.get_by_role("button", name="Keep").click()
    page.get_by_text("1 to send · no network").wait_for()
    site.server.start()
    all_sent(page)
    assert held(site, visit)["readings"] == 1


def test_a_network_that_drops_in_mid_photo_leaves_no_half_and_in_the_end_one(
    chromium, site, visit, name
):
    proxy = Proxy(site.server.port)
    files = site.ledger.call("tests.served.rows:picture_files")
    with served_tablet(chromium, site, name, proxy.url) as tablet:
        note = tablet.note(visit, "Rust on the anchor")
        photo = tablet.photo(visit, visit.bearing, width=4000)
        proxy.cut(b"POST /field/photos/", after_bytes=20_000)
        outcome = tablet.flush()
        assert (outcome["sent"], outcome["left"], outcome["why"]) == (1, 1, "offline")
        assert proxy.cuts >= 1
        assert came(site, visit) == [note["uid"]]
        assert site.ledger.call("tests.served.rows:picture_files") == files

        proxy.mend()
        assert tablet.flush()["left"] == 0
    proxy.close()
    assert came(site, visit) == uids([note, photo])
    assert site.ledger.call("tests.served.rows:picture_files") == files + 2


def test_two_tablets_that_send_one_inspection_at_once_lose_nothing(chromium, site, visit, name):
    with (
        served_tablet(chromium, site, f"{name}-1") as one,
        served_tablet(chromium, site, f"{name}-2") as other,
    ):
        records = []
        for tablet in (one, other):
            records += enter_readings(tablet, visit, 20)
            records.append(tablet.photo(visit, visit.bearing))
            tablet.page.evaluate("window.done = null")
            tablet.run("send.flush(me).then((found) => { window.done = found; });", modules="send")
        for tablet in (one, other):
            for _ in range(300):
                if done := tablet.page.evaluate("window.done"):
                    break
                tablet.page.wait_for_timeout(100)
            assert (done["sent"], done["left"]) == (21, 0)
    assert came(site, visit) == uids(records)
    assert held(site, visit)["readings"] == 40
    assert held(site, visit)["photos"] == 2
