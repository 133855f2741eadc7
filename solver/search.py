"""Poses best-first: each is a lie and a position of the lattice under it, taken by the floor under its price."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from inventory.items import Item
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.candidates.assembly import Assembly, assemble
from solver.candidates.blocking import TorchWays, torch_ways, way_options
from solver.candidates.bounds import Bounds
from solver.candidates.lies import Lie, Seat, lies_of, on_table, phases_of, seat_on, sliding_phases, usable_holes
from solver.candidates.placing import Lattice, Match, matches, place
from solver.candidates.problem import build
from solver.candidates.screen import screen
from solver.candidates.stands import Stand
from solver.cost import free_pieces, piece_times, tariff
from solver.geometry.joints import Sample
from solver.model.pose import Choice, Outcome, PoseModel, Refusal
from solver.request import Request

SLIDING_GRID = 10.0
"""Lattice positions tried for fixtures of adjustable pieces only, mm apart."""


@dataclass(frozen=True)
class Limits:
    """When to stop: wall clock left (s), deterministic work left (None: no limit), and the caller's wish."""

    seconds_left: Callable[[], float]
    work: float | None
    should_stop: Callable[[], bool]


@dataclass
class Ground:
    """One lie on tables of one pitch: what all its lattice positions share."""

    lie: Lie
    tables: Sequence[Table]
    assembly: Assembly
    stands: list[Stand]
    found: list[Match]
    torch: TorchWays
    bounds: Bounds


@dataclass(order=True)
class Pose:
    """A lattice position of a ground, with the floor under its price in cents; ordered by floor, then by number."""

    floor: int
    number: int
    ground: Ground = field(compare=False)
    lattice: Lattice = field(compare=False)
    table: Table = field(compare=False)


@dataclass(frozen=True)
class Found:
    """A choice on a pose and its seat."""

    pose: Pose
    model: PoseModel
    seat: Seat
    choice: Choice


@dataclass
class Tally:
    """What the search did, and why candidates and poses fell out."""

    poses: int = 0
    built: int = 0
    solves: int = 0
    rounds: int = 0
    work: float = 0.0
    refused: Counter[str] = field(default_factory=Counter)


