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

from playwright.sync_api import sync_playwright

from tests.browser.chromium import ARGUMENTS, chromium_path

TOP = Path(__file__).resolve().parents[2]
PICTURES = TOP / "fixtures" / "pictures"
ADDRESS = "127.0.0.1:8791"
ELEMENT = ("QB-1", "A2-J")
REPORT, REPORT_PAGE = "QB-1", 2


def main() -> None:
    """Serve a fresh demo, photograph list and element, and print one page of a report."""
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
        page.goto("/sign-in/")
        page.get_by_label("Username").fill("engineer")
        page.get_by_label("Password").fill(password)
        page.get_by_role("button", name="Sign in").click()
        page.screenshot(path=PICTURES / "list.png")
        bridge, element = ELEMENT
        page.get_by_role("row", name=bridge).get_by_role("link", name=element, exact=True).click()
        page.screenshot(path=PICTURES / "element.png")
        chromium.close()


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
