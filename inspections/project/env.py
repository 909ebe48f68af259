"""Settings that come from the environment, with a refusal where one is unsafe."""

import secrets
from contextlib import suppress
from pathlib import Path

import environ
from django.core.exceptions import ImproperlyConfigured

env = environ.Env()


def local_secret(folder: Path) -> str:
    """Return the secret key of this checkout, made at its first use and kept out of the repo."""
    path = folder / "secret-key"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        own = folder / f"secret-key.{secrets.token_hex(8)}"
        own.touch(mode=0o600)
        own.write_text(secrets.token_urlsafe(50), encoding="utf-8")
        # Several processes may start at once: the first to link wins, and none reads half a key.
        with suppress(FileExistsError):
            path.hardlink_to(own)
        own.unlink()
    return path.read_text(encoding="utf-8")


def required(name: str, why: str) -> str:
    """Return a setting that a production site must give, or say what to set."""
    value = env.str(name, default="")
    if not value:
        raise ImproperlyConfigured(f"{name} is not set: {why}")
    return value


def switch(name: str, meaning: str) -> bool:
    """Return a setting that is on or off, and off where nobody has set it."""
    value = env.str(name, default="0")
    if value not in ("0", "1"):
        raise ImproperlyConfigured(f"{name} is «{value}»: give {meaning}")
    return value == "1"
