"""What a list is asked for by the fields above it: texts, days; what cannot be read is told at its field."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Annotated
from urllib.parse import urlencode

from fastapi import Query

from inventory.availability import Span, asked_span
from inventory.errors import InvalidDocument
from service.page.forms import Form

Words = Annotated[str, Query(max_length=200)]
"""A field of a list's filter as browsers send it: empty where nothing is wanted."""
FromField = Annotated[str, Query(alias="from", max_length=20)]
ToField = Annotated[str, Query(alias="to", max_length=20)]
CursorField = Annotated[str | None, Query(max_length=400)]
DoneField = Annotated[str, Query(max_length=20)]
"""The version that a change just made; what says so is shown as long as it is that version."""


def filled(pairs: Iterable[tuple[str, str]]) -> str:
    """Return the query of those fields that are filled in, with its question mark; empty if none is."""
    query = urlencode([(name, value) for name, value in pairs if value])
    return f"?{query}" if query else ""


def span_in(form: Form, otherwise: Span) -> Span:
    """Return the days of the fields ``from`` and ``to``; one alone moves the other end of `otherwise` out of its way.

    Days that cannot be leave a fault at their field, and `otherwise` is returned.
    """
    first, last = form.day("from"), form.day("to")
    try:
        return asked_days(first, last, otherwise)
    except InvalidDocument as bad:
        form.faults += bad.faults
        return otherwise


def asked_days(first: date | None, last: date | None, otherwise: Span) -> Span:
    """Return the days asked for; raises InvalidDocument for days in the wrong order or beyond the calendar."""
    if first is None and last is None:
        return otherwise
    begin = first or min(last or otherwise.first, otherwise.first)
    return asked_span(begin, last or max(begin, otherwise.last))
