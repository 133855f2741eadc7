"""The headers of answers: what each says, how it is written, and whether every such answer has it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

_TEXT = {"type": "string"}
_SECONDS = {"type": "string", "pattern": "^[0-9]+$"}

HEADERS: Mapping[str, tuple[str, Mapping[str, Any], bool]] = {
    "Allow": ("the methods this address takes", _TEXT, True),
    "Content-Disposition": ("the file's name", _TEXT, True),
    "ETag": ("the version of what is shown; `If-Match` names it", _TEXT, True),
    "Link": ("the setup sheets of the plan's alternatives, once there are any", _TEXT, False),
    "Location": ("where it is", _TEXT, True),
    "Preference-Applied": ("`wait=N` if `Prefer` asked for it", _TEXT, False),
    "Retry-After": ("seconds after which asking again is worth it", _SECONDS, False),
    "Vary": ("the request's headers it depends on", _TEXT, True),
}
"""By name: its words, its schema, whether it is always there."""


def header_objects(names: Iterable[str]) -> dict[str, dict[str, Any]]:
    """Return headers as OpenAPI describes them."""
    return {
        name: {"description": says, "required": always, "schema": dict(schema)}
        for name, (says, schema, always) in ((name, HEADERS[name]) for name in names)
    }
