"""The price of a fixture, line by line: integer cents and whole seconds, rounded exactly as promised."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from inventory.items import Item
from inventory.stock import StockSnapshot
from solver.plans import Cost
from solver.request import BEST, Request
from solver.rule_book.book import RuleBook


class Rules(Protocol):
    """A rule book, or whatever else has its numbers by name."""

    def __getitem__(self, name: str, /) -> float | Fraction:
        """Return the number of a rule."""
        ...


def exact(value: float | Fraction) -> Fraction:
    """Return a number as the decimal it was written as."""
    return Fraction(str(value))


def half_up(value: Fraction) -> int:
    """Return a non-negative number rounded half up."""
    return math.floor(value + Fraction(1, 2))


@dataclass(frozen=True, slots=True)
class PieceTimes:
    """What a piece, or a stack at all stations, adds: seconds of setup and cycle, cents of its day rate, its weights in cents.

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
        seconds = self.setup_s * rates.setup_share + self.cycle_s * rates.cycle_share * rates.cycles
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


def fixtures_on_table(request: Request) -> int:
    """Return how many equal fixtures stand on the table: the number asked for, 1 as long as the best number is sought."""
    return 1 if request.stations == BEST else int(request.stations)


def stack_times(request: Request, stock: StockSnapshot, items: Sequence[Item]) -> PieceTimes:
    """Return what pieces standing on each other, the lowest first, add together at all stations.

    Setup, day rates, weights and prices count once a station; a cycle makes one weldment, so its seconds count once. Only the
    piece on top is ever pulled.
    """
    stations = fixtures_on_table(request)
    entries = [
        piece_times(item, request.rules, free_pieces(request, stock, item.id), stacked=depth > 0)
        for depth, item in enumerate(items)
    ]
    return PieceTimes(
        stations * sum((entry.setup_s for entry in entries), Fraction(0)),
        sum((entry.cycle_s for entry in entries), Fraction(0)),
        stations * sum(entry.day_cents for entry in entries),
        stations * sum(entry.weight_cents for entry in entries),
        stations * sum(item.price_cents for item in items if bought_in_any_case(request, stock, item)),
        entries[-1].pull_s,
    )


def bought_in_any_case(request: Request, stock: StockSnapshot, item: Item) -> bool:
    """Return whether every piece of an item is bought, because none is free."""
    return request.shortage == "price" and free_pieces(request, stock, item.id) == 0


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
    check_s: Fraction = Fraction(0)
    runs: tuple[int, ...] = ()
    """How many weldments of each variant run on the same set-up."""

    @property
    def cycles(self) -> int:
        """How many weldments are made in all."""
        return self.quantity + sum(self.runs)

    def reset_s(self, pieces_s: Fraction) -> int:
        """Return what it takes to go on with a variant for what its pieces take, its parts checked, whole seconds."""
        return math.ceil(self.check_s + pieces_s)

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
        """Return the price of all cycles of the request's own weldment."""
        return self.run_cents(self.quantity, cycle_s)

    def run_cents(self, quantity: int, cycle_s: int) -> int:
        """Return the price of so many cycles."""
        return half_up(quantity * cycle_s * self.cents_per_s)


def tariff(request: Request) -> Tariff:
    """Return the fixed part of a request's price, for as many stations as it asks for."""
    return _tariff(
        request.rules,
        parts=len(request.weldment.parts),
        stations=fixtures_on_table(request),
        set_before=request.set_before,
        quantity=request.quantity,
        days=request.days,
        runs=tuple(variant.quantity for variant in request.variants),
    )


def _tariff(
    rules: Rules, *, parts: int, stations: int, set_before: bool, quantity: int, days: int, runs: tuple[int, ...] = ()
) -> Tariff:
    share = exact(rules["time.round_share"])
    return Tariff(
        setup_fixed_s=exact(rules["time.walk_s"]) + exact(rules["time.check_s"]) * parts * stations,
        setup_share=exact(rules["time.repeat_ratio"]) if set_before else Fraction(1),
        cycle_fixed_s=exact(rules["time.load_s"]) * parts + exact(rules["time.unload_s"]),
        cycle_share=1 - share * (1 - Fraction(1, stations)),
        cents_per_s=exact(rules["rate.labour_cents_per_hour"]) / 3600,
        quantity=quantity,
        days=days,
        check_s=exact(rules["time.check_s"]) * parts,
        runs=runs,
    )


