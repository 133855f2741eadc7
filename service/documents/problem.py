"""The problem document (RFC 9457): what was refused, and everything found wrong."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, Field

from inventory.reservations import State, Step
from service.documents.stockroom.shortage import ShortLineDocument


class ProblemDocument(BaseModel):
    """A refusal (RFC 9457)."""

    type: str = Field(description="stable address of this kind of problem", examples=["/v1/problems/invalid"])
    title: str
    status: int
    detail: str
    instance: Annotated[str | None, Field(description="this one occurrence")] = None
    request_id: Annotated[str | None, Field(description="`X-Request-Id` of this answer, as in the server's log")] = None
    faults: list[FaultDocument] = Field(default=[], description="everything found wrong with the document, the first hundred")
    faults_total: Annotated[int, Field(description="how many faults were found, where more were found than are listed")] = 0
    short: Annotated[list[ShortLineDocument], Field(description="of a problem `short`: every line that is not free")] = []
    roles: Annotated[list[str], Field(description="of a problem `role`: the roles that may")] = []
    state: Annotated[State | None, Field(description="of a problem `step`: the state the reservation is in")] = None
    allowed: Annotated[list[Step], Field(description="of a problem `step`: the steps it may take")] = []


class FaultDocument(BaseModel):
    """One thing wrong with a document."""

    pointer: str = Field(description="JSON pointer (RFC 6901) to the offending value", examples=["/weldment/parts/0/length"])
    wrong: str
    accepted: str
