"""A planner that knows one fixture, made by hand, and what it costs. Solving processes import this module."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from inventory.stock import StockSnapshot
from solver.checks.scene.reading import read_alternative
from solver.cost import free_pieces, price
from solver.deadline import Deadline
from solver.plans import Measures, Plan
from solver.progress import Progress
from solver.request import Request
from tests.solver.checks.tab_job import tab_alternative


def hand_made(
    request: Request, stock: StockSnapshot, *, deadline: Deadline, on_progress: Callable[[Progress], None] | None = None
) -> Plan:
    """Answer with the one fixture at its price."""
    known = read_alternative(tab_alternative())
    pieces = [(stock.items[each.item], each.stands_on is not None) for each in known.placements]
    found = price(request, stock, pieces)
    scarcity = sum(1 / max(1, free_pieces(request, stock, each.item)) for each in known.placements)
    measures = Measures(len(pieces), 0.1, 20000.0, scarcity)
    best = replace(known, cost=found.cost, setup_s=found.setup_s, cycle_s=found.cycle_s, measures=measures)
    cents = best.cost.total_cents
    return Plan(
        status="optimal", stopped_by="proof", cost_bound_cents=cents, gap=0.0, solve_s=0.0, rules=request.rules.resolved(),
        rules_version=request.rules.version, stock_version=stock.version, seed=request.seed, alternatives=(best,),
    )  # fmt: skip
