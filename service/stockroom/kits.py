"""From a plan to the pieces its kit needs from the shelf."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.availability import Span
from inventory.errors import Fault, InvalidDocument
from solver.plans import Plan


@dataclass(frozen=True, slots=True)
class PlannedKit:
    """A plan somebody wants to build: its id, the request document it answers, and the days that request names."""

    id: str
    plan: Plan
    request: Mapping[str, Any] | None

    def pieces(self, rank: int) -> dict[str, int]:
        """Return the pieces one alternative takes from the shelf, without those it would buy; raises InvalidDocument."""
        alternative = self.plan.alternative(rank)
        if alternative is None:
            ranks = ", ".join(str(each.rank) for each in self.plan.alternatives) or "none, the plan has no alternative"
            raise InvalidDocument([Fault("/rank", f"plan {self.id} has no alternative {rank}", ranks)])
        pieces: dict[str, int] = {}
        for line in alternative.kit:
            pieces[line.item] = pieces.get(line.item, 0) + line.count - line.buy
        taken = {item: count for item, count in pieces.items() if count > 0}
        if not taken:
            raise InvalidDocument([Fault("/rank", "this kit takes nothing from the shelf", "an alternative that does")])
        return taken

    @property
    def span(self) -> Span | None:
        """The days the request names, None if it names none."""
        needed = (self.request or {}).get("needed")
        return None if not needed else Span(date.fromisoformat(needed["from"]), date.fromisoformat(needed["to"]))
