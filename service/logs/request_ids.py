"""Ids of requests: the caller's own in `X-Request-Id`, so that its log and ours can be laid side by side, or one made here."""

from __future__ import annotations

import re
import secrets

LONGEST = 64
_GIVEN = re.compile(rf"[\x21-\x7e]{{1,{LONGEST}}}")


def new_request_id() -> str:
    """Return an id that no other request has."""
    return secrets.token_hex(8)


def request_id(given: str | None) -> str:
    """Return the id that was given, or a new one where none was or it is longer than 64 characters or not printable ASCII."""
    return given if given is not None and _GIVEN.fullmatch(given) else new_request_id()
