"""The plans made for an advice: each is made once, and the kit of every alternative is kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, Protocol

from inventory.stock import StockSnapshot
from solver.advice.values import PricedKit, Task, Today, kit_of, missing, prices_of, with_extra
from solver.deadline import Deadline
from solver.plans import Plan
from solver.request import Request


class TaskPlanner(Protocol):
    """Whatever plans one request: `solver.planning.plan`, or another planner in tests."""

    def __call__(self, request: Request, stock: StockSnapshot, *, deadline: Deadline) -> Plan:
        """Return the plan."""
        ...


Charges = tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class CheapestKit:
    """A plan's cheapest kit, its total with charges (cents a run), and whether it is proved to be the cheapest."""

    kit: PricedKit
    total_cents: int
    proved: bool


@dataclass(slots=True)
class KnownKits:
    """The kits known so far, job by job."""

    tasks: Sequence[Task]
    planner: TaskPlanner
    deadline: Deadline
    kits: list[list[PricedKit]] = field(default_factory=list)
    complete: bool = True
    _made: dict[tuple[int, Charges, Charges | None], CheapestKit | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.kits = [[] for _ in self.tasks]

    @property
    def plans_made(self) -> int:
        """How many plans were worked out."""
        return len(self._made)

    def planned(self, index: int, extra: Mapping[str, int], charges: Mapping[str, int] | None = None) -> CheapestKit | None:
        """Plan a job with extra pieces on the shelf, missing ones at these charges (items not named: free; None: not for sale).

        The kit it finds is kept. Returns the plan's, cheapest with its charges; None if there is none, or no time left.
        """
        key = (index, _sorted(extra), None if charges is None else _sorted(charges))
        if key not in self._made:
            if self.deadline.over:
                self.complete = False
                return None
            self._made[key] = self._plan(index, extra, charges)
        return self._made[key]

    def today(self, index: int) -> Today:
        """Return how a job is done on the shelf as it is: without buying, else buying what is missing for itself alone."""
        made = self.planned(index, {})
        if made is not None:
            return Today(made.kit.cents)
        task = self.tasks[index]
        prices = prices_of([task])
        # What it buys it keeps, so each of its runs bears its share.
        bought = self.planned(index, {}, {item: round(price / task.times) for item, price in prices.items()})
        if bought is None:
            return Today(None)
        buys = missing(bought.kit, task.stock, {})
        return Today(bought.kit.cents, buys, sum(count * prices[item] for item, count in buys.items()))

    def _plan(self, index: int, extra: Mapping[str, int], charges: Mapping[str, int] | None) -> CheapestKit | None:
        task = self.tasks[index]
        shortage: Literal["refuse", "price"] = "refuse" if charges is None else "price"
        request = replace(task.request, shortage=shortage, today=None, keep=None, alternatives=1)
        found = self.planner(request, with_extra(task.stock, extra, charges), deadline=self.deadline)
        if found.stopped_by in ("time", "cancel"):
            self.complete = False
        kits = [kit_of(alternative) for alternative in found.alternatives]
        self.kits[index].extend(kit for kit in kits if kit not in self.kits[index])
        if not kits:
            return None
        return CheapestKit(kits[0], found.alternatives[0].cost.total_cents, found.status == "optimal")


def _sorted(counts: Mapping[str, int]) -> Charges:
    return tuple(sorted((item, count) for item, count in counts.items() if count))
