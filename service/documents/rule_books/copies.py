"""All rule books of a store as one document, out and in."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field

from inventory import limits
from service.documents.reading.fields import Document, Id, Name, UpTo
from service.documents.reading.reading import Reading
from service.documents.reading.text import LARGEST_BODY
from service.documents.rule_books.bodies import Number
from service.documents.rule_books.known_books import BookKind
from service.documents.stockroom.days import Moment

FORMAT = "holdwright.rule-books/1"
EXAMPLE: dict[str, Any] = {
    "format": FORMAT,
    "books": [
        {
            "name": "shop floor",
            "kind": "shop",
            "versions": [
                {
                    "version": 1, "base": "default", "base_version": 1, "set": {"rate.labour_cents_per_hour": 6200.0},
                    "resolved": {"rate.labour_cents_per_hour": 6200.0}, "by": "fixture engineer", "at": "2027-03-01T08:00:00Z",
                    "why": "rates of the new year",
                    "fingerprint": "",
                },
            ],
        },
    ],
    "in_use": {"book": "shop floor", "version": None},
}  # fmt: skip
MOST_BOOKS, MOST_VERSIONS = 1000, 10_000
"""So many books are kept at most, and so many versions of each."""


class VersionCopyDocument(Document):
    """A version of a rule book, lengths in mm."""

    version: Annotated[Number, Field(description="its number, from 1")]
    base: Annotated[Id, Field(description='the book it starts from, "default": the built-in numbers')]
    base_version: Annotated[Number, Field(description="the version of the base")]
    set: Annotated[dict[str, float], UpTo(limits.ITEMS), Field(description="the rules it sets itself")]
    resolved: Annotated[dict[str, float], UpTo(limits.ITEMS), Field(description="rules that differ from the built-in numbers")]
    by: Annotated[Name, Field(description="person or system that signed for it")]
    at: Annotated[Moment, Field(description="when it was made")]
    why: Annotated[str, Field(description="the reason")]
    fingerprint: Annotated[str, Field(description="SHA-256 of all it says; empty: it is not compared")] = ""


class BookCopyDocument(Document):
    """A rule book with all its versions, the first one first."""

    name: Annotated[Id, Field(description="what requests name it by")]
    kind: Annotated[BookKind, Field(description="whose numbers they are")] = "shop"
    versions: Annotated[list[VersionCopyDocument], UpTo(MOST_VERSIONS, 1), Field(description="from the first one to the newest")]


class InUseCopyDocument(Document):
    """The rule book that counted there where a request named none."""

    book: Annotated[Id, Field(description='"default": the built-in numbers')]
    version: Annotated[Number | None, Field(description="the version that counted; null: always the newest")] = None


class RuleBooksDocument(Document):
    """Rule books with all their versions.

    Taken in, they are added to those that are there; which book is in use stays as it is.
    """

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.rule-books/1"], Field(description=f'"{FORMAT}"')]
    books: Annotated[list[BookCopyDocument], UpTo(MOST_BOOKS), Field(description="the books")]
    in_use: Annotated[InUseCopyDocument | None, Field(description="what was in use there; not taken in")] = None


def read_rule_books(raw: bytes, largest: int = LARGEST_BODY) -> RuleBooksDocument:
    """Return the document, of at most so many bytes; raises InvalidDocument with every fault."""
    reading = Reading(raw, RuleBooksDocument, largest)
    names = reading.names("/books", "name")
    reading.add(limits.repeated_faults(names, "a rule book"))
    reading.finish()
    assert reading.document is not None
    return reading.document
