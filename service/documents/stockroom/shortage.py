"""Pieces that could not be promised, on the wire."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from pydantic import Field

from inventory.availability import ShortLine
from service.documents.answers.answer import Answer


class ShortLineDocument(Answer):
    """One line that could not be promised, and from when it could be."""

    item: str
    name: str
    first: Annotated[date, Field(alias="from", description="first of the days asked for")]
    last: Annotated[date, Field(alias="to", description="last of them")]
    needed: Annotated[int, Field(description="pieces asked for")]
    free: Annotated[int, Field(description="pieces free on every one of those days")]
    in_service: Annotated[int, Field(description="pieces that can be used, promised or not")]
    more_free: Annotated[int | None, Field(description="pieces free from `more_from` on")]
    more_from: Annotated[date | None, Field(description="first day on which more are free; null: none known")]
    enough_from: Annotated[date | None, Field(description="first day from which enough are free for as many days")]
    text: Annotated[str, Field(description="the same in a sentence")]


def short_document(line: ShortLine) -> dict[str, Any]:
    """Return one line that could not be promised."""
    return ShortLineDocument(
        item=line.item, name=line.name, first=line.span.first, last=line.span.last, needed=line.needed, free=line.free,
        in_service=line.usable, more_free=line.more_free, more_from=line.more_from, enough_from=line.enough_from, text=str(line),
    ).plain()  # fmt: skip
