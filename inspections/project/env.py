"""Settings that come from the environment, with a refusal where one is unsafe."""

import secrets
from contextlib import suppress
from pathlib import Path

import environ
from django.core.exceptions import ImproperlyConfigured

env = environ.Env()
SHORTEST_SECRET, FEWEST_SIGNS = 50, 12
MAKE_ONE = (
    "give a long random string, and keep it out of files:"
    ' python -c "import secrets; print(secrets.token_urlsafe(60))".'
)


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


def production_secret(name: str) -> str:
    """Return a secret that nobody can guess, or say how to make one."""
    value = required(name, MAKE_ONE)
    if len(value) < SHORTEST_SECRET or len(set(value)) < FEWEST_SIGNS:
        raise ImproperlyConfigured(f"{name} is too easy to guess: {MAKE_ONE}")
    return value


def hosts(name: str) -> list[str]:
    """Return the names under which a site is reached; a name that fits any is refused."""
    value = required(name, "give the site's host names, separated by commas.")
    found = [each.strip() for each in value.split(",") if each.strip()]
    for each in found:
        if "*" in each or each.startswith("."):
            raise ImproperlyConfigured(
                f"{name}: «{each}» lets links be made to hosts that are not yours. Name each host."
            )
        if "/" in each or (":" in each and not each.startswith("[")):
            raise ImproperlyConfigured(
                f"{name}: «{each}» is an address. Give the host alone, without https:// and port."
            )
    return found


def switch(name: str, meaning: str) -> bool:
    """Return a setting that is on or off, and off where nobody has set it."""
    value = env.str(name, default="0")
    if value not in ("0", "1"):
        raise ImproperlyConfigured(f"{name} is «{value}»: give {meaning}")
    return value == "1"


def at_least(name: str, least: int, *, default: int) -> int:
    """Return a whole number that may be raised, and lowered to ``least`` alone."""
    value = env.int(name, default=default)
    if value < least:
        raise ImproperlyConfigured(f"{name} is {value}: give {least} or more.")
    return value
