"""Jobs that cannot be done, each for one reason."""

from __future__ import annotations

import itertools
from collections.abc import Callable

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.planning import plan
from solver.plans import Plan, Reason, Repair
from solver.request import Request
from solver.search.search import Search
from solver.weldment import Weldment
from tests.builders import bar, fillet, request, tube, weldment


def ticking(seconds: float, step: float = 0.0001) -> Callable[[], float]:
    """A clock of its own: each look at it costs `step` seconds, so that a test does not depend on the machine."""
    looks = itertools.count()
    return lambda: seconds - step * next(looks)


def two_bars(length: float = 300, thickness: float = 10) -> Weldment:
    """Two flat bars on the table, one against the middle of the other, welded along the top."""
    middle, up = length / 2, thickness / 2
    parts = (
        bar("long", thickness=thickness, length=length, at=(0, 0, up)),
        bar("short", thickness=thickness, length=160, at=(middle, 25, up), along=(0, 1, 0)),
    )
    return weldment(
        *parts, welds=[fillet("w1", ("long", "short"), (middle - 25, 25, thickness), (middle + 25, 25, thickness), leg=3)]
    )


def answer(asked: Request, stock: StockSnapshot, seconds: float = 60) -> Plan:
    """The plan of a request."""
    return plan(asked, stock, deadline=Deadline(ticking(seconds)))


def searched(asked: Request, stock: StockSnapshot, seconds: float = 60) -> Search:
    """A search of the lies on the table, gone through."""
    samples, _ = drawn_samples(asked.weldment, asked.rules)
    search = Search(asked, stock, samples, Deadline(ticking(seconds)))
    search.open()
    search.cheapest(())
    return search


def because(found: Plan) -> tuple[Reason, ...]:
    """The reasons of a plan without alternatives."""
    assert found.refused is not None and not found.alternatives
    return found.refused.because


def would_help(found: Plan) -> tuple[Repair, ...]:
    """The repairs offered."""
    assert found.refused is not None
    return found.refused.would_help


__all__ = ["answer", "because", "request", "searched", "ticking", "tube", "two_bars", "would_help"]
