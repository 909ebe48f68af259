"""What a tablet takes along, what it makes of it, and how it opens without a network."""

import datetime as dt

import pytest
from django.utils import timezone

from inspections.field.tablet import shell
from inspections.models import Inspection, Reading, Verdict
from tests.browser.tablet_page import Tablet, tablet_of
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PACKETS = "**/packet.json"
MEASURED = {"setting_source": "measured", "setting_temperature_c": 15.0}


@pytest.fixture
def tablet(chromium, live_server, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    with tablet_of(chromium, live_server.url, make_user("inspector")) as opened:
        yield opened


@pytest.fixture
def inspection() -> Inspection:
    """A joint between a steel and a concrete unit, a bearing and rods, to be read today."""
    bridge = make_bridge("T-9")
    steel = make_unit(bridge, "U1", deck_type="steel", expansion_per_c=12e-6, deck_share=0.2)
    concrete = make_unit(
        bridge,
        "U2",
        deck_type="concrete",
        start_station_m=100.0,
        end_station_m=180.0,
        fixed_station_m=180.0,
        expansion_per_c=10e-6,
        deck_share=0.7,
    )
    make_element(
        steel,
        "strip_seal",
        "J1",
        place={"unit_ahead": concrete, "skew_deg": 25.0},
        installation=MEASURED | {"setting_gap_mm": 60.0},
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )
    make_element(
        steel,
        "pot",
        "B1",
        installation=MEASURED | {"setting_offset_along_mm": 2.0, "setting_rotation_mrad": 1.0},
        design={"movement_ahead_mm": 90.0, "movement_back_mm": 90.0, "rotation_mrad": 20.0},
    )
    make_element(
        steel,
        "anchor_rods",
        "R1",
        installation=MEASURED,
        design={"projection_mm": 60.0, "slip_limit_mm": 10.0, "rod_count": 2},
    )
    return make_inspection(bridge, timezone.now().date())


def take(tablet: Tablet, inspection: Inspection) -> dict:
    return tablet.run("return packet.takeAlong(me, given);", inspection.pk, modules="packet")


def on_board(tablet: Tablet) -> list[dict]:
    return tablet.run("return packet.onBoard(me);", modules="packet")


def leave(tablet: Tablet, inspection: Inspection) -> dict:
    return tablet.run("return packet.leaveBehind(me, given);", inspection.pk, modules="packet")


def with_photo(tablet: Tablet, inspection: Inspection) -> str:
    """Let the server have a photo of the bearing already, and return its id."""
    photo = tablet.photo(inspection, inspection.bridge.elements.get(code="B1"))
    assert tablet.flush()["sent"] == 1
    return photo["uid"]


def test_an_inspection_is_taken_along_whole_and_read_without_a_network(tablet, inspection):
    uid = with_photo(tablet, inspection)
    taken = take(tablet, inspection)
    tablet.context.set_offline(True)

    (line,) = on_board(tablet)
    assert line == taken | {"age_h": line["age_h"]}
    assert (line["id"], line["bridge_code"]) == (inspection.pk, "T-9")
    assert (line["element_count"], line["thumbnails"]) == (3, {"there": 1, "all": 1})
    assert 0 <= line["age_h"] < 0.1

    packet = tablet.run("return packet.packetOf(me, given);", inspection.pk, modules="packet")
    codes = [element["code"] for stop in packet["stops"] for element in stop["elements"]]
    assert sorted(codes) == ["B1", "J1", "R1"]
    picture = tablet.run(
        "return packet.thumbnail(me, ...given);", [inspection.pk, uid], modules="packet"
    )
    assert picture.startswith("data:image/jpeg;base64,")


def test_the_age_of_a_packet_is_told_by_the_server_s_clock(tablet, inspection):
    take(tablet, inspection)
    tablet.page.clock.set_fixed_time(timezone.now() + dt.timedelta(hours=30))
    assert on_board(tablet)[0]["age_h"] == pytest.approx(30.0, abs=0.1)


def test_a_packet_that_cannot_be_fetched_leaves_the_older_one_on_board(tablet, inspection):
    take(tablet, inspection)
    before = on_board(tablet)[0]["made_at"]
    tablet.page.route(PACKETS, lambda route: route.abort("connectionreset"))
    failure = tablet.run(
        "return packet.takeAlong(me, given).catch((error) => error.kind);",
        inspection.pk,
        modules="packet",
    )
    assert failure == "offline"
    assert on_board(tablet)[0]["made_at"] == before


def test_a_picture_that_cannot_be_fetched_is_missed_and_no_more(tablet, inspection):
    with_photo(tablet, inspection)
    tablet.page.route("**/thumbnail", lambda route: route.fulfill(status=500, body="oops"))
    assert take(tablet, inspection)["thumbnails"] == {"there": 0, "all": 1}
    tablet.page.unroute("**/thumbnail")
    assert take(tablet, inspection)["thumbnails"] == {"there": 1, "all": 1}


def test_a_packet_of_another_format_or_another_user_is_not_taken(tablet, inspection):
    script = "return packet.takeAlong(me, given).catch((error) => [error.kind, error.message]);"
    tablet.page.route(
        PACKETS, lambda route: route.fulfill(json={"format": "ledger-packet/9", "user": {}})
    )
    kind, words = tablet.run(script, inspection.pk, modules="packet")
    assert (kind, words) == ("rejected", "Load the app anew: it cannot read ledger-packet/9.")
    tablet.page.unroute(PACKETS)

    tablet.sign_in(make_user("inspector", username="somebody"))
    assert tablet.run(script, inspection.pk, modules="packet") == ["another-user", "somebody"]
    assert on_board(tablet) == []


def test_an_inspection_with_something_unsent_or_half_typed_is_not_left_behind(tablet, inspection):
    take(tablet, inspection)
    tablet.note(inspection, "Rust on the anchor")
    place = {"inspection": inspection.pk, "element": 3, "field": "gap left"}
    type_it = "await drafts.keepDraft({ user: me, ...given[0] }, given[1]);"
    tablet.run(type_it, [place, "55"], modules="drafts")
    assert leave(tablet, inspection) == {"is_removed": False, "unsent": 1, "drafts": 1}
    assert len(on_board(tablet)) == 1

    tablet.flush()
    tablet.run(type_it, [place, ""], modules="drafts")
    assert leave(tablet, inspection) == {"is_removed": True, "unsent": 0, "drafts": 0}
    assert on_board(tablet) == tablet.records() == []
    assert inspection.notes.count() == 1


def test_another_user_of_the_tablet_has_his_own_on_board(tablet, inspection):
    take(tablet, inspection)
    somebody = make_user("inspector")
    tablet.sign_in(somebody)
    tablet.user = somebody
    assert on_board(tablet) == []
    assert tablet.run("return packet.packetOf(me, given);", inspection.pk, modules="packet") is None


def test_the_list_of_inspections_is_there_without_a_network(tablet, inspection):
    tablet.run("await session.fetchInspections();", modules="session")
    tablet.context.set_offline(True)
    user = tablet.run("return session.lastUser();", modules="session")
    assert (user["id"], user["units"]) == (tablet.user.pk, "si")
    found = tablet.run("return session.lastInspections(me);", modules="session")
    assert [each["id"] for each in found["inspections"]] == [inspection.pk]


TEMPERATURES = [
    # unit, place, in the sun, degC
    ("U1", "girder_web", False, 21.0),
    ("U1", "deck_soffit", False, 24.0),
    ("U2", "deck_top", True, 33.0),
    ("U2", "deck_soffit", False, 17.0),
    ("U2", "girder_web", False, 15.5),
]
TYPED = {
    "gap": 47.0,
    "offset_along": 9.5,
    "offset_across": -1.0,
    "rotation": 3.0,
    "projection": 55.0,
    "broken_rods": 1.0,
}
JUDGE_ALL = """
    const board = await packet.packetOf(me, given.inspection);
    const found = [];
    for (const element of board.stops.flatMap((stop) => stop.elements)) {
      for (const channel of element.channels) {
        if (!(channel.quantity in given.typed)) continue;
        const value = given.typed[channel.quantity];
        const { warmths, is_mean } = temperature.warmthsOf(
          channel, element.unit_ids, given.taken_at, given.taken, board.temperature);
        const { quantity, point, axis, dimension } = channel;
        const says = verdict.judgeTyped(channel, [value], warmths, board.thresholds, "si");
        const typed = `${value} ${dimension}`;
        found.push({ element: element.id, quantity, point, axis, typed, value, says, is_mean });
      }
    }
    return found;
"""


def test_what_the_tablet_says_on_site_is_what_the_server_finds_when_it_arrives(tablet, inspection):
    take(tablet, inspection)
    units = {unit.code: unit.pk for unit in inspection.bridge.units.all()}
    at = timezone.now().replace(microsecond=0)
    taken = [
        {
            "unit": units[unit],
            "place": place,
            "sunlit": sunlit,
            "typed": f"{warmth} C",
            "temperature_c": warmth,
            "taken_at": (at - dt.timedelta(minutes=number)).isoformat(),
        }
        for number, (unit, place, sunlit, warmth) in enumerate(TEMPERATURES)
    ]
    given = {
        "inspection": inspection.pk,
        "typed": TYPED,
        "taken_at": at.isoformat(),
        "taken": taken,
    }
    judged = tablet.run(JUDGE_ALL, given, modules="packet temperature verdict")
    for row in taken:
        tablet.enter(inspection, "temperature", row)
    for each in judged:
        said = {key: each[key] for key in ("quantity", "point", "axis", "typed", "value")}
        about = {"element": each["element"], "taken_at": at.isoformat(), "remark": ""}
        tablet.enter(inspection, "reading", said | about)
    assert tablet.flush()["sent"] == len(taken) + len(judged)

    assert {each["quantity"] for each in judged} == {*TYPED}
    assert {each["axis"] for each in judged} == {"square", "road", ""}
    assert Reading.objects.count() == Verdict.objects.count() == len(judged)
    for each in judged:
        row = Verdict.objects.get(
            element_id=each["element"],
            quantity=each["quantity"],
            point=each["point"],
            axis=each["axis"],
        )
        assert each["is_mean"] is False
        names = ["expected", "u_residual", "residual", "residual_in_u", "use_now"]
        if row.b != 0:
            names += ["carried_to_min", "carried_to_max"]
        for name in names:
            assert_near(each["says"][name], getattr(row, name), f"{each}: {name}")


def assert_near(found: float | None, server: float | None, where: str) -> None:
    assert found == (server if server is None else pytest.approx(server, abs=0.01)), where


def start_worker(tablet: Tablet) -> None:
    """Open the app, and wait until its worker has everything."""
    tablet.page.goto("/field/")
    tablet.run(
        """
        await update.startWorker();
        const registration = await navigator.serviceWorker.ready;
        if (!navigator.serviceWorker.controller) {
          await new Promise((done) =>
            navigator.serviceWorker.addEventListener("controllerchange", done, { once: true }));
        }
        """,
        modules="update",
    )


def test_the_app_opens_from_cold_without_a_network(tablet):
    start_worker(tablet)
    tablet.page.close()
    tablet.context.set_offline(True)
    tablet.page = tablet.context.new_page()
    tablet.page.goto("/field/")
    assert tablet.page.locator("html").get_attribute("data-build") == shell.build()
    kept = [name for name in shell.files() if name.endswith(".js")]
    sizes = tablet.page.evaluate(
        """async (names) => Promise.all(names.map(async (name) =>
             (await (await fetch(`/static/${name}`)).text()).length))""",
        kept,
    )
    assert len(kept) > 10
    assert all(sizes)


def test_what_is_sent_and_fetched_never_comes_from_the_worker_s_cache(tablet, inspection):
    start_worker(tablet)
    assert tablet.page.evaluate("fetch('/field/inspections.json').then((found) => found.status)")
    tablet.context.set_offline(True)
    failed = tablet.page.evaluate(
        "fetch('/field/inspections.json').then(() => 'answered', () => 'failed')"
    )
    assert failed == "failed"
    keys = tablet.page.evaluate(
        """async () => {
          const cache = await caches.open((await caches.keys())[0]);
          return (await cache.keys()).map((request) => new URL(request.url).pathname);
        }"""
    )
    assert set(keys) == {"/field/", *(f"/static/{name}" for name in shell.files())}


def test_an_update_in_mid_inspection_waits_until_the_user_takes_it(tablet, monkeypatch):
    start_worker(tablet)
    tablet.page.evaluate("window.halfTyped = '2 3/1'")
    old = tablet.page.evaluate("caches.keys()")
    tablet.run(
        """
        window.offered = new Promise((done) => news.news.addEventListener(
          "update", ({ detail }) => done(detail.take), { once: true }));
        """,
        modules="news",
    )
    monkeypatch.setattr(shell, "build", lambda: "nextbuild")
    tablet.page.evaluate(
        """async () => {
          const registration = await navigator.serviceWorker.ready;
          await registration.update();
          await window.offered;
        }"""
    )
    assert tablet.page.evaluate("window.halfTyped") == "2 3/1"
    assert sorted(tablet.page.evaluate("caches.keys()")) == sorted([*old, "field-nextbuild"])

    with tablet.page.expect_navigation():
        tablet.page.evaluate("window.offered.then((take) => { take(); })")
    assert tablet.page.evaluate("window.halfTyped") is None
    assert tablet.page.evaluate("caches.keys()") == ["field-nextbuild"]
    assert tablet.page.locator("html").get_attribute("data-build") == "nextbuild"


def test_a_worker_whose_files_are_not_all_there_does_not_replace_the_one_that_has_them(
    tablet, monkeypatch
):
    start_worker(tablet)
    monkeypatch.setattr(shell, "build", lambda: "broken")
    monkeypatch.setattr(shell, "files", lambda: ("field/send.js", "field/missing.js"))
    state = tablet.page.evaluate(
        """async () => {
          const registration = await navigator.serviceWorker.ready;
          const failed = new Promise((done) => registration.addEventListener("updatefound", () => {
            const worker = registration.installing;
            worker.addEventListener("statechange", () =>
              worker.state === "redundant" && done("redundant"));
          }, { once: true }));
          await registration.update().catch(() => {});
          return Promise.race([failed, new Promise((done) => setTimeout(done, 5000, "late"))]);
        }"""
    )
    assert state == "redundant"
    tablet.context.set_offline(True)
    tablet.page.reload()
    assert tablet.page.locator("html").get_attribute("data-build") not in (None, "broken")
