"""A re-plan's steps of the hands on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from service.documents.plan_schema.fixture import Lenient, Number
from solver.plans import Change, Handling


class ChangeDocument(Lenient):
    """One step of the hands from the plan that stands to the new one."""

    do: Annotated[Handling, Field(description="take_off, move (elsewhere, or turned), set (its slide or reach), add")]
    piece: Annotated[str, Field(description="id in the new plan; a piece that stays or moves has the same in both")]
    item: Annotated[str, Field(description="id of the item")]
    hole_before: Annotated[str | None, Field(description="where it stood; null on a carrier, and for add")] = None
    stands_on_before: Annotated[str | None, Field(description="the piece it stood on")] = None
    hole: Annotated[str | None, Field(description="where it stands after the step; null on a carrier, and for take_off")] = None
    stands_on: Annotated[str | None, Field(description="the piece it stands on after the step")] = None
    turn: Annotated[Number | None, Field(description="degrees about +z after the step; null for take_off")] = None
    setting_mm: Annotated[Number | None, Field(description="setting after the step; null if there is none")] = None
    why: Annotated[str, Field(description="why, in the trade's words")] = ""

    def to_domain(self) -> Change:
        """Return the step as a value."""
        return Change(**{name: getattr(self, name) for name in ChangeDocument.model_fields})
