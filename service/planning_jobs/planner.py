"""The planner as the processes that solve call it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from inventory.stock import StockSnapshot
from solver.plans import Plan
from solver.request import Request


class Planner(Protocol):
    """`solver.planning.plan`, or what a test puts in its place: a function of a module, so that another process can import it."""

    def __call__(
        self,
        request: Request,
        stock: StockSnapshot,
        *,
        seconds_left: Callable[[], float],
        on_progress: Callable[[Any], None] | None = None,
        should_stop: Callable[[], bool] | None = None,
    ) -> Plan:
        """Return the plan for a request; `on_progress` is given a dataclass of figures after each alternative."""
        ...
