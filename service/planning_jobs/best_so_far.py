"""The best plan told so far, and the answer it makes when a search has to be ended."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import Literal

from inventory.stock import StockSnapshot
from service.planning_jobs.job_folder import JobFolder
from solver.answer.comparison import ranked
from solver.plans import Alternative, Plan, Reason, Refused, Status
from solver.progress import Progress
from solver.request import Request
from solver.rule_book import BY_NAME

Ended = Literal["time", "cancel"]


def nothing_yet(request: Request, stock: StockSnapshot) -> Plan:
    """Return the plan of a search that has told nothing yet."""
    return Plan(
        status="unknown", stopped_by=None, cost_bound_cents=None, gap=None, solve_s=0.0,
        rules=request.rules.resolved(), rules_version=request.rules.version, rules_book=request.rules.base,
        stock_version=stock.version, seed=request.seed, weldment=request.weldment.stored,
    )  # fmt: skip


def with_told(kept: Plan, progress: Progress, elapsed_s: float, most: int) -> Plan:
    """Return the plan kept, with what was told `elapsed_s` after solving began if that is worth more.

    Worth more is a cheaper best alternative, or as cheap a one with no fewer beside it. `most` alternatives are kept.
    """
    found = tuple(sorted(progress.found, key=_price))[:most]
    if not found or (kept.alternatives and _worth(found) < _worth(kept.alternatives)):
        return kept
    ordered = ranked(found)
    if ordered == kept.alternatives:
        return kept
    return _proved(replace(kept, alternatives=ordered, solve_s=elapsed_s), progress.bound_cents)


def answer_of_ended(folder: JobFolder, by: Ended) -> Plan | None:
    """Return the answer of a search that was ended: its best plan, with what it proved last; None if it had not begun."""
    kept, started = folder.plan("best"), folder.get("started.json")
    if kept is None or started is None:
        return None
    events = folder.events()
    last = events[-1] if events else {}
    if last.get("elapsed_s", -1.0) >= (kept.solve_s or 0.0):  # a plan handed over later knows a later bound
        kept = _proved(kept, last.get("bound_cents"))
    kept = replace(kept, stopped_by=by, solve_s=round(time.monotonic() - started["began"], 3))
    if kept.alternatives:
        return kept
    rule = BY_NAME[f"search.{by}"]
    return replace(kept, refused=Refused((Reason(rule.name, "weldment", rule.meaning),), ()))


def gap_of(best_cents: int | None, bound_cents: float | None) -> float | None:
    """Return how much cheaper than the best an answer may be, as a share of its price; None while that is not known."""
    if best_cents is None or bound_cents is None:
        return None
    return max(0.0, (best_cents - bound_cents) / best_cents) if best_cents else 0.0


def _proved(plan: Plan, bound_cents: float | None) -> Plan:
    """Return the plan with this bound, its gap and its status; no fixture costs less than nothing."""
    if not plan.alternatives:
        return replace(plan, cost_bound_cents=bound_cents)
    best = plan.alternatives[0].cost.total_cents
    bound = min(bound_cents or 0, best)
    status: Status = "optimal" if bound == best else "feasible"
    return replace(plan, status=status, cost_bound_cents=bound, gap=gap_of(best, bound))


def _price(alternative: Alternative) -> int:
    return alternative.cost.total_cents


def _worth(ordered: tuple[Alternative, ...]) -> tuple[int, int]:
    return -_price(ordered[0]), len(ordered)
