"""The planner's answer beside what the oracle finds."""

from __future__ import annotations

import time
from dataclasses import dataclass

from inventory.stock import StockSnapshot
from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.planning import plan
from solver.request import Request
from tests.oracle.places import Effort, Fixture, Tally
from tests.oracle.search import Oracle

PLANNER_S = 20.0


@dataclass(frozen=True)
class Comparison:
    """Status and price (cents) of the planner's answer, the oracle's better fixture if it found one, what the checker refused."""

    status: str
    stopped_by: str | None
    cents: int | None
    better: Fixture | None
    faults: tuple[str, ...]
    tally: Tally
    planner_s: float

    @property
    def verdict(self) -> str:
        """What is wrong with the planner's answer, or `agreed`."""
        if self.faults:
            return "a plan fails the checker"
        if self.better is None:
            return "agreed"
        if self.status == "infeasible":
            return "refused although there is a fixture"
        return "a cheaper fixture" if self.status == "optimal" else f"a better fixture than a plan that is {self.status}"

    def __str__(self) -> str:
        better = "-" if self.better is None else str(self.better.cents)
        return f"planner {self.status}/{self.stopped_by} {self.cents}, oracle {better}: {self.verdict}"


def compare(request: Request, stock: StockSnapshot, seconds: float = 20.0, effort: Effort | None = None) -> Comparison:
    """Plan a job and look for a better fixture for so many seconds of the processor."""
    begun = time.process_time()
    answer = plan(request, stock, deadline=Deadline(lambda: PLANNER_S - (time.process_time() - begun)))
    took = time.process_time() - begun
    cents = answer.alternatives[0].cost.total_cents if answer.alternatives else None
    report = check(request, stock, plan_document(answer))
    end = time.process_time() + seconds
    oracle = Oracle(request, stock, lambda: end - time.process_time(), effort or Effort())
    better = oracle.cheaper(cents)
    faults = tuple(f"{finding.rule} {finding.subject}: {finding.text}" for finding in report.failed)
    return Comparison(answer.status, answer.stopped_by, cents, better, faults, oracle.tally, took)
