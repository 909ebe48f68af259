"""Makes the pictures of the README from the demo.

Run from the top of the project:  .venv/bin/python -m tests.browser.make_pictures
Needs Chromium and pdftoppm (Debian packages ``chromium`` and ``poppler-utils``).
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.chromium import ARGUMENTS, chromium_path

TOP = Path(__file__).resolve().parents[2]
PICTURES = TOP / "fixtures" / "pictures"
ADDRESS = "127.0.0.1:8791"
ELEMENT = ("QB-1", "A2-B2")
REPORT, REPORT_PAGE = "QB-1", 3


def main() -> None:
    """Serve a fresh demo, photograph its pages, and print one page of a report."""
    browser = chromium_path()
    if browser is None or shutil.which("pdftoppm") is None:
        raise SystemExit("Install the Debian packages chromium and poppler-utils.")
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"LEDGER_DIR": folder}
        server = subprocess.Popen(
            [sys.executable, "manage.py", "demo", "--address", ADDRESS],
            cwd=TOP,
            env=environment,
            stdout=subprocess.DEVNULL,
        )
        try:
            wait_for(f"http://{ADDRESS}/sign-in/")
            password = (Path(folder) / "demo-password").read_text(encoding="utf-8")
            photograph(browser, password)
        finally:
            server.terminate()
            server.wait()
        page = ["-f", str(REPORT_PAGE), "-l", str(REPORT_PAGE), "-singlefile", "-r", "80"]
        pdf = Path(folder) / "reports" / f"{REPORT}.pdf"
        subprocess.run(["pdftoppm", "-png", *page, pdf, PICTURES / "report"], check=True)


def photograph(browser: str, password: str) -> None:
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=browser, args=ARGUMENTS)
        page = chromium.new_page(
            base_url=f"http://{ADDRESS}", viewport={"width": 1280, "height": 800}
        )
        began = time.monotonic()
        decide(page, password)
        print(f"From sign-in to a signed decision in {time.monotonic() - began:.0f} s, by script.")
        bridge, element = ELEMENT
        page.goto(f"/elements/?verdict=all&q={element}&bridge={bridge}")
        page.get_by_role("link", name=element, exact=True).click()
        page.get_by_role("heading", name="Position now").scroll_into_view_if_needed()
        page.screenshot(path=PICTURES / "element.png")
        on_site(chromium, password)
        chromium.close()


def decide(page: Page, password: str) -> None:
    """Take the way of a new engineer: sign in, open the first flag, sign a decision."""
    page.goto("/")
    page.get_by_label("Username").fill("engineer")
    page.get_by_label("Password").fill(password)
    page.screenshot(path=PICTURES / "way-1.png")
    page.get_by_role("button", name="Sign in").click()
    page.screenshot(path=PICTURES / "queue.png")
    page.locator("[data-open]").first.click()
    page.screenshot(path=PICTURES / "way-2.png")
    page.get_by_label("Measure again").check()
    reason = "The crew doubts this reading: measure once more, on a cooler day."
    page.get_by_label("Reason").fill(reason)
    page.screenshot(path=PICTURES / "way-3.png")
    page.get_by_role("button", name="Sign the decision").click()
    page.get_by_text(reason).wait_for()
    page.screenshot(path=PICTURES / "way-4.png")


def on_site(chromium: Browser, password: str) -> None:
    """Photograph a joint's form on a tablet, a value typed."""
    page = chromium.new_page(
        base_url=f"http://{ADDRESS}", viewport={"width": 800, "height": 1280}, has_touch=True
    )
    page.goto("/sign-in/?next=/field/")
    page.get_by_label("Username").fill("inspector")
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name="Take along").click()
    page.get_by_role("link", name="Open", exact=True).click()
    page.get_by_role("link", name="Temperatures first").click()
    box = page.get_by_label("Girder, web")
    box.fill("71 F")
    box.press("Enter")
    page.get_by_text("by one shaded girder surface").wait_for()
    page.get_by_role("link", name="Walk").click()
    page.get_by_role("link", name="A2-J").click()
    page.get_by_role("textbox").first.click()
    for key in ("1", "7/8"):
        page.get_by_role("button", name=key, exact=True).click()
    page.wait_for_timeout(300)
    page.screenshot(path=PICTURES / "tablet.png")


def wait_for(address: str) -> None:
    for _ in range(120):
        try:
            urlopen(address, timeout=2)  # noqa: S310 - our own server on the loopback address
            return
        except (URLError, ConnectionError):
            time.sleep(0.5)
    raise SystemExit(f"{address} does not answer.")


if __name__ == "__main__":
    main()
