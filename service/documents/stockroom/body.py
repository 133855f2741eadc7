"""What every body of the stockroom's routes has, and how bodies are read."""

from __future__ import annotations

from typing import Annotated, Any, TypeVar

from pydantic import Field

from inventory import limits
from inventory.errors import Fault
from service.documents.reading.fields import Document, Name, Whole, Within
from service.documents.reading.reading import Reading

Body = TypeVar("Body", bound=Document)
Pieces = Annotated[Whole, Within(limits.PIECES)]


NOBODY_SIGNS = Fault("/who", "nobody signs", "the person or system that signs for it, or an API key, whose name signs then")


class SignedBody(Document):
    """Who asks for a change, and why."""

    who: Annotated[Name | None, Field(description="person or system that signs for it; absent = the name of the API key")] = None
    why: Annotated[str, Field(description="the reason, up to 1,000 characters")] = ""


def read_body_as(model: type[Body], raw: bytes | dict[str, Any], signs: str | None = None) -> Body:
    """Return a body as a model, signed by `signs` where nobody is named to sign; raises InvalidDocument with every fault."""
    reading = Reading(raw, model)
    unsigned = issubclass(model, SignedBody) and isinstance(reading.values, dict) and reading.values.get("who") is None
    if unsigned and signs is None:
        reading.add([NOBODY_SIGNS])
    if reading.document is not None:
        reading.add(_lines_named_twice(reading.document))
    reading.finish()
    assert reading.document is not None
    return reading.document.model_copy(update={"who": signs}) if unsigned else reading.document


def _lines_named_twice(document: Document) -> list[Fault]:
    lines = getattr(document, "lines", None) or []
    return list(
        limits.repeated_faults(((f"/lines/{index}/item", line.item) for index, line in enumerate(lines)), "a line for item")
    )
