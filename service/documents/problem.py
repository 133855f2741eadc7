"""The problem document (RFC 9457): what was refused, and everything found wrong."""

from __future__ import annotations

from pydantic import BaseModel, Field


class ProblemDocument(BaseModel):
    """A refusal (RFC 9457)."""

    type: str = Field(description="stable address of this kind of problem", examples=["/v1/problems/invalid"])
    title: str
    status: int
    detail: str
    instance: str | None = None
    request_id: str | None = Field(default=None, description="`X-Request-Id` of this answer, under which the server's log has it")
    faults: list[FaultDocument] = Field(default=[], description="everything found wrong with the document")


class FaultDocument(BaseModel):
    """One thing wrong with a document."""

    pointer: str = Field(description="JSON pointer (RFC 6901) to the offending value", examples=["/weldment/parts/0/length"])
    wrong: str
    accepted: str
