"""Planners for tests of the doors: each behaves as the weldment's name asks. Solving processes import this module."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from dataclasses import replace

from inventory.shapes import IDENTITY, Prism
from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.plans import (
    Alternative,
    Cost,
    KitLine,
    PlacedPart,
    Placement,
    Plan,
    Purchase,
    PurchaseLine,
    Reason,
    Refused,
    Relaxation,
    Station,
    Unload,
)
from solver.progress import Progress
from solver.request import Request

HANGS = ("hangs", "hangs at once", "hangs in a library", "hangs once it is proved", "hangs while it explains")


def by_name(
    request: Request,
    stock: StockSnapshot,
    *,
    deadline: Deadline,
    on_progress: Callable[[Progress], None] | None = None,
) -> Plan:
    """Answer, refuse, take all the time there is, hang, raise or die."""
    name = request.weldment.name
    announce = on_progress or (lambda progress: None)
    if name == "raises":
        raise ZeroDivisionError("a mistake of the planner's")
    if name == "dies":
        os.kill(os.getpid(), signal.SIGKILL)
    if name == "refused":
        missing = Reason("counted", "stop-60", "stop, 60 mm face: 4 needed, 2 free")
        return _plan(request, stock, "infeasible", "proof", (), Refused((missing,), ()))
    if name == "helped" and request.shortage == "refuse" and "clear.weld" not in request.rules.changes:
        missing = Reason("clear.weld", "lug", "lug: a stop 12 mm from w1, 15 mm asked")
        bought = Purchase((PurchaseLine("stop-60-15", 2, 9000),), _alternative(request))
        relaxed = Relaxation("clear.weld", 15, 8, _alternative(request))
        return _plan(request, stock, "infeasible", "proof", (), Refused((missing,), (relaxed, bought)))
    if name in HANGS:
        _tell_and_hang(name, request, announce)
    if name == "dies with a plan":
        announce(Progress(900, 800, 1, 2, 1, (_alternative(request),)))
        os.kill(os.getpid(), signal.SIGKILL)
    if name.startswith("priced"):
        return _priced(request, stock, 0.4 if "slowly" in name else 0.0)
    if name == "slow":
        return _slow(request, stock, deadline, announce)
    return _plan(request, stock, "optimal", "proof", (_alternative(request),))


def _tell_and_hang(name: str, request: Request, announce: Callable[[Progress], None]) -> None:
    """Tell what there is to tell, then never answer: in the planner's own code, in a library's, or waiting for something."""
    if name in ("hangs", "hangs in a library"):
        announce(Progress(None, 500, 0, 2, 0))
        announce(Progress(1000, 700, 1, 2, 1, (_alternative(request, 1000),)))
        announce(Progress(900, 700, 1, 2, 1, (_alternative(request),)))
        announce(Progress(900, 800, 2, 2, 1, (_alternative(request),)))
    if name == "hangs once it is proved":
        announce(Progress(900, 900, 2, 2, 1, (_alternative(request),)))
    if name == "hangs while it explains":
        announce(Progress(None, 500, 2, 2, 0))
        time.sleep(1000)
    if name == "hangs in a library":
        sum(range(10**15))  # one call into compiled code that lets no other thread of Python in
    while True:
        pass


def _slow(
    request: Request,
    stock: StockSnapshot,
    deadline: Deadline,
    on_progress: Callable[[Progress], None],
) -> Plan:
    """Burn a core until time or a stop sign ends it, telling of a better bound now and then."""
    bound, next_told = 500, time.monotonic()
    while not deadline.over:
        sum(k * k for k in range(2000))
        if time.monotonic() >= next_told:
            next_told += 0.05
            bound = min(900, bound + 1)
            on_progress(Progress(900, bound, 1, 2, 1, (_alternative(request),)))
    stopped = "cancel" if deadline.should_stop() else "time"
    return _plan(request, stock, "feasible", stopped, (_alternative(request),))


KITS = ((900, 40), (1300, 34), (2100, 25))
"""What each kit of a weldment that is priced costs once (cents), and its cycle (s)."""


def priced_total(quantity: int, kit: tuple[int, int]) -> int:
    """Return a kit's total at the default rate, 5500 cents an hour, rounded half up."""
    return kit[0] + (2 * quantity * kit[1] * 55 + 36) // 72


def _priced(request: Request, stock: StockSnapshot, seconds: float) -> Plan:
    """Answer with the cheapest of three kits."""
    time.sleep(seconds)
    kit = min(KITS, key=lambda kit: priced_total(request.quantity, kit))
    total = priced_total(request.quantity, kit)
    cost = Cost(total, 400, total - kit[0], kit[0] - 400, 0, 0)
    best = replace(_alternative(request), cost=cost, cycle_s=kit[1], setup_s=262)
    return replace(_plan(request, stock, "optimal", "proof", (best,)), cost_bound_cents=total)


def _alternative(request: Request, total_cents: int = 900) -> Alternative:
    cost, lying = Cost(total_cents, total_cents - 400, 300, 100, 0, 0), Station(None, "-z", 0.0, IDENTITY, Unload((), (), ()))
    return Alternative(
        rank=1, title="cheapest", table=request.tables[0], cost=cost, setup_s=300, cycle_s=30, stations=(lying,),
        parts=_parts(request), placements=(_piece(),), part_contacts=(), welds=(), load=(), findings=(), kit=(KitLine("stop-60-15", 1, "A3"),), differs="",
    )  # fmt: skip


def _parts(request: Request) -> tuple[PlacedPart, ...]:
    """Bars lying on the table, one behind the other, under the names of the parts."""
    prisms = (Prism(((400, y), (800, y), (800, y + 50), (400, y + 50)), 0, 50) for y in range(420, 10**6, 60))
    return tuple(PlacedPart(part.id, (prism,), ("table",)) for part, prism in zip(request.weldment.parts, prisms, strict=False))


def _piece() -> Placement:
    """One stop of the demo shop, beside the bar."""
    solid = Prism(((420, 380), (460, 380), (460, 420), (420, 420)), 0, 60)
    return Placement("s1", "stop-60-15", "K10", 0, None, None, (), (solid,), None, ())


def _plan(request: Request, stock: StockSnapshot, status, stopped_by, alternatives, refused=None) -> Plan:  # type: ignore[no-untyped-def]
    return Plan(
        status=status, stopped_by=stopped_by, cost_bound_cents=900 if alternatives else None, gap=0.0 if alternatives else None,
        solve_s=0.01, rules=request.rules.resolved(), rules_version=1, stock_version=stock.version, seed=request.seed,
        alternatives=alternatives, refused=refused, weldment=request.weldment.stored,
    )  # fmt: skip
