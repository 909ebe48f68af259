"""What is sent, read strictly."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser


class StrictJSONParser(JSONParser):
    """JSON that is an object, without NaN, infinity or characters that no table keeps."""

    def parse(
        self,
        stream: IO[bytes],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> dict[str, Any]:
        """Return the object."""
        try:
            text = stream.read().decode("utf-8")
            found = json.loads(text, parse_constant=_refuse)
            # Half of a pair of surrogates can be written in JSON, but kept nowhere.
            json.dumps(found, ensure_ascii=False).encode("utf-8")
        except (ValueError, RecursionError) as error:
            raise ParseError(f"The body is no JSON in UTF-8: {error}.") from error
        if not isinstance(found, dict):
            raise ParseError("The body must be a JSON object.")
        return found


def _refuse(name: str) -> None:
    raise ValueError(f"{name} is no number")