@dataclass(frozen=True, slots=True)
class RunTimes:
    """What a variant's pieces take that no rule says, beside the set-up it shares.

    `picked` and `stacked` count pieces that are picked or put on another for it, `hands_s` are the seconds of placing and setting
    them; `clamps_s` and `pulled_s` are those of its cycle.
    """

    quantity: int
    hands_s: Fraction
    clamps_s: Fraction
    pulled_s: Fraction
    picked: int = 0
    stacked: int = 0

    def reset_s(self, rates: Tariff, rules: Rules) -> int:
        """Return what it takes to go on with the variant, whole seconds."""
        picking = self.picked * exact(rules["time.pick_s"]) + self.stacked * exact(rules["time.stack_s"])
        return rates.reset_s(picking + self.hands_s)

    def cycle_s(self, rates: Tariff) -> int:
        """Return the variant's cycle, whole seconds."""
        return rates.cycle_s(self.clamps_s + self.pulled_s)


@dataclass(frozen=True, slots=True)
class Bill:
    """All that a fixture's price depends on and that is no rule: what is priced, whatever the rule book says.

    Parameters
    ----------
    quantity, days, parts, stations : int
        Weldments, days the hardware is held, parts of one weldment, equal fixtures on the table.
    set_before : bool
        Whether the plan was set before.
    pieces, stacked, settings : int
        Pieces of all stations; those that stand on another; those of the kit with a setting.
    hands_s : Fraction
        Seconds of placing all pieces and of setting those that have a setting.
    clamps_s, pulled_s : Fraction
        Seconds a cycle of shutting and opening the clamps of all stations, and of the pieces pulled at one.
    day_cents, bought_cents : int
        Day rates of all pieces, and the price of those that are bought.
    free : mapping
        Pieces by how many of their item are free, 1 where none is.
    moved : int
        Pieces that move in a re-plan.
    runs : tuple of RunTimes
        The variants that run on the same set-up after the request's own weldment, in order.
    """

    quantity: int
    days: int
    parts: int
    stations: int
    set_before: bool
    pieces: int
    stacked: int
    settings: int
    hands_s: Fraction
    clamps_s: Fraction
    pulled_s: Fraction
    day_cents: int
    bought_cents: int
    free: Mapping[int, int]
    moved: int = 0
    runs: tuple[RunTimes, ...] = ()

    def tariff(self, rules: Rules) -> Tariff:
        """Return the fixed part of the price under some rules."""
        return _tariff(
            rules,
            parts=self.parts,
            stations=self.stations,
            set_before=self.set_before,
            quantity=self.quantity,
            days=self.days,
            runs=tuple(run.quantity for run in self.runs),
        )

    def pieces_s(self, rules: Rules) -> Fraction:
        """Return what the pieces add to a setup, s."""
        return self.pieces * exact(rules["time.pick_s"]) + self.stacked * exact(rules["time.stack_s"]) + self.hands_s

    @property
    def round_s(self) -> Fraction:
        """What clamps and pulled pieces add to a cycle, s."""
        return self.clamps_s / self.stations + self.pulled_s

    def weights_cents(self, rules: Rules) -> int:
        """Return what the rule book's weights add."""
        scarce = exact(rules["weights.scarce"])
        return (
            self.settings * half_up(exact(rules["weights.adjustable"]))
            + self.moved * half_up(exact(rules["weights.moved_piece"]))
            + sum(count * half_up(scarce / free) for free, count in self.free.items())
        )


