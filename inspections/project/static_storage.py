"""How static files are laid out for a site in production."""

from __future__ import annotations

import re
from typing import Any

from django.core.files.base import ContentFile
from whitenoise.storage import CompressedManifestStaticFilesStorage

OURS = re.compile(r"field/(?!vendor/).*\.js")
REMARK = re.compile(r"^ *(?:/\*\*(?:(?!\*/).)*\*/|//[^\n]*)\n", re.MULTILINE | re.DOTALL)
"""Comments with lines of their own; what stands behind code is left."""


def without_remarks(script: str) -> str:
    """Return a script of the tablet without its comments, a fifth of what a slow line carries."""
    return REMARK.sub("", script)


class TabletStorage(CompressedManifestStaticFilesStorage):
    """Names files by their content, packs them, and takes the comments out of the tablet's."""

    def _save(self, name: str, content: Any) -> str:
        if OURS.fullmatch(name.replace("\\", "/")):
            script = b"".join(content.chunks()).decode()
            content = ContentFile(without_remarks(script).encode(), name=name)
        return super()._save(name, content)
