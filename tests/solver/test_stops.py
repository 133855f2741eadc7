"""A search that is stopped at any moment ends at once, and what it hands over is true; no work goes on for long without a look.

Counted is work, not time: looks at the deadline, models solved, and calls of functions.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from types import FrameType
from typing import TypeVar

import pytest

from inventory.stock import StockSnapshot
from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.model import cpsat, witness
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from tests import builders as b

LOOKS = 12
"""So many looks at most are taken after the stop: each gives up what is at work and is met by whoever asked for it."""
CALLS = 150_000
"""Between two looks so many functions are called at most; a tenth of a second or two. Twice what is measured on these jobs."""
MOMENTS = 6
"""A job is stopped so often, evenly over the first three quarters of its looks: with what it learned before it takes fewer."""


@cache
def job(name: str) -> tuple[Request, StockSnapshot]:
    if name == "bar":
        return b.request(b.weldment(b.bar(length=240)), alternatives=2), b.plain_shelf()
    if name == "weld shut in":
        parts = (
            b.plate("base", (200, 200), 10),
            b.plate("rib", (160, 8), 120, (20, 90, 10)),
            b.plate("other", (160, 8), 120, (20, 114, 10)),
        )
        welds = [b.fillet("w1", ("base", "rib"), (60, 98, 10), (140, 98, 10))]
        return b.request(b.weldment(*parts, welds=welds)), b.plain_shelf()
    return b.request(b.tab_on_tube(), alternatives=2), b.plain_shelf()


T = TypeVar("T")
JOBS = ("bar", "weld shut in")


@dataclass
class Flag:
    """A stop flag that is raised at its `at`-th look, and counts the looks of the thread that solves; None: never."""

    at: int | None = None
    looks: int = 0
    at_look: Callable[[], None] = lambda: None
    solving: int = field(default_factory=threading.get_ident)

    def __call__(self) -> bool:
        if threading.get_ident() == self.solving:
            self.looks += 1
            self.at_look()
        return self.raised

    @property
    def raised(self) -> bool:
        return self.at is not None and self.looks >= self.at


def planned(name: str, flag: Flag) -> Plan:
    return plan(*job(name), deadline=Deadline(lambda: 1000.0, flag))


@cache
def unhindered(name: str) -> tuple[Plan, int]:
    """Return a job's plan and how many looks were taken."""
    flag = Flag()
    return planned(name, flag), flag.looks


def counted(solve: Callable[..., T], flag: Flag, late: list[bool]) -> Callable[..., T]:
    """Return a solver that notes of each solve whether the flag was raised before it began."""

    def solved(*asked: object, **more: object) -> T:
        late.append(flag.raised)
        return solve(*asked, **more)

    return solved


@pytest.mark.parametrize("name", JOBS)
def test_stopped_at_any_moment_it_ends_at_once_with_what_is_true(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    whole, looks = unhindered(name)
    cheapest = whole.alternatives[0].cost.total_cents if whole.alternatives else None
    flag = Flag()
    late: list[bool] = []
    for module in ("solver.model.position_model", "solver.model.any_order.orders_model", "solver.explain.irreducible"):
        monkeypatch.setattr(f"{module}.solve", counted(cpsat.solve, flag, late))
    monkeypatch.setattr("solver.explain.confirmation.feasible", counted(witness.feasible, flag, late))
    for number in range(MOMENTS):
        flag.at, flag.looks = 1 + looks * 3 * number // (4 * MOMENTS), 0
        late.clear()
        ended = planned(name, flag)
        assert flag.looks - flag.at <= LOOKS
        assert sum(late) <= 1
        assert ended.stopped_by == ("proof" if ended.status == "infeasible" else "cancel")
        assert ended.status in ("unknown", whole.status if cheapest is None else "feasible", "optimal")
        if cheapest is not None:
            found = [each.cost.total_cents for each in ended.alternatives]
            assert all(cents >= cheapest for cents in found)
            assert ended.cost_bound_cents is None or ended.cost_bound_cents <= cheapest
            assert ended.status != "optimal" or found[0] == cheapest
        assert check(*job(name), plan_document(ended)).ok


@pytest.mark.parametrize("name", JOBS)
def test_a_look_is_never_far_off(name: str) -> None:
    calls, farthest, between = 0, 0, [""]

    def count(frame: FrameType, event: str, _: object) -> None:
        nonlocal calls
        calls += event == "call"

    def look() -> None:
        nonlocal calls, farthest
        if calls > farthest:
            farthest, caller = calls, sys._getframe(3)
            between[0] = f"{caller.f_code.co_filename}:{caller.f_lineno}"
        calls = 0

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        planned(name, Flag(at_look=look))
    finally:
        sys.setprofile(before)
    assert farthest <= CALLS, f"{farthest} calls before the look at {between[0]}"


def test_the_last_plan_that_was_found_outlives_the_stop() -> None:
    """Stopped once it has told of a plan, it hands over that one or a better one."""
    request, stock = job("tab")
    stop: list[int] = []
    ended = plan(
        request,
        stock,
        deadline=Deadline(lambda: 1000.0, lambda: bool(stop)),
        on_progress=lambda progress: stop.append(progress.incumbent_cents or 0),
    )
    assert ended.stopped_by == "cancel"
    assert ended.alternatives[0].cost.total_cents <= stop[0]
