"""Pages of the site whose scripts a test calls one by one, with no screen around them."""

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, Request

BARE = "/sign-in/"
SIGNED_IN = "/inspections/"
"""Pages of the site with no script of their own, for an outsider and for who is signed in."""
FOLDER = "/static/field"
RECORDS = "**/field/records"
PHOTOS = "**/field/photos/*"
LOADED = "send keep_sending corrections session packet"
"""What loads all else, so that no module has to be fetched once the network is cut."""
TOLD = ["not-kept", "sending", "sign-in", "another-user", "clock", "update"]


class Scripts:
    """Calls what the tablet's modules export, in a page."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def run(self, body: str, argument: Any = None, *, modules: str) -> Any:
        """Run the body of an async function; ``modules`` are loaded under their own names,
        and the argument is called ``given``.
        """
        names = modules.split()
        loaded = "\n".join(f"const {each} = await import('{FOLDER}/{each}.js');" for each in names)
        return self.page.evaluate(f"async (given) => {{ {loaded}\n{body} }}", argument)


class Tablet:
    """A browser of its own with what it keeps, and one page that is open in it."""

    def __init__(self, context: BrowserContext, url: str, user) -> None:
        self.context = context
        self.url = url
        self.user = user
        self.requests: list[Request] = []
        context.on("request", lambda request: self.requests.append(request))
        self.sign_in(user)
        self.open()

    def sign_in(self, user) -> None:
        """Give the browser the session of a user, as the sign-in page does."""
        client = Client()
        client.force_login(user)
        client.get("/field/")  # hands out the cookie against forgery
        self.context.add_cookies(
            [
                {"name": name, "value": client.cookies[name].value, "url": self.url}
                for name in (settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME)
            ]
        )

    def end_session(self) -> None:
        """Let the session run out."""
        self.context.clear_cookies(name=settings.SESSION_COOKIE_NAME)

    def open(self) -> None:
        """Open a page without a screen, and listen to what the scripts tell."""
        self.page = self.context.new_page()
        self.page.goto(SIGNED_IN)
        self.scripts = Scripts(self.page)
        self.run(
            """
            window.told = [];
            for (const name of given) {
              news.news.addEventListener(name, ({ detail }) => window.told.push([name, detail]));
            }
            """,
            TOLD,
            modules="news " + LOADED,
        )

    def run(self, body: str, argument: Any = None, *, modules: str) -> Any:
        """Run a script that knows the user's id as ``me``."""
        return self.scripts.run(f"const me = {self.user.pk};\n{body}", argument, modules=modules)

    def told(self, name: str) -> list[dict]:
        """Return what was told under a name, oldest first."""
        return [detail for each, detail in self.page.evaluate("window.told") if each == name]

    def enter(self, inspection, kind: str, payload: dict) -> dict:
        """Put a record on the list of what waits."""
        entry = {"inspection": inspection.pk, "kind": kind, "payload": payload}
        return self.run("return outbox.enter(me, given);", entry, modules="outbox")

    def note(self, inspection, text: str) -> dict:
        """Put a note on the list."""
        return self.enter(inspection, "note", {"element": None, "text": text})

    def reading(self, inspection, element, value: float, **more) -> dict:
        """Put a reading of an offset along on the list."""
        payload = {
            "element": element.pk,
            "quantity": "offset_along",
            "point": "",
            "axis": "",
            "typed": f"{value} mm",
            "value": value,
            "is_repeat_of": None,
            "taken_at": dt.datetime.now(dt.UTC).isoformat(),
            "instrument": None,
            "remark": "",
        }
        return self.enter(inspection, "reading", payload | more)

    def photo(self, inspection, element, width: int = 640) -> dict:
        """Put a photo on the list, drawn in the page."""
        return self.run(
            """
            const canvas = new OffscreenCanvas(given.width, 480);
            const brush = canvas.getContext("2d");
            for (let at = 0; at < given.width; at += 8) {
              brush.fillStyle = `hsl(${(at * 7) % 360} 80% 50%)`;
              brush.fillRect(at, 0, 8, 480);
            }
            const image = await canvas.convertToBlob({ type: "image/jpeg" });
            const taken_at = new Date().toISOString();
            return outbox.enterPhoto(me, { ...given, caption: "Left face", taken_at, image });
            """,
            {"inspection": inspection.pk, "element": element and element.pk, "width": width},
            modules="outbox",
        )

    def flush(self) -> dict:
        """Send what waits, and return how far it got."""
        return self.run("return send.flush(me);", modules="send")

    def counts(self) -> dict:
        """Return how much waits."""
        return self.run("return outbox.counts(me);", modules="outbox")

    def records(self, state: str | None = None) -> list[dict]:
        """Return the user's records, on the list and sent."""
        found = self.run("return outbox.recordsOf(me);", modules="outbox")
        return [each for each in found if state in (None, each["state"])]

    def posted(self) -> list[list[str]]:
        """Return the ids of each request that carried records or a photo, oldest first."""
        found = []
        for request in self.requests:
            if request.method != "POST":
                continue
            if request.url.endswith("/field/records"):
                found.append([each["uid"] for each in request.post_data_json["records"]])
            elif "/field/photos/" in request.url:
                found.append([request.url.rsplit("/", 1)[1]])
        return found


@contextmanager
def tablet_of(chromium: Browser, url: str, user, **options) -> Iterator[Tablet]:
    """Open a tablet of a user; in the end nothing may have gone wrong in its scripts."""
    context = chromium.new_context(base_url=url, **options)
    wrong: list[str] = []
    context.on("weberror", lambda error: wrong.append(str(error.error)))
    yield Tablet(context, url, user)
    context.close()
    assert wrong == []
