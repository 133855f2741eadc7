"""Tabs on tubes in several sizes, on one set-up: the shelf's adjustable stop follows what moves."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from solver.variants import Variant
from solver.weldment import Weldment
from tests import builders as b


def sized(length: float, tab_from: float) -> Weldment:
    """A tab on a tube so long, the tab so far from the tube's start."""
    drawn = b.tab_on_tube(tab_from)
    return replace(drawn, parts=(replace(drawn.parts[0], length=length), drawn.parts[1]))


def asked(*variants: Variant, quantity: int = 50, **more: Any) -> Request:
    """Fifty tabs on tubes 500 long, and a longer size whose tab lies 7 mm further along."""
    return b.request(sized(500, 200), quantity, variants=variants or (Variant("L 512", 30, sized(512, 207)),), **more)


@cache
def two_sizes() -> tuple[Request, StockSnapshot, Plan]:
    """Two sizes from a modest shelf, and their plan."""
    request, stock = asked(alternatives=1), b.plain_shelf()
    return request, stock, plan(request, stock, deadline=Deadline(lambda: 600.0))
