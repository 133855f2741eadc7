"""Questions that can be put to a piece of a finished plan: why it and not another, why here and not elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from solver.plans import Alternative

Question = Literal["piece", "item", "hole"]
QUESTIONS: Mapping[Question, str] = {
    "piece": "Why does it stand exactly so?",
    "item": "Why a piece of this item at all?",
    "hole": "Why in this hole?",
}
"""Each question, and how it is put; what it forces is that the fixture does without."""


def why_body(question: Question, one: Alternative, piece: str) -> dict[str, Any]:
    """Return what a plan is asked: the cheapest fixture without a piece, without its item, with nothing in its hole."""
    placement = next(each for each in one.placements if each.id == piece)
    avoid: dict[str, Any] = {"piece": piece}
    if question == "item":
        avoid = {"item": placement.item}
    elif question == "hole" and placement.hole is not None:
        avoid = {"hole": f"{one.table}/{placement.hole}"}
    return {"rank": one.rank, "avoid": [avoid]}