@dataclass
class Search:
    """The search over all poses of one request; built poses are kept for the questions that follow."""

    request: Request
    stock: StockSnapshot
    samples: Sequence[Sample]
    limits: Limits
    refuse: Refusal | None = None
    tally: Tally = field(default_factory=Tally)
    poses: list[Pose] = field(default_factory=list)
    grounds: list[Ground] = field(default_factory=list)
    models: dict[int, tuple[PoseModel, Seat] | None] = field(default_factory=dict)

    def open(self) -> None:
        """Find all poses and the floor under each."""
        items = self._items()
        lies = lies_of(self.request, items, (0.0,))
        tables = [self.stock.tables[name] for name in self.request.tables]
        for lie in lies:
            assembly = assemble(self.request.weldment, self.request.rules, lie.rotation, lie.lift, self.samples)
            torch = torch_ways(assembly)
            for pitch in dict.fromkeys(table.pitch for table in tables):
                stands, found = matches(items, assembly, pitch)
                bounds = Bounds(assembly, stands, found, [self._price(stand) for stand in stands], pitch)
                same = [table for table in tables if table.pitch == pitch]
                self.grounds.append(Ground(lie, same, assembly, stands, found, torch, bounds))
        for ground in self.grounds:
            self._add_poses(ground)
        self.poses.sort()
        self.tally.poses = len(self.poses)

    def _items(self) -> list[Item]:
        priced = self.request.shortage == "price"
        return [item for item in self.stock.items.values() if priced or free_pieces(self.request, self.stock, item.id) > 0]

    def _price(self, stand: Stand) -> float:
        """Return what a stand adds to the price, cents, before rounding."""
        rates = tariff(self.request)
        total = 0.0
        for depth, level in enumerate(stand.levels):
            free = free_pieces(self.request, self.stock, level.item.id)
            times = piece_times(level.item, self.request.rules, free, stacked=depth > 0)
            seconds = times.setup_s * rates.setup_share + times.cycle_s * rates.cycle_share * rates.quantity
            total += float(seconds * rates.cents_per_s) + rates.days * times.day_cents + times.weight_cents
        return total

    def _add_poses(self, ground: Ground) -> None:
        missing = set(range(len(ground.torch.samples))) - set(ground.torch.sample.tolist())
        if missing:
            self.tally.refused["torch.shut_in"] += len(missing)
            return
        if ground.assembly.order is None:
            self.tally.refused["way.in"] += 1
            return
        rates = tariff(self.request)
        fixed = float(rates.setup_fixed_s * rates.setup_share * rates.cents_per_s)
        fixed += float(rates.cycle_fixed_s * rates.cycle_share * rates.quantity * rates.cents_per_s)
        bounds = ground.bounds
        xs, ys = phases_of(ground.stands, ground.found, bounds.pitch)
        more_x, more_y = sliding_phases(ground.stands, ground.found, bounds.pitch, SLIDING_GRID)
        xs, ys = xs or more_x, ys or more_y
        fits_x, fits_y = bounds.table(xs, 0), bounds.table(ys, 1)
        for i, x in enumerate(xs):
            for j, y in enumerate(ys):
                floor = bounds.floor(fits_x[i], fits_y[j])
                if floor == math.inf:
                    self.tally.refused["locate.lattice"] += 1
                    continue
                for table in ground.tables:
                    cents = math.ceil(fixed + floor - 1.0 - 1e-6)
                    self.poses.append(Pose(cents, len(self.poses), ground, Lattice((x, y), bounds.pitch), table))

    def model(self, pose: Pose) -> tuple[PoseModel, Seat] | None:
        """Return a pose's model and seat, built once; None if the weldment does not fit on its table."""
        if pose.number not in self.models:
            self.models[pose.number] = self._build(pose)
        return self.models[pose.number]

    def _build(self, pose: Pose) -> tuple[PoseModel, Seat] | None:
        ground = pose.ground
        seat = seat_on(pose.table, ground.assembly, pose.lattice, ground.lie, self.request.without)
        if seat is None:
            self.tally.refused["table.size"] += 1
            return None
        self.tally.built += 1
        rules = self.request.rules
        usable = usable_holes(pose.table, self.request.without)
        placed = place(ground.stands, ground.found, pose.lattice)
        kept = on_table(placed, seat, usable, rules["clear.table_edge"])
        self.tally.refused["table.hole"] += len(placed) - len(kept)
        screened = screen(kept, ground.assembly)
        self.tally.refused.update(screened.refused)
        problem = build(self.request, self.stock, ground.assembly, pose.lattice, screened.kept, ground.torch, way_options(rules))
        return PoseModel(problem), seat

    def cheapest(self, unlike: Sequence[tuple[str, str, Counter[tuple[int, str, str]]]], ceiling: int | None = None) -> tuple[Found | None, int | None, bool]:
        """Return the cheapest choice over all poses that differs from those given, the proven bound, and whether proven.

        `unlike` lists (down, table id, signature) of alternatives already taken.
        """
        best: Found | None = None
        bound: int | None = None
        most = ceiling
        proven = True
        for pose in self.poses:
            if most is not None and pose.floor > most:
                bound = pose.floor if bound is None else min(bound, pose.floor)
                break
            if self.limits.seconds_left() <= 0 or self.limits.should_stop() or self._out_of_work():
                proven = False
                bound = pose.floor if bound is None else min(bound, pose.floor)
                break
            built = self.model(pose)
            if built is None:
                continue
            model, seat = built
            outcome = self._ask(model, pose, unlike, most)
            if outcome.verdict in ("unknown", "feasible"):
                proven = False
                low = max(pose.floor, outcome.bound if outcome.bound is not None else pose.floor)
                bound = low if bound is None else min(bound, low)
            if outcome.choice is not None:
                best = Found(pose, model, seat, outcome.choice)
                most = outcome.choice.cents - 1
        if best is not None and proven:
            bound = best.choice.cents
        return best, bound, proven

    def _ask(self, model: PoseModel, pose: Pose, unlike: Sequence[tuple[str, str, Counter[tuple[int, str, str]]]], most: int | None) -> Outcome:
        alike = [entry for down, table, entry in unlike if down == pose.ground.lie.down and table == pose.table.id]
        outcome = model.cheapest(
            seed=self.request.seed,
            seconds_left=self.limits.seconds_left,
            work=None if self.limits.work is None else max(0.0, self.limits.work - self.tally.work),
            ceiling=most,
            unlike=alike,
            refuse=self.refuse,
            should_stop=self.limits.should_stop,
        )
        self.tally.solves += outcome.solves
        self.tally.rounds += outcome.rounds
        self.tally.work += outcome.work
        return outcome

    def _out_of_work(self) -> bool:
        return self.limits.work is not None and self.tally.work >= self.limits.work

