"""Why a job has no plan, and what would help, in words."""

from __future__ import annotations

from dataclasses import dataclass

from service.documents.jobs.plan_words import not_tried, repair_words
from service.page.wording import unquoted
from service.text import money
from solver.plans import Omission, Plan, Purchase, Reason, Relaxation, Repair
from solver.rule_book import BY_NAME


@dataclass(frozen=True, slots=True)
class ShownReason:
    """A reason with the remedy its rule names; `known` says whether the rule stands in the rule book."""

    reason: Reason
    remedy: str
    known: bool


@dataclass(frozen=True, slots=True)
class ShownRepair:
    """A repair: its number in the plan, what it does, what its plan costs, what the button says that plans with it."""

    number: int
    words: str
    then: str
    button: str
    rule: str


@dataclass(frozen=True, slots=True)
class ShownRefusal:
    """All that is said where there is no plan."""

    reasons: tuple[ShownReason, ...]
    repairs: tuple[ShownRepair, ...]
    left_out: tuple[str, ...]


def shown_refusal(plan: Plan, currency: str) -> ShownRefusal | None:
    """Return why there is no plan, and what would help; None if there is one."""
    if plan.refused is None:
        return None
    return ShownRefusal(
        tuple(_reason(reason) for reason in plan.refused.because),
        tuple(_repair(number, repair, currency) for number, repair in enumerate(plan.refused.would_help)),
        tuple(not_tried(left, plan.alternatives, currency) for left in plan.left_out),
    )


def _reason(reason: Reason) -> ShownReason:
    rule = BY_NAME.get(reason.rule)
    remedy = "" if rule is None or rule.hindrance is None else unquoted(rule.hindrance.remedy)
    return ShownReason(reason, remedy, rule is not None)


def _repair(number: int, repair: Repair, currency: str) -> ShownRepair:
    then = money(repair.plan.cost.total_cents, currency)
    rule = repair.rule if isinstance(repair, Relaxation) else ""
    return ShownRepair(number, repair_words(repair, currency), then, _button(repair), rule)


def _button(repair: Repair) -> str:
    if isinstance(repair, Purchase):
        return "Plan with this bought"
    if isinstance(repair, Relaxation):
        return "Relax this rule and plan again"
    if isinstance(repair, Omission):
        return "Drop this and plan again"
    return "Allow this and plan again"
