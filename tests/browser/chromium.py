"""Where Chromium is, and how it is started for these pages."""

import shutil

NAMES = ("chromium", "chromium-browser", "google-chrome")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
MISSING = "No browser found. Install the Debian package `chromium`."


def chromium_path() -> str | None:
    """Return the browser's path, None where there is none."""
    return next(filter(None, map(shutil.which, NAMES)), None)
