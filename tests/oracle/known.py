"""A job with a fixture the oracle knows: found again at its place in a moment, and laid beside the planner's answer."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from random import Random

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.planning import plan
from solver.request import Request
from tests.oracle.places import Fixture, Place
from tests.oracle.search import Oracle

Job = Callable[[Random], tuple[Request, StockSnapshot]]
PLANNER_S = 60.0


ANY_BEARING: Mapping[str, float] = {"locate.side_face_ratio": 0, "locate.pad_share": 0, "clamp.pad_share": 0}
"""Side points on faces of any length, pads that bear as little as they may."""


@dataclass(frozen=True)
class Known:
    """A job by its builder and seed, and where the lattice runs under the weldment's least corner, mm; `rules` are changed."""

    job: Job
    seed: int
    phase: tuple[float, float]
    rules: Mapping[str, float] = field(default_factory=dict)

    def drawn(self) -> tuple[Request, StockSnapshot]:
        """Return the job."""
        request, stock = self.job(Random(self.seed))
        return replace(request, rules=replace(request.rules, changes={**request.rules.changes, **self.rules})), stock

    def fixture(self) -> Fixture:
        """Return the fixture at the place known."""
        request, stock = self.drawn()
        place = Place(request.down[0], request.turn[0], 0.0, request.tables[0], self.phase)
        found = Oracle(request, stock, lambda: 1.0).at(place)
        if found is None:
            raise LookupError("the fixture known is none any more")
        return found

    def planned(self) -> tuple[str, int | None]:
        """Return the planner's status and price, cents."""
        answer = plan(*self.drawn(), deadline=Deadline.on(time.process_time, PLANNER_S))
        return answer.status, answer.alternatives[0].cost.total_cents if answer.alternatives else None


def no_dearer(known: Known) -> bool:
    """Return whether the planner finds a fixture, and none dearer than the known one."""
    cents = known.planned()[1]
    return cents is not None and cents <= known.fixture().cents
