"""The cheapest feasible fixture, as a pure function of request, stock and rules.

``from solver import plan, check, Deadline, Request, Plan, Progress`` is all a caller needs; each name is loaded when it is first
asked for, so that reading a request does not wait for the optimiser.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from solver.checks import check
    from solver.deadline import Deadline
    from solver.planning import plan
    from solver.plans import Plan
    from solver.progress import Progress
    from solver.request import Request

__all__ = ["Deadline", "Plan", "Progress", "Request", "check", "plan"]

_HOMES = {
    "Deadline": "solver.deadline",
    "Plan": "solver.plans",
    "Progress": "solver.progress",
    "Request": "solver.request",
    "check": "solver.checks",
    "plan": "solver.planning",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'solver' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
