"""What is told of kept rule books."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from service.documents.answers.answer import Answer
from service.documents.answers.catalogue import Next
from service.documents.rule_books.known_books import BookKind

By = Annotated[str, Field(description="person or system that signed for it")]
At = Annotated[str, Field(description="when, UTC")]


class BookUseDocument(Answer):
    """The rule book that counts where a request names none."""

    book: Annotated[str, Field(description='"default": the built-in numbers')]
    version: Annotated[int | None, Field(description="the version that counts; null: always the newest")]
    number: Annotated[int, Field(description="grows with every change; its ETag")]
    by: Annotated[str | None, Field(description="person or system that signed for it; null: nothing was ever put in use")]
    at: Annotated[str | None, Field(description="since when, UTC")]
    why: str | None


class BookHeadDocument(Answer):
    """A version of a rule book without its rules."""

    name: str
    kind: BookKind
    version: Annotated[int, Field(description="number of this version; the newest is the book's ETag")]
    base: Annotated[str, Field(description='the book it starts from; "default": the built-in numbers')]
    base_version: int
    base_newest: Annotated[int, Field(description="the base's newest version; above `base_version`: it is left behind")]
    rules_set: Annotated[int, Field(description="how many rules it sets itself")]
    by: By
    at: At
    why: str


class BookPageDocument(Answer):
    """A page of the kept rule books by name, each as its newest version has it; `in_use` counts where a request names none."""

    in_use: BookUseDocument
    books: list[BookHeadDocument]
    next: Next


class ValueAtDocument(Answer):
    """What one link of the chain says."""

    book: str
    version: int
    value: float


class ResolvedRuleDocument(Answer):
    """A rule's value, where it comes from, and what the links of the chain say: the built-in number first, the value last."""

    name: str
    value: float
    unit: str
    book: Annotated[str, Field(description="the book the value comes from")]
    version: int
    steps: list[ValueAtDocument]


class RuleBookDocument(Answer):
    """A version of a rule book, every rule resolved."""

    name: str
    version: int
    base: Annotated[str | None, Field(description="the book it starts from; null: they are the built-in numbers")]
    base_version: int | None
    set: Annotated[dict[str, float], Field(description="the rules it sets itself, lengths in mm")]
    by: str | None
    at: str | None
    why: str | None
    fingerprint: Annotated[str | None, Field(description="SHA-256 of all it says")]
    rules: Annotated[list[ResolvedRuleDocument], Field(description="every rule, those of other books and the built-in ones too")]


class VersionDocument(Answer):
    """A version of a rule book as it was made."""

    version: int
    base: str
    base_version: int
    set: Annotated[dict[str, float], Field(description="the rules it sets itself, lengths in mm")]
    by: By
    at: At
    why: str
    fingerprint: str


class VersionPageDocument(Answer):
    """A page of a book's versions, newest first."""

    versions: list[VersionDocument]
    next: Next


class BookNameDocument(Answer):
    """A version of a book by its name and number."""

    name: str
    version: int


class ChangedBookDocument(VersionDocument):
    """A new version of a rule book, and what follows for books that start from it."""

    name: str
    followed: Annotated[list[BookNameDocument], Field(description="versions made so that they start from this one")]
    behind: Annotated[list[BookNameDocument], Field(description="newest versions that start from an older one of it")]


class RuleDifferenceDocument(Answer):
    """A rule with two values, and where each comes from."""

    name: str
    unit: str
    before: ValueAtDocument
    after: ValueAtDocument


class BookDifferenceDocument(Answer):
    """The rules that differ between two versions of books, whichever book they come from."""

    before: BookNameDocument
    after: BookNameDocument
    rules: list[RuleDifferenceDocument]


class BooksImportDocument(Answer):
    """What rule books of a document are new here."""

    books: Annotated[list[str], Field(description="books that were not here")]
    versions: Annotated[list[BookNameDocument], Field(description="versions that were not here")]
    unchanged: Annotated[int, Field(description="versions that are here already, as they are in the document")]
    written: Annotated[bool, Field(description="false: it was only looked at")]
