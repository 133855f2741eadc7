"""The price of a fixture, line by line: integer cents and whole seconds, rounded exactly as promised."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.items import Item
from inventory.stock import StockSnapshot
from solver.plans import Cost
from solver.request import Request
from solver.rule_book.book import RuleBook


def exact(value: float) -> Fraction:
    """Return a number as the decimal it was written as."""
    return Fraction(str(value))


def half_up(value: Fraction) -> int:
    """Return a non-negative number rounded half up."""
    return math.floor(value + Fraction(1, 2))


@dataclass(frozen=True, slots=True)
class PieceTimes:
    """What one piece adds: seconds of a setup, seconds of a cycle, cents of its day rate, and its weights in cents.

    `buying_cents` is its price if it is bought in any case, because none is free; `pull_s` the seconds of a cycle it adds
    if it is pulled.
    """

    setup_s: Fraction
    cycle_s: Fraction
    day_cents: int
    weight_cents: int
    buying_cents: int = 0
    pull_s: Fraction = Fraction(0)

    def cents(self, rates: Tariff) -> float:
        """Return what it adds to the price, cents, before rounding."""
        seconds = self.setup_s * rates.setup_share + self.cycle_s * rates.cycle_share * rates.quantity
        return float(seconds * rates.cents_per_s) + rates.days * self.day_cents + self.weight_cents + self.buying_cents


def piece_times(item: Item, rules: RuleBook, free: int, *, stacked: bool) -> PieceTimes:
    """Return what one piece of an item adds to setup, cycle, tie-up and weights.

    `free` counts the item's free pieces; `stacked` tells whether it stands on another piece.
    """
    setup = exact(rules["time.pick_s"]) + exact(item.place_s)
    weight = half_up(exact(rules["weights.scarce"]) / max(1, free))
    if item.slide is not None:
        setup += exact(item.set_s)
        weight += half_up(exact(rules["weights.adjustable"]))
    if stacked:
        setup += exact(rules["time.stack_s"])
    cycle = Fraction(0)
    if item.clamp is not None:
        cycle = exact(item.clamp.close_s) + exact(item.clamp.open_s)
    return PieceTimes(setup, cycle, item.day_rate_cents, weight, pull_s=exact(item.pull_s))


def stack_times(request: Request, stock: StockSnapshot, items: Sequence[Item]) -> PieceTimes:
    """Return what pieces standing on each other, the lowest first, add together; only the one on top is ever pulled."""
    entries = [
        piece_times(item, request.rules, free_pieces(request, stock, item.id), stacked=depth > 0)
        for depth, item in enumerate(items)
    ]
    return PieceTimes(
        sum((entry.setup_s for entry in entries), Fraction(0)),
        sum((entry.cycle_s for entry in entries), Fraction(0)),
        sum(entry.day_cents for entry in entries),
        sum(entry.weight_cents for entry in entries),
        sum(item.price_cents for item in items if request.shortage == "price" and free_pieces(request, stock, item.id) == 0),
        entries[-1].pull_s,
    )


@dataclass(frozen=True, slots=True)
class Tariff:
    """What a request fixes before any piece is chosen; seconds exact, quantities whole."""

    setup_fixed_s: Fraction
    setup_share: Fraction
    cycle_fixed_s: Fraction
    cycle_share: Fraction
    cents_per_s: Fraction
    quantity: int
    days: int

    def setup_s(self, pieces_s: Fraction) -> int:
        """Return the setup time for what the pieces add, whole seconds."""
        return math.ceil((self.setup_fixed_s + pieces_s) * self.setup_share)

    def cycle_s(self, pieces_s: Fraction) -> int:
        """Return the cycle time for what clamps and pulled pieces add, whole seconds."""
        return math.ceil((self.cycle_fixed_s + pieces_s) * self.cycle_share)

    def setup_cents(self, setup_s: int) -> int:
        """Return the price of a setup."""
        return half_up(setup_s * self.cents_per_s)

    def cycle_cents(self, cycle_s: int) -> int:
        """Return the price of all cycles of the run."""
        return half_up(self.quantity * cycle_s * self.cents_per_s)


def tariff(request: Request, stations: int = 1) -> Tariff:
    """Return the fixed part of a request's price."""
    rules, parts = request.rules, len(request.weldment.parts)
    share = exact(rules["time.round_share"])
    return Tariff(
        setup_fixed_s=exact(rules["time.walk_s"]) + exact(rules["time.check_s"]) * parts * stations,
        setup_share=exact(rules["time.repeat_ratio"]) if request.set_before else Fraction(1),
        cycle_fixed_s=exact(rules["time.load_s"]) * parts + exact(rules["time.unload_s"]),
        cycle_share=1 - share * (1 - Fraction(1, stations)),
        cents_per_s=exact(rules["rate.labour_cents_per_hour"]) / 3600,
        quantity=request.quantity,
        days=request.days,
    )


@dataclass(frozen=True, slots=True)
class Priced:
    """A fixture's price and times."""

    cost: Cost
    setup_s: int
    cycle_s: int
    bought: Mapping[str, int]


def price(
    request: Request,
    stock: StockSnapshot,
    pieces: Sequence[tuple[Item, bool]],
    *,
    pulled: Sequence[Item] = (),
    moved: int = 0,
    stations: int = 1,
) -> Priced:
    """Return the price of a fixture.

    Parameters
    ----------
    pieces : sequence of (item, stacked)
        Every piece of all stations, and whether it stands on another.
    pulled : sequence of items
        Pieces pulled each cycle, of one station.
    moved : int
        Pieces that move in a re-plan.
    """
    rates = tariff(request, stations)
    free = {item.id: free_pieces(request, stock, item.id) for item, _ in pieces}
    times = [piece_times(item, request.rules, free[item.id], stacked=stacked) for item, stacked in pieces]
    setup_s = rates.setup_s(sum((entry.setup_s for entry in times), Fraction(0)))
    clamps = sum((entry.cycle_s for entry in times), Fraction(0)) / stations
    cycle_s = rates.cycle_s(clamps + sum((exact(item.pull_s) for item in pulled), Fraction(0)))
    used: dict[str, int] = {}
    for item, _ in pieces:
        used[item.id] = used.get(item.id, 0) + 1
    bought = {name: count - free[name] for name, count in used.items() if count > free[name]}
    lines = (
        rates.setup_cents(setup_s),
        rates.cycle_cents(cycle_s),
        rates.days * sum(entry.day_cents for entry in times),
        sum(count * stock.items[name].price_cents for name, count in bought.items()),
        sum(entry.weight_cents for entry in times) + moved * half_up(exact(request.rules["weights.moved_piece"])),
    )
    return Priced(Cost(sum(lines), *lines), setup_s, cycle_s, bought)


def free_pieces(request: Request, stock: StockSnapshot, item: str) -> int:
    """Return the pieces a request may use: free in stock or promised to it, less what it goes without."""
    return max(0, stock.free(item, request.held.get(item, 0)) - request.without.items.get(item, 0))