def bill_of(
    request: Request,
    stock: StockSnapshot,
    pieces: Sequence[tuple[Item, bool]],
    *,
    pulled: Sequence[Item] = (),
    moved: int = 0,
    stations: int | None = None,
    runs: Sequence[RunTimes] = (),
    also: Sequence[Item] = (),
) -> Bill:
    """Return what is priced of a fixture; parameters as those of `price`."""
    kit = [*(item for item, _ in pieces), *also]
    used = Counter(item.id for item in kit)
    free = {name: free_pieces(request, stock, name) for name in used}
    clamps = [item.clamp for item, _ in pieces if item.clamp is not None]
    settings = [item for item, _ in pieces if item.slide is not None]
    counted: Counter[int] = Counter()
    for name, count in used.items():
        counted[max(1, free[name])] += count
    return Bill(
        quantity=request.quantity,
        days=request.days,
        parts=len(request.weldment.parts),
        stations=fixtures_on_table(request) if stations is None else stations,
        set_before=request.set_before,
        pieces=len(pieces),
        stacked=sum(stacked for _, stacked in pieces),
        settings=sum(item.slide is not None for item in kit),
        hands_s=_total(item.place_s for item, _ in pieces) + _total(item.set_s for item in settings),
        clamps_s=_total(seconds for clamp in clamps for seconds in (clamp.close_s, clamp.open_s)),
        pulled_s=_total(item.pull_s for item in pulled),
        day_cents=sum(item.day_rate_cents for item in kit),
        bought_cents=sum(max(0, count - free[name]) * stock.items[name].price_cents for name, count in used.items()),
        free=dict(counted),
        moved=moved,
        runs=tuple(runs),
    )


def _total(seconds: Iterable[float]) -> Fraction:
    return sum((exact(each) for each in seconds), Fraction(0))


def priced(bill: Bill, rules: Rules) -> tuple[Cost, int, int]:
    """Return price, setup seconds and cycle seconds of what a bill holds under some rules."""
    rates = bill.tariff(rules)
    setup_s, cycle_s = rates.setup_s(bill.pieces_s(rules)), rates.cycle_s(bill.round_s)
    lines = (
        rates.setup_cents(setup_s) + sum(rates.setup_cents(run.reset_s(rates, rules)) for run in bill.runs),
        rates.cycle_cents(cycle_s) + sum(rates.run_cents(run.quantity, run.cycle_s(rates)) for run in bill.runs),
        bill.days * bill.day_cents,
        bill.bought_cents,
        bill.weights_cents(rules),
    )
    return Cost(sum(lines), *lines), setup_s, cycle_s


@dataclass(frozen=True, slots=True)
class Priced:
    """A fixture's price and times; `runs` are the seconds to go on with each variant, and those of its cycle."""

    cost: Cost
    setup_s: int
    cycle_s: int
    bought: Mapping[str, int]
    runs: tuple[tuple[int, int], ...] = ()


def price(
    request: Request,
    stock: StockSnapshot,
    pieces: Sequence[tuple[Item, bool]],
    *,
    pulled: Sequence[Item] = (),
    moved: int = 0,
    stations: int | None = None,
    runs: Sequence[RunTimes] = (),
    also: Sequence[Item] = (),
) -> Priced:
    """Return the price of a fixture, or of several equal ones.

    Parameters
    ----------
    pieces : sequence of (item, stacked)
        Every piece of all stations, and whether it stands on another.
    pulled : sequence of items
        Pieces pulled each cycle, of one station.
    moved : int
        Pieces that move in a re-plan.
    stations : int
        Equal fixtures on the table; as many as the request asks for, if not given.
    runs : sequence of RunTimes
        The variants that run on the same set-up after the request's own weldment, in order.
    also : sequence of items
        Pieces of the kit that only variants use.
    """
    bill = bill_of(request, stock, pieces, pulled=pulled, moved=moved, stations=stations, runs=runs, also=also)
    cost, setup_s, cycle_s = priced(bill, request.rules)
    used = Counter(item.id for item in (*(item for item, _ in pieces), *also))
    short = {name: count - free_pieces(request, stock, name) for name, count in used.items()}
    rates = bill.tariff(request.rules)
    later = tuple((run.reset_s(rates, request.rules), run.cycle_s(rates)) for run in runs)
    return Priced(cost, setup_s, cycle_s, {name: count for name, count in short.items() if count > 0}, later)


def free_pieces(request: Request, stock: StockSnapshot, item: str) -> int:
    """Return the pieces a request may use: free in stock or promised to it, less what it goes without."""
    return max(0, stock.free(item, request.held.get(item, 0)) - request.without.items.get(item, 0))
