"""A file that waits, checked, until someone confirms its import.

The session holds its name and what was said about it; the content lies in a folder of the
site, so that no page after it has to carry it along.
"""

from __future__ import annotations

import secrets
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.sessions.backends.base import SessionBase

LONGEST_WAIT_S = 24 * 3600
_IN_SESSION = "uploads"


@dataclass(frozen=True, slots=True)
class Upload:
    """A file on its way in."""

    token: str
    name: str
    options: dict[str, Any]
    content: bytes


def keep(
    session: SessionBase, kind: str, *, name: str, options: dict[str, Any], content: bytes
) -> Upload:
    """Let a file wait; an earlier one of its kind in this session is dropped."""
    forget(session, kind)
    folder = _folder()
    _drop_old(folder)
    upload = Upload(secrets.token_hex(16), name, options, content)
    path = folder / upload.token
    path.touch(mode=0o600)
    path.write_bytes(content)
    waiting = session.get(_IN_SESSION, {})
    session[_IN_SESSION] = waiting | {
        kind: {"token": upload.token, "name": name, "options": options}
    }
    return upload


def kept(session: SessionBase, kind: str, token: str) -> Upload | None:
    """Return the file that waits under a token, None if it does so no longer."""
    said = session.get(_IN_SESSION, {}).get(kind)
    if said is None or said["token"] != token:
        return None
    try:
        content = (_folder() / said["token"]).read_bytes()
    except FileNotFoundError:
        return None
    return Upload(said["token"], said["name"], said["options"], content)


def forget(session: SessionBase, kind: str) -> None:
    """Drop the file of a kind that waits in this session, if there is one."""
    waiting = dict(session.get(_IN_SESSION, {}))
    said = waiting.pop(kind, None)
    if said is not None:
        (_folder() / said["token"]).unlink(missing_ok=True)
        session[_IN_SESSION] = waiting


def _folder() -> Path:
    folder = Path(settings.LOCAL_DIR) / "uploads"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def _drop_old(folder: Path) -> None:
    for path in folder.iterdir():
        try:
            if time.time() - path.stat().st_mtime > LONGEST_WAIT_S:
                path.unlink()
        except FileNotFoundError:
            continue  # another request was quicker
