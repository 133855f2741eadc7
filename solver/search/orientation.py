"""Lies made ready for their lattice positions: the weldment as it lies, what can meet it, where the torch can come from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from inventory.items import Item
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.access.torch import TorchDirections, free_torch_directions
from solver.cost import PieceTimes, free_pieces, stack_times, tariff
from solver.geometry.joints import Sample
from solver.hardware.candidates import Lattice
from solver.hardware.matching import Match, Shelf, matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.stacks import Stack, carries_straight_up
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import drawn_samples, lay_out
from solver.laying.lies import Lie
from solver.position.floors.match_floors import MatchFloors
from solver.position.seats import Seat
from solver.request import Request


@dataclass
class Orientation:
    """One lie on tables of one pitch: what all its lattice positions share."""

    lie: Lie
    tables: Sequence[Table]
    laid: LaidWeldment
    stacks: list[Stack]
    found: list[Match]
    times: list[PieceTimes]
    torch: TorchDirections
    bounds: MatchFloors
    every: Sequence[Match] = ()
    """`found`, and what parts and welds shut out."""
    phases: list[tuple[float, float]] = field(default_factory=list)
    """Its lattice positions, once they are known; the same for every order of loading."""
    premium: float = 0.0
    """What `bounds` leave out of the price of every fixture meant here, cents: an arm at least."""
    reordered: bool = False
    """Whether its parts go in in another order than the plain one."""
    sort: str = ""
    """The code of the further sort of lattice positions it was opened with; empty if it lies flat in the plain order."""
    surveyed: bool = False
    """Whether some of its lattice positions have been surveyed."""
    hard: int | None = None
    """A part for which no clamp was found at most of the positions surveyed last."""
    fruitless: int = 0
    """How often a position of it was asked since one last gave a better fixture."""

    kept_seat: tuple[Lattice, Seat] | None = None
    """Where the weldment lies as in the plan to keep, if that is a position of its own."""
    variants: tuple[Orientation, ...] = ()
    """The same for each variant that runs on the same set-up, lying alike."""
    by_order: dict[int, Orientation] = field(default_factory=dict)
    """Where several orders of loading are meant at once, the orientation of each asked for so far."""

    @property
    def several(self) -> bool:
        """Whether several orders of loading are meant at once."""
        return len(self.bounds.choices.laids) > 1

    def in_order(self, number: int, laid: LaidWeldment) -> Orientation:
        """Return the orientation of one order of loading, by its number."""
        if number not in self.by_order:
            bounds = self.bounds.ordered([laid])
            self.by_order[number] = replace(self, laid=laid, bounds=bounds, surveyed=True, fruitless=0, by_order={})
        return self.by_order[number]

    @property
    def lacking(self) -> float:
        """How much higher the weldment must lie for the torch and for outer bodies to clear the table, mm; 0 if they do."""
        return max(self.torch.lacking, self.laid.sunk)

    @property
    def reach(self) -> ReachableHoles:
        """What the stacks' pads can reach, as arrays."""
        return self.bounds.reach


def in_orders(orientation: Orientation, orders: Sequence[tuple[int, ...]]) -> Orientation:
    """Return an orientation whose parts go in in other orders, all of them at once."""
    bounds = orientation.bounds.ordered([replace(orientation.laid, order=order) for order in orders])
    beside = tuple(in_orders(variant, orders) for variant in orientation.variants)
    return replace(
        orientation, laid=bounds.laid, bounds=bounds, reordered=True, surveyed=False, fruitless=0, by_order={}, variants=beside
    )


def with_every_arm(
    request: Request, stock: StockSnapshot, orientation: Orientation, shelf: Shelf, arm_cents: float
) -> Orientation:
    """Return an orientation for fixtures that use an arm, wherever one may stand.

    Its floors add the cheapest arm once, and take it off what stands on an arm.
    """
    stacks, found = matches(shelf, orientation.laid, every_arm=True)
    there = _orientation(
        request, stock, orientation.lie, orientation.tables, orientation.laid, orientation.torch, shelf, stacks, found
    )
    late = np.array([any(not carries_straight_up(level.item) for level in stack.levels[:-1]) for stack in stacks], dtype=bool)
    less = (np.array(there.bounds.prices) - arm_cents * late).tolist()
    beside = tuple(with_every_arm(request, stock, variant, shelf, arm_cents) for variant in orientation.variants)
    return replace(there, bounds=replace(there.bounds, prices=less, late=late), premium=arm_cents, variants=beside)


