"""How far rules may move before a plan of the store changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from anyio.to_thread import run_sync

from service.documents.rescoring.breakpoints import breakpoints_document
from service.documents.rescoring.kept_score import is_current, read_score
from service.errors import NoScore
from service.planning_jobs.planning_service import PlanningService
from service.rescoring.rule_consequences import RuleConsequences


@dataclass(frozen=True, slots=True)
class PlanBreakpoints:
    """Breakpoints of the plans of a store."""

    planning: PlanningService

    async def of(self, id: str, rank: int) -> dict[str, Any] | None:
        """Return how far each rule may move for a plan, None if it has no alternative of that rank.

        Raises
        ------
        NoScore
            The plan cannot be scored.
        TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        found = await run_sync(self.planning.records.scored_named, [id])
        if not found:
            return None
        text, why = found[0].score, ""
        if text is None or not is_current(text):
            text, why = await RuleConsequences(self.planning).score(id)
        if text is None:
            raise NoScore(why)
        return await self.planning.side_tasks.work("the breakpoints", breakpoints_of, text, rank)


def breakpoints_of(text: str, rank: int) -> dict[str, Any] | None:
    """Return the breakpoints of a plan whose score is kept as this text; None if it has no alternative of that rank."""
    score = read_score(text)
    return breakpoints_document(score, rank) if any(each.rank == rank for each in score.alternatives) else None
