"""How a weldment lies, and what was checked of it: what alternatives and their variants have alike."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from service.documents.plan_schema.fixture import Lenient, Number
from solver.plans import Finding
from solver.request import Down


class PlannedLieDocument(Lenient):
    """How the weldment lies."""

    down: Annotated[Down, Field(description="weldment direction that faces the table")]
    turn: Annotated[Number, Field(description="degrees about the table's +z")]


class FindingDocument(Lenient):
    """A check's result."""

    rule: Annotated[str, Field(description="the rule it comes from")]
    subject: Annotated[str, Field(description="what it is about")]
    value: Annotated[Number | None, Field(description="what was found")] = None
    limit: Annotated[Number | None, Field(description="what the rule asks")] = None
    unit: Annotated[str, Field(description="unit of both")] = ""
    ok: Annotated[bool, Field(description="whether the rule is kept")]
    text: Annotated[str, Field(description="the same in words, where there is more to say")] = ""

    def to_domain(self) -> Finding:
        """Return the finding as a value."""
        return Finding(self.rule, self.subject, self.value, self.limit, self.unit, self.ok, self.text)
