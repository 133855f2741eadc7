"""What the server says of itself: whether it lives, whether it can work, which documents and kinds of problems there are."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field

from service.documents.answers.answer import Answer


class LivenessDocument(Answer):
    """The server lives."""

    status: Literal["ok"]


class ReadinessDocument(Answer):
    """Whether the server can take requests and solve them, and what is in the way."""

    status: Literal["ok", "not ready"]
    checks: Annotated[
        dict[str, str] | None, Field(description='by what was looked at: "ok", or what is wrong; only for those with a key')
    ] = None

    def plain(self) -> dict[str, Any]:
        """Return the document as plain JSON values, without checks nobody may see."""
        return self.model_dump(mode="json", exclude_none=True)


class SchemaListDocument(Answer):
    """The documents that have a schema."""

    schemas: Annotated[list[str], Field(description="their names, as `/v1/schemas/{name}` takes them")]


class SchemaDocument(Answer):
    """A JSON Schema (2020-12) of a document."""

    model_config = ConfigDict(extra="allow")

    dialect: Annotated[str, Field(alias="$schema", description="the dialect it is written in")]
    title: Annotated[str, Field(description="the document's name")]
    properties: Annotated[dict[str, Any], Field(description="the document's fields")]


class ProblemKindDocument(Answer):
    """A kind of problem: what it means, and what to do."""

    type: Annotated[str, Field(description="the `type` of problems of this kind")]
    title: str
    status: Annotated[int, Field(description="the HTTP status it comes with")]
    meaning: Annotated[str, Field(description="what has happened")]
    remedy: Annotated[str, Field(description="what to do")]


class ProblemKindsDocument(Answer):
    """Every kind of problem there is."""

    problems: list[ProblemKindDocument]
