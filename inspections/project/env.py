"""Settings that come from the environment, with a refusal where one is unsafe."""

import secrets
from pathlib import Path

import environ
from django.core.exceptions import ImproperlyConfigured

env = environ.Env()


def local_secret(folder: Path) -> str:
    """Return the secret key of this checkout, made at its first use and kept out of the repo."""
    path = folder / "secret-key"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(50), encoding="utf-8")
    return path.read_text(encoding="utf-8")


def required(name: str, why: str) -> str:
    """Return a setting that a production site must give, or say what to set."""
    value = env.str(name, default="")
    if not value:
        raise ImproperlyConfigured(f"{name} is not set: {why}")
    return value
