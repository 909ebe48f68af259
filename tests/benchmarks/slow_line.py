"""How long an inspector waits on a slow line: ``python -m tests.benchmarks.slow_line``.

The site runs as in production, with packed files, by https and HTTP/2 as a proxy before it speaks;
the browser counts 400 kbit/s and 400 ms for each request. Each figure is the time from opening an
address to what the inspector waits for, in a browser that knows nothing of the site yet, or has
been there once and has lost its network.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import secrets
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import trustme
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.browser.chromium import ARGUMENTS, MISSING, chromium_path
from tests.served.ledger import Ledger, environment
from tests.served.rows import PASSWORD

COOKIE = "sessionid"
BEARINGS = 32
STARTS_WITHIN_S = 60
FIRST_TARGET_S, OFFLINE_TARGET_S = 3.0, 1.0
WAITS_MS = 60_000


def make() -> str:
    """Open a visit of a bridge with many bearings; return the session of its inspector."""
    from django.test import Client

    from tests.make import judged_once, make_user
    from tests.served.rows import visit

    with judged_once():
        visit("SLOW-1", BEARINGS)
    client = Client(SERVER_NAME="localhost")
    client.force_login(make_user("inspector", password=PASSWORD))
    return client.cookies[COOKIE].value


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    """Start the site of a folder as in production; return its address."""
    certificate = trustme.CA().issue_cert("localhost")
    certificate.private_key_and_cert_chain_pem.write_to_path(folder / "https.pem")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "hypercorn", "wsgi:inspections.project.wsgi:application"]
    command += ["--bind", f"127.0.0.1:{port}", "--certfile", f"{folder / 'https.pem'}"]
    command += ["--keyfile", f"{folder / 'https.pem'}", "--workers", "2"]
    with (folder / "server.log").open("wb") as log:
        server = subprocess.Popen(command, stdout=log, stderr=log, start_new_session=True)
    try:
        for _ in range(STARTS_WITHIN_S):
            time.sleep(1)
            with contextlib.suppress(OSError):
                socket.create_connection(("127.0.0.1", port)).close()
                break
        else:
            raise SystemExit((folder / "server.log").read_text()[-2000:])
        yield f"https://localhost:{port}"
    finally:
        os.killpg(server.pid, signal.SIGKILL)
        server.wait()


def timed(page: Page, path: str, wait: Callable[[Page], None]) -> float:
    began_s = time.perf_counter()
    page.goto(path, wait_until="commit", timeout=WAITS_MS)
    wait(page)
    return time.perf_counter() - began_s


def slow(context: BrowserContext, kbit_s: float, latency_ms: float) -> Page:
    """Open an empty page on a slow line."""
    page = context.new_page()
    session = context.new_cdp_session(page)
    bytes_s = kbit_s * 1000 / 8
    session.send("Network.enable")
    session.send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": latency_ms, "downloadThroughput": bytes_s,
         "uploadThroughput": bytes_s, "connectionType": "cellular3g"},
    )  # fmt: skip
    return page


def shown(text: str) -> Callable[[Page], None]:
    def wait(page: Page) -> None:
        expect(page.get_by_text(text).first).to_be_visible(timeout=WAITS_MS)

    return wait


def one_round(
    browser: Browser, url: str, session: str, line: tuple[float, float]
) -> dict[str, float]:
    """Return the times of one new browser [s]."""

    def new() -> BrowserContext:
        context = browser.new_context(base_url=url, viewport={"width": 800, "height": 1280})
        context.add_cookies([{"name": COOKIE, "value": session, "url": url}])
        return context

    times_s: dict[str, float] = {}
    context = new()
    page = slow(context, *line)
    times_s["on site, first time"] = timed(page, "/field/", shown("SLOW-1"))
    began_s = time.perf_counter()
    page.get_by_role("button", name="Take along").click()
    expect(page.get_by_text("is on board")).to_be_visible(timeout=WAITS_MS)
    times_s["an inspection of 33 elements taken along"] = time.perf_counter() - began_s
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.close()
    context.set_offline(True)
    times_s["on site, without a network"] = timed(context.new_page(), "/field/", shown("SLOW-1"))
    context.close()
    for name, path, text in (
        ("queue, first time", "/", "Nothing waits"),
        ("a bridge, first time", "/bridges/SLOW-1/", "Plan of movement"),
    ):
        context = new()
        times_s[name] = timed(slow(context, *line), path, shown(text))
        context.close()
    return times_s


def told(name: str, some_s: list[float]) -> str:
    """Return a line about some times."""
    target_s = OFFLINE_TARGET_S if "without" in name else FIRST_TARGET_S
    worst_s = max(some_s)
    missed = f"   missed {worst_s / target_s:.1f} times" if worst_s > target_s else ""
    return f"{name:42}{statistics.median(some_s):6.2f} s, at most {worst_s:5.2f} s{missed}"


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.slow_line")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--kbit-s", type=float, default=400.0)
    parser.add_argument("--latency-ms", type=float, default=400.0)
    parser.add_argument("--http1", action="store_true", help="a proxy that speaks HTTP/1.1 only")
    given = parser.parse_args()
    if given.rounds < 1 or given.kbit_s <= 0 or given.latency_ms < 0:
        parser.error("--rounds and --kbit-s above 0, --latency-ms not below 0")
    path = chromium_path()
    if path is None:
        raise SystemExit(MISSING)
    os.environ |= {
        "LEDGER_PRODUCTION": "1",
        "ALLOWED_HOSTS": "localhost,127.0.0.1",
        "SECRET_KEY": secrets.token_urlsafe(60),
    }
    rounds: list[dict[str, float]] = []
    with contextlib.ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="ledger-slow-")))
        os.environ |= environment(folder)
        for command in ("migrate", "collectstatic --no-input"):
            subprocess.run([sys.executable, "manage.py", *command.split(), "-v", "0"], check=True)
        ledger = Ledger(folder)
        stack.callback(ledger.close)
        session = ledger.call("tests.benchmarks.slow_line:make")
        url = stack.enter_context(served(folder))
        playwright = stack.enter_context(sync_playwright())
        options = ["--ignore-certificate-errors", *(["--disable-http2"] if given.http1 else [])]
        browser = playwright.chromium.launch(executable_path=path, args=[*ARGUMENTS, *options])
        line = (given.kbit_s, given.latency_ms)
        rounds += [one_round(browser, url, session, line) for _ in range(given.rounds)]
        browser.close()
    asked = f"{given.kbit_s:g} kbit/s, {given.latency_ms:g} ms a request"
    way = "HTTP/1.1, six requests at a time" if given.http1 else "HTTP/2"
    print(f"{asked}, {way}, {given.rounds} new browsers")
    for name in rounds[0]:
        print(told(name, [each[name] for each in rounds]))


if __name__ == "__main__":
    main()
