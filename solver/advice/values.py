"""What advice is asked about and what it says; how a kit stands against the shelf."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from inventory.stock import StockLine, StockSnapshot
from solver.plans import Alternative
from solver.request import Request


@dataclass(frozen=True, slots=True)
class Task:
    """A past or expected job: its request, how often it comes, and the stock that is free on its own days."""

    name: str
    request: Request
    stock: StockSnapshot
    times: int = 1


@dataclass(frozen=True, slots=True)
class PricedKit:
    """A kit that does a job: pieces by item, and the cost of one run without the price of pieces bought, cents."""

    pieces: Mapping[str, int]
    cents: int


@dataclass(frozen=True, slots=True)
class Today:
    """How a job is done with the shelf as it is; `buys` are pieces it must buy for itself, once, at `price_cents` together.

    `cents` is one run's cost without that price, None if the job cannot be done whatever it buys.
    """

    cents: int | None
    buys: Mapping[str, int] = field(default_factory=dict)
    price_cents: int = 0

    def total(self, times: int) -> int | None:
        """Return what all runs cost, cents."""
        return None if self.cents is None else times * self.cents + self.price_cents


@dataclass(frozen=True, slots=True)
class BuyLine:
    """Pieces worth buying: the price of one, and what all jobs together would cost more with one piece less (cents)."""

    item: str
    count: int
    price_cents: int
    saving_cents: int


@dataclass(frozen=True, slots=True)
class TaskCost:
    """What all runs of a job cost now and with the pieces bought, cents; None where it cannot be done.

    `now_buys`: pieces by item the job would have to buy for itself today; their price is in `now_cents`.
    """

    name: str
    times: int
    now_cents: int | None
    then_cents: int | None
    now_buys: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Advice:
    """What to buy, and what it changes.

    `saving_cents` is over all runs of all jobs that can be done today, before the price of the pieces; `spent_cents` is that
    price. `least_cents` is proved: no purchase within the budget brings all jobs together below it; None if a plan was not proved
    or a job cannot be done at all. `complete` tells whether time sufficed for every step; if not, there may be better purchases.
    """

    budget_cents: int
    spent_cents: int
    saving_cents: int
    lines: tuple[BuyLine, ...]
    tasks: tuple[TaskCost, ...]
    least_cents: int | None
    plans_made: int
    complete: bool


def kit_of(alternative: Alternative) -> PricedKit:
    """Return the kit with which an alternative does its job."""
    pieces: dict[str, int] = {}
    for line in alternative.kit:
        pieces[line.item] = pieces.get(line.item, 0) + line.count
    return PricedKit(pieces, alternative.cost.total_cents - alternative.cost.shortage_cents)


def missing(kit: PricedKit, stock: StockSnapshot, extra: Mapping[str, int]) -> dict[str, int]:
    """Return the pieces a kit needs beyond what is free and bought."""
    short = {item: count - stock.free(item) - extra.get(item, 0) for item, count in kit.pieces.items()}
    return {item: count for item, count in short.items() if count > 0}


def with_extra(stock: StockSnapshot, extra: Mapping[str, int], charges: Mapping[str, int] | None = None) -> StockSnapshot:
    """Return the stock with extra pieces free, and these prices for missing ones (items not named: free; None: as they are)."""
    lines = dict(stock.lines)
    for item, count in extra.items():
        line = lines.get(item, StockLine(item, 0))
        # More may be promised than there is; what is bought comes on top of what is free, not into that hole.
        hole = max(0, line.out_of_service + line.reserved - line.count)
        lines[item] = replace(line, count=line.count + hole + count)
    if charges is None:
        return replace(stock, lines=lines)
    items = {id: replace(item, price_cents=charges.get(id, 0)) for id, item in stock.items.items()}
    return replace(stock, lines=lines, items=items)


def with_own_free(stock: StockSnapshot, held: Mapping[str, int]) -> StockSnapshot:
    """Return the stock as a job sees it to which `held` of the reserved pieces are promised: they are not reserved."""
    own = {id: line for id, line in stock.lines.items() if id in held}
    lines = {id: replace(line, reserved=max(0, line.reserved - held[id])) for id, line in own.items()}
    return replace(stock, lines={**stock.lines, **lines}) if lines else stock


def prices_of(tasks: Sequence[Task]) -> dict[str, int]:
    """Return the price of one piece of every item, cents."""
    return {id: item.price_cents for task in tasks for id, item in task.stock.items.items()}
