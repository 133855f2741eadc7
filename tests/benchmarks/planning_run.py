"""One planning, timed; as a program, in a process of its own, of whichever checkout is on the path.

    PYTHONPATH=CHECKOUT python -P planning_run.py REQUEST STOCK LIMIT ALTERNATIVES AGAIN

It prints one JSON object: where the solver came from, CPU seconds to the first plan, to the end and, if AGAIN is 1, of a re-plan
with one piece missing; price in cents, gap and status. It imports nothing of the tests and only names that older checkouts have,
so that it can time those. All times are CPU seconds of this process, limits too, so that other work on the machine counts little.
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

import solver
from inventory.stock import StockSnapshot
from service.documents import read_request, read_stock
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan
from solver.progress import Progress
from solver.request import Request, Without


@dataclass
class Run:
    """One planning: the plan, CPU seconds in all, to the first checked plan and to the proof of the cheapest."""

    plan: Plan
    seconds: float
    first: float | None
    proved: float | None


def timed(request: Request, stock: StockSnapshot, limit: float) -> Run:
    """Plan a request within so many CPU seconds."""
    start = time.process_time()
    first: list[float] = []
    proved: list[float] = []

    def progress(entry: Progress) -> None:
        now = time.process_time() - start
        first.append(now)
        if entry.bound_cents == entry.incumbent_cents and not proved:
            proved.append(now)

    found = plan(request, stock, deadline=Deadline(lambda: limit - (time.process_time() - start)), on_progress=progress)
    return Run(
        found,
        time.process_time() - start,
        first[0] if first else None,
        proved[0] if proved and found.status == "optimal" else None,
    )


def one_short(request: Request, found: Plan) -> Request:
    """Return the request with one piece of the plan's most used locator missing, the plan kept."""
    line = max(found.alternatives[0].kit, key=lambda line: (line.count, line.item))
    items = {**request.without.items, line.item: request.without.items.get(line.item, 0) + 1}
    return replace(request, without=Without(items, request.without.holes), keep=found.alternatives[0])


def figures(request: Request, stock: StockSnapshot, limit: float, again: bool) -> dict[str, object]:
    """Return what one planning took and came to, and what a re-plan with one piece missing took, if asked for."""
    run = timed(request, stock, limit)
    best = run.plan.alternatives[0] if run.plan.alternatives else None
    anew = timed(one_short(request, run.plan), stock, limit) if again and best is not None else None
    return {
        "solver": str(Path(str(solver.__file__)).parent),
        "first_s": run.first,
        "end_s": run.seconds,
        "again_s": None if anew is None else anew.seconds,
        "cents": None if best is None else best.cost.total_cents,
        "gap": run.plan.gap,
        "status": run.plan.status,
    }


def main() -> None:
    """Time what the words of the command line say."""
    asked, shelf, limit, alternatives, again = sys.argv[1:]
    stock = read_stock(Path(shelf).read_bytes())
    request, _ = read_request(Path(asked).read_bytes(), stock)
    print(json.dumps(figures(replace(request, alternatives=int(alternatives)), stock, float(limit), again == "1")))


if __name__ == "__main__":
    main()
