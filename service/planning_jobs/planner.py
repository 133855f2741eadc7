"""The planner as the processes that solve call it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.plans import Plan
from solver.progress import Progress
from solver.request import Request


class Planner(Protocol):
    """`solver.planning.plan`, or what a test puts in its place: a function of a module, so that another process can import it."""

    def __call__(
        self,
        request: Request,
        stock: StockSnapshot,
        *,
        deadline: Deadline,
        on_progress: Callable[[Progress], None] | None = None,
    ) -> Plan:
        """Return the plan for a request; `on_progress` is called for every better plan and every better bound."""
        ...
