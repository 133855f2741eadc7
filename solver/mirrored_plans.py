"""Left- and right-hand pairs: the mirror image planned so that as much as possible stays of the plan it follows.

The request's own weldment and its other sizes are planned first; then each mirror image with that plan kept, on the same table.
That the pair is the best of all pairs is not shown. What any pair costs at least is: what the plan without mirror images costs at
least, and of each mirror image its checking and its cycles, with the clamp that shuts and opens soonest: every weldment has one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Protocol

from inventory.stock import StockSnapshot
from solver.answer.comparison import fewer, ranked
from solver.answer.mirror_plans import beside_mirrors
from solver.cost import exact, tariff
from solver.deadline import Deadline
from solver.explain.left_out import left_out
from solver.plans import Alternative, Plan, Refused
from solver.progress import Progress
from solver.request import Request
from solver.search.orientation import items_of
from solver.variants import Variant

FIRST_SHARE = 0.5
"""Share of the time for the request's own weldment and its other sizes."""
CODE = "variants.mirror"


class HandPlanner(Protocol):
    """Plans a request that has no mirror image."""

    def __call__(self, request: Request, stock: StockSnapshot, *, deadline: Deadline, workers: int) -> Plan:
        """Return its plan."""
        ...


def with_mirrors(
    request: Request,
    stock: StockSnapshot,
    *,
    deadline: Deadline,
    on_progress: Callable[[Progress], None] | None,
    workers: int,
    planner: HandPlanner,
) -> Plan:
    """Return the plan of a request with mirror images among its variants."""
    allowed = deadline.seconds_left()
    mirrors = [variant for variant in request.variants if variant.mirror is not None]
    plain = replace(request, variants=request.sizes)
    first = planner(plain, stock, deadline=deadline.within(FIRST_SHARE * max(0.0, allowed)), workers=workers)
    if not first.alternatives:
        return _without(first, allowed, deadline)
    pairs: list[Alternative] = []
    lacking: Plan | None = None
    for k, alternative in enumerate(first.alternatives):
        share = max(0.0, deadline.seconds_left()) / (len(first.alternatives) - k)
        found, lack = _mirrors_of(request, stock, alternative, mirrors, deadline.within(share), workers, planner)
        lacking = lacking or lack
        pair = None if found is None else beside_mirrors(request, stock, alternative, found)
        if pair is not None:
            pairs.append(pair)
            if on_progress is not None:
                least = min(each.cost.total_cents for each in pairs)
                bound = _bound(first, request, stock, least)
                on_progress(Progress(least, bound, k + 1, len(first.alternatives), len(pairs), ranked(pairs)))
        if deadline.over:
            break
    if not pairs:
        return _without(lacking or replace(first, alternatives=(), status="unknown", stopped_by="time"), allowed, deadline)
    return _paired(first, request, stock, pairs, allowed, deadline)


def _mirrors_of(
    request: Request, stock: StockSnapshot, alternative: Alternative, mirrors: Sequence[Variant], deadline: Deadline,
    workers: int, planner: HandPlanner,
) -> tuple[dict[str, Alternative] | None, Plan | None]:  # fmt: skip
    """Return a plan of each mirror image that keeps what it can of an alternative, or the plan of one that has none."""
    found: dict[str, Alternative] = {}
    keep = replace(alternative, variants=())
    for k, mirror in enumerate(mirrors):
        asked = replace(request.of_variant(mirror), keep=keep, tables=(alternative.table,), alternatives=1)
        share = max(0.0, deadline.seconds_left()) / (len(mirrors) - k)
        plan = planner(asked, stock, deadline=deadline.within(share), workers=workers)
        if not plan.alternatives:
            return None, plan
        found[mirror.name] = plan.alternatives[0]
    return found, None


def _bound(first: Plan, request: Request, stock: StockSnapshot, best: int) -> int:
    """Return what any pair costs at least, cents."""
    return min(best, int(first.cost_bound_cents or 0) + _mirrors_at_least(request, stock))


def _mirrors_at_least(request: Request, stock: StockSnapshot) -> int:
    """Return what all mirror images of a request add at least, cents."""
    rates, clamps = tariff(request), [item.clamp for item in items_of(request, stock) if item.clamp is not None]
    clamping = min((exact(clamp.close_s) + exact(clamp.open_s) for clamp in clamps), default=Fraction(0))
    cycle_s, reset_s = rates.cycle_s(clamping), rates.reset_s(Fraction(0))
    mirrors = [variant for variant in request.variants if variant.mirror is not None]
    return sum(rates.setup_cents(reset_s) + rates.run_cents(mirror.quantity, cycle_s) for mirror in mirrors)


def _paired(
    first: Plan, request: Request, stock: StockSnapshot, pairs: Sequence[Alternative], allowed: float, deadline: Deadline
) -> Plan:
    alternatives = ranked(pairs)
    best = alternatives[0].cost.total_cents
    bound, more = _bound(first, request, stock, best), _mirrors_at_least(request, stock)
    untried = {entry.code: (entry.could_cost_cents or 0) + more for entry in first.left_out} | {CODE: bound}
    left = left_out(untried, best)
    stopped_by = "scope" if left and first.stopped_by == "proof" else first.stopped_by
    return replace(
        first,
        status="feasible" if left or bound < best else first.status,
        stopped_by=stopped_by,
        cost_bound_cents=bound,
        gap=(best - bound) / best if best else 0.0,
        solve_s=round(allowed - deadline.seconds_left(), 3),
        alternatives=alternatives,
        left_out=left,
        findings=tuple(fewer(len(alternatives), request.alternatives, complete=False)),
    )


def _without(plan: Plan, allowed: float, deadline: Deadline) -> Plan:
    """Return the plan of one of the hands that has none, as that of the pair; repairs are of that hand alone and left out."""
    refused = None if plan.refused is None else Refused(plan.refused.because, ())
    return replace(plan, refused=refused, solve_s=round(allowed - deadline.seconds_left(), 3))
