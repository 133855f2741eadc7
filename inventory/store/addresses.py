"""Addresses of databases as they may be shown: without what lets somebody in."""

from __future__ import annotations

import re

from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

_SECRET = re.compile("password|secret|token", re.IGNORECASE)
_WRITTEN = re.compile(r"(://[^\s:/@]*):[^@]*@")


def without_password(url: str) -> str:
    """Return a database's address with `***` in the place of every password, readable as an address or not."""
    try:
        parsed = make_url(url)
    except (ArgumentError, ValueError):
        return _WRITTEN.sub(r"\1:***@", url)
    hidden = {name: "***" for name in parsed.query if _SECRET.search(name)}
    return parsed.update_query_dict(hidden).render_as_string(hide_password=True)
