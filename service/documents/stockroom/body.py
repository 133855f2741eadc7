"""What every body of the stockroom's routes has, and how bodies are read."""

from __future__ import annotations

from typing import Annotated, TypeVar

from pydantic import Field

from inventory import limits
from inventory.errors import Fault
from service.documents.reading.fields import Document, Name, Whole, Within
from service.documents.reading.reading import Reading

Body = TypeVar("Body", bound=Document)
Pieces = Annotated[Whole, Within(limits.PIECES)]


class SignedBody(Document):
    """Who asks for a change, and why."""

    who: Annotated[Name, Field(description="person or system that signs for it")]
    why: Annotated[str, Field(description="the reason, up to 1,000 characters")] = ""


def read_body_as(model: type[Body], raw: bytes) -> Body:
    """Return a body as a model; raises InvalidDocument with every fault."""
    reading = Reading(raw, model)
    if reading.document is not None:
        reading.add(_lines_named_twice(reading.document))
    reading.finish()
    assert reading.document is not None
    return reading.document


def _lines_named_twice(document: Document) -> list[Fault]:
    lines = getattr(document, "lines", None) or []
    return list(
        limits.repeated_faults(((f"/lines/{index}/item", line.item) for index, line in enumerate(lines)), "a line for item")
    )
