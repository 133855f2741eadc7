"""How far an answer is proved, what ended the search and what is odd about it, in words for whoever compares its alternatives."""

from __future__ import annotations

from dataclasses import dataclass

from service.documents.jobs.plan_words import above_cheapest, not_tried
from service.page.comparing.planned_job import PlannedJob
from service.text import money

_STOPPED = {
    "proof": "The search went on until this was proved.",
    "scope": "Everything that is tried was tried.",
    "work": "The search ended with the work that was allowed for it.",
    "time": "The search ended with its time limit.",
    "cancel": "Somebody ended the search; this is the best it had found by then.",
}
_TOLD = ("alternatives.fewer", "plan.proved")
"""Findings of a plan as a whole that are told although they hold."""


@dataclass(frozen=True, slots=True)
class AnswerWords:
    """What is said above the alternatives: a word for the state, sentences, what was not tried, warnings and notes."""

    good: bool
    state: str
    proved: str
    stopped: str
    not_tried: tuple[str, ...]
    notes: tuple[str, ...]


def answer_words(planned: PlannedJob) -> AnswerWords:
    """Return what is said of a plan that has alternatives."""
    plan, currency = planned.plan, planned.currency
    best = plan.alternatives[0].cost.total_cents
    if plan.status == "optimal":
        state, proved = "proved cheapest", "No fixture that the request, the stock and the rules allow is cheaper than rank 1."
    else:
        above, bound = above_cheapest(best, plan.cost_bound_cents), plan.cost_bound_cents
        state = above or "best found"
        least = "" if not bound else f"; nothing can cost less than {money(round(bound), currency)}"
        proved = f"The best found, {above or 'with no bound proved'}{least}."
    findings = [f"{each.subject}: {each.text}" for each in plan.findings if each.text and (not each.ok or each.rule in _TOLD)]
    return AnswerWords(
        plan.status == "optimal",
        state,
        proved,
        _STOPPED.get(plan.stopped_by or "", ""),
        tuple(not_tried(left, plan.alternatives, currency) for left in plan.left_out),
        (*planned.job.warnings, *findings),
    )
