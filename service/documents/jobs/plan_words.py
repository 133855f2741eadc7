"""An answer in words, the same at every door: how far it is proved, why there is none, what would help, what was not tried."""

from __future__ import annotations

import math
from collections.abc import Sequence

from service.text import money
from solver.plans import Alternative, LeftOut, Omission, Plan, Purchase, Relaxation, Repair


def standing(plan: Plan) -> str:
    """Return how far the answer is proved, in one line."""
    if plan.status == "optimal":
        return "optimal: rank 1 is proved the cheapest of all the request, stock and rules allow"
    if plan.status == "feasible":
        proved = above_cheapest(plan.alternatives[0].cost.total_cents, plan.cost_bound_cents) or "no bound proved"
        return f"feasible: the best found, {proved}; stopped by {plan.stopped_by}"
    if plan.status == "infeasible":
        return "infeasible: there is no plan, proved twice"
    return f"unknown: neither a plan nor a proof that there is none; stopped by {plan.stopped_by}"


def above_cheapest(best_cents: int, bound_cents: float | None) -> str:
    """Return how far a price is proved to be from the cheapest, rounded up; nothing if nothing is proved."""
    if not bound_cents:
        return ""
    above = max(0, best_cents - bound_cents) / bound_cents
    return f"at most {math.ceil(1000 * above) / 10:.1f} % above the cheapest"


def refusal_lines(plan: Plan, currency: str) -> list[str]:
    """Return a line a reason why there is no plan, and one a repair that helps; none if there is a plan."""
    if plan.refused is None:
        return []
    lines = [f"because: {reason.text}  [{reason.rule}, {reason.subject}]" for reason in plan.refused.because]
    for repair in plan.refused.would_help:
        then = money(repair.plan.cost.total_cents, currency)
        lines.append(f"would help: {repair_words(repair, currency)}: then {then} in all")
    return lines


def repair_words(repair: Repair, currency: str) -> str:
    """Return what a repair does: ``buy 2 x stop-60 for 104.00 EUR``."""
    if isinstance(repair, Purchase):
        pieces = (f"{line.count} x {line.item} for {money(line.price_cents, currency)}" for line in repair.lines)
        return f"buy {' and '.join(pieces)}"
    if isinstance(repair, Relaxation):
        return f"relax {repair.rule} from {repair.given} to {repair.value}"
    if isinstance(repair, Omission):
        return f"{'drop the pin' if repair.pins else 'allow again'}: {repair.subject}"
    return f"allow {repair.what} from {repair.given} to {repair.other}"


def not_tried(left: LeftOut, alternatives: Sequence[Alternative], currency: str) -> str:
    """Return what was not tried, with what trying it could save at most, or, where there is no plan, what it costs at least."""
    return left.text + _at_stake(left, alternatives, currency)


def _at_stake(left: LeftOut, alternatives: Sequence[Alternative], currency: str) -> str:
    if left.could_cost_cents is None:
        return ", at a price that is not known"
    if not alternatives:
        return f", at {money(left.could_cost_cents, currency)} or more"
    saved = alternatives[0].cost.total_cents - left.could_cost_cents
    return f", could save up to {money(saved, currency)}" if saved > 0 else ", could save nothing"
