"""Changed rules held against kept scores: one plan after the other, in whichever process is asked to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from service.documents.rescoring.kept_score import read_score
from service.documents.rescoring.what_if import plan_effect
from service.records.plan_scores import ScoredJob
from solver.rescoring.rescored import RescoredPlan, rescored


@dataclass(frozen=True, slots=True)
class Totals:
    """What changed rules come to over all plans that were looked at; prices in cents, of the alternatives that were first."""

    plans: int = 0
    price_changes: int = 0
    first_changes: int = 0
    ranking_changes: int = 0
    broken: int = 0
    must_be_checked: int = 0
    total_before_cents: int = 0
    total_after_cents: int = 0

    def with_plan(self, found: RescoredPlan) -> Totals:
        """Return the totals with one plan more."""
        best = found.alternatives[0]
        return Totals(
            self.plans + 1,
            self.price_changes + any(each.difference_cents for each in found.alternatives),
            self.first_changes + found.first_changes,
            self.ranking_changes + found.ranking_changes,
            self.broken + bool(best.broken),
            self.must_be_checked + (best.allowed is None),
            self.total_before_cents + best.score.cost.total_cents,
            self.total_after_cents + best.cost.total_cents,
        )

    def plain(self) -> dict[str, int]:
        """Return the totals by name."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


@dataclass(frozen=True, slots=True)
class Effects:
    """What changed rules do: totals, and each plan that is shown as plain values."""

    totals: Totals
    shown: tuple[dict[str, Any], ...]


def effects(jobs: Sequence[ScoredJob], rules: Mapping[str, float], *, all_shown: bool) -> Effects:
    """Return what changed rules do to plans whose scores are at hand.

    Parameters
    ----------
    rules : mapping
        Numbers in place of each plan's own, by name.
    all_shown : bool
        Whether plans that nothing changes for are shown too.
    """
    totals, shown = Totals(), []
    for job in jobs:
        if job.score is None:
            continue
        found = rescored(read_score(job.score), rules)
        totals = totals.with_plan(found)
        if all_shown or changes(found):
            about = {"plan": job.id, "name": job.name, "status": job.status, "quantity": job.quantity}
            shown.append(plan_effect(about, found))
    return Effects(totals, tuple(shown))


def changes(found: RescoredPlan) -> bool:
    """Return whether a plan's price, ranking or allowance changes, or whether that cannot be said."""
    return found.ranking_changes or any(each.difference_cents or each.broken or each.unjudged for each in found.alternatives)