def items_of(request: Request, stock: StockSnapshot) -> list[Item]:
    """Return what may stand: items of which pieces are free, or may be bought."""
    return [item for item in stock.items.values() if request.shortage == "price" or free_pieces(request, stock, item.id) > 0]


def orientations_of(
    request: Request, stock: StockSnapshot, samples: Sequence[Sample], lies: Sequence[Lie], out_of_time: Callable[[], bool],
    shelf_of: Callable[[float], Shelf], tables: Sequence[Table] = (),
) -> Iterator[Orientation]:  # fmt: skip
    """Yield the orientation of every lie on the tables (all allowed, if none are given) of each pitch, until time is up."""
    tables = tables or [stock.tables[name] for name in request.tables]
    for lie in lies:
        if out_of_time():
            return
        laid = lay_out(request.weldment, request.rules, lie.rotation, lie.lift, samples)
        torch = free_torch_directions(laid)
        for pitch in dict.fromkeys(table.pitch for table in tables):
            if out_of_time():
                return
            same = [table for table in tables if table.pitch == pitch]
            shelf = shelf_of(pitch)
            there = _orientation(request, stock, lie, same, laid, torch, shelf, *matches(shelf, laid))
            yield replace(there, variants=tuple(_beside(request, stock, there, shelf))) if request.variants else there


def _beside(request: Request, stock: StockSnapshot, orientation: Orientation, shelf: Shelf) -> Iterator[Orientation]:
    """Yield how each variant of another size lies where the request's own weldment has an orientation, in the same order."""
    lie = orientation.lie
    for variant in request.sizes:
        samples, _ = drawn_samples(variant.weldment, request.rules)
        laid = lay_out(variant.weldment, request.rules, lie.rotation, lie.lift, samples)
        laid = replace(laid, order=orientation.laid.order if laid.order else None)
        torch = free_torch_directions(laid)
        yield _orientation(request, stock, lie, orientation.tables, laid, torch, shelf, *matches(shelf, laid))


def under_rules(request: Request, stock: StockSnapshot, orientation: Orientation, shelf: Shelf) -> Orientation:
    """Return an orientation as it is under a request's rules, found under others that differ in nothing the torch asks for."""
    laid = replace(orientation.laid, rules=request.rules)
    there = _orientation(
        request, stock, orientation.lie, orientation.tables, laid, orientation.torch, shelf, orientation.stacks,
        orientation.every,
    )  # fmt: skip
    return replace(there, variants=tuple(under_rules(request, stock, variant, shelf) for variant in orientation.variants))


def found_anew(request: Request, stock: StockSnapshot, orientation: Orientation, shelf: Shelf) -> Orientation:
    """Return an orientation under a request's rules, with what can meet the weldment under them found anew."""
    laid = replace(orientation.laid, rules=request.rules)
    return _orientation(
        request, stock, orientation.lie, orientation.tables, laid, orientation.torch, shelf, *matches(shelf, laid)
    )


def _orientation(
    request: Request, stock: StockSnapshot, lie: Lie, tables: Sequence[Table], laid: LaidWeldment, torch: TorchDirections,
    shelf: Shelf, stacks: list[Stack], found: Sequence[Match],
) -> Orientation:  # fmt: skip
    priced = priced_stacks(request, stock, shelf, stacks)
    times = [entry for entry, _ in priced]
    reach = ReachableHoles.of(stacks, found).past(laid)
    bounds = MatchFloors.of(laid, reach, [cents for _, cents in priced], tables[0].pitch)
    return Orientation(lie, tables, laid, stacks, list(reach.matches), times, torch, bounds, found)


def priced_stacks(
    request: Request, stock: StockSnapshot, shelf: Shelf, stacks: Sequence[Stack]
) -> list[tuple[PieceTimes, float]]:
    """Return what each stack adds, and its price in cents; kept on the shelf."""
    rates, priced = tariff(request), []
    for stack in stacks:
        pieces = tuple(level.item.id for level in stack.levels)
        if pieces not in shelf.prices:
            entry = stack_times(request, stock, [level.item for level in stack.levels])
            shelf.prices[pieces] = entry, entry.cents(rates)
        priced.append(shelf.prices[pieces])
    return priced
