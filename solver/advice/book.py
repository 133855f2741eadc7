"""The book of plans made for an advice: each is made once, and every alternative is a way that is kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, Protocol

from inventory.stock import StockSnapshot
from solver.advice.values import Task, Today, Way, missing, prices_of, way_of, with_extra
from solver.plans import Plan
from solver.request import Request


class TaskPlanner(Protocol):
    """Whatever plans one request: `solver.planning.plan`, or a stand-in."""

    def __call__(self, request: Request, stock: StockSnapshot, *, seconds_left: Callable[[], float]) -> Plan:
        """Return the plan."""
        ...


Charges = tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Made:
    """A plan's first way, its total with charges (cents a run), and whether it is proved to be the cheapest."""

    way: Way
    total_cents: int
    proved: bool


@dataclass(slots=True)
class Book:
    """The ways known so far, job by job."""

    tasks: Sequence[Task]
    planner: TaskPlanner
    seconds_left: Callable[[], float]
    ways: list[list[Way]] = field(default_factory=list)
    complete: bool = True
    _made: dict[tuple[int, Charges, Charges | None], Made | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.ways = [[] for _ in self.tasks]

    @property
    def plans_made(self) -> int:
        """How many plans were worked out."""
        return len(self._made)

    def planned(self, index: int, extra: Mapping[str, int], charges: Mapping[str, int] | None = None) -> Made | None:
        """Plan a job with extra pieces on the shelf, missing ones at these charges (items not named: free; None: not for sale).

        The way it finds is kept. Returns the plan's, cheapest with its charges; None if there is none, or no time left.
        """
        key = (index, _sorted(extra), None if charges is None else _sorted(charges))
        if key not in self._made:
            if self.seconds_left() <= 0:
                self.complete = False
                return None
            self._made[key] = self._plan(index, extra, charges)
        return self._made[key]

    def today(self, index: int) -> Today:
        """Return how a job is done on the shelf as it is: without buying, else buying what is missing for itself alone."""
        made = self.planned(index, {})
        if made is not None:
            return Today(made.way.cents)
        task = self.tasks[index]
        prices = prices_of([task])
        # What it buys it keeps, so each of its runs bears its share.
        bought = self.planned(index, {}, {item: round(price / task.times) for item, price in prices.items()})
        if bought is None:
            return Today(None)
        buys = missing(bought.way, task.stock, {})
        return Today(bought.way.cents, buys, sum(count * prices[item] for item, count in buys.items()))

    def _plan(self, index: int, extra: Mapping[str, int], charges: Mapping[str, int] | None) -> Made | None:
        task = self.tasks[index]
        shortage: Literal["refuse", "price"] = "refuse" if charges is None else "price"
        request = replace(task.request, shortage=shortage, today=None, keep=None, alternatives=1)
        found = self.planner(request, with_extra(task.stock, extra, charges), seconds_left=self.seconds_left)
        if found.stopped_by in ("time", "cancel"):
            self.complete = False
        ways = [way_of(alternative) for alternative in found.alternatives]
        self.ways[index].extend(way for way in ways if way not in self.ways[index])
        if not ways:
            return None
        return Made(ways[0], found.alternatives[0].cost.total_cents, found.status == "optimal")


def _sorted(counts: Mapping[str, int]) -> Charges:
    return tuple(sorted((item, count) for item, count in counts.items() if count))
