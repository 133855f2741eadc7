"""Poses best-first: each is a lie and a position of the lattice under it, taken by the floor under its price."""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from inventory.items import Item
from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.candidates.assembly import assemble
from solver.candidates.blocking import torch_ways
from solver.candidates.bounds import Bounds
from solver.candidates.floors import floors
from solver.candidates.hanging import seated
from solver.candidates.kept import Kept
from solver.candidates.lies import (
    Lie,
    lies_of,
    lifts_of,
    off_table,
    phases_of,
    sliding_phases,
    usable_holes,
    wider_phases,
)
from solver.candidates.placing import Lattice, matches
from solver.candidates.problem import Problem, build
from solver.candidates.screen import screen
from solver.candidates.sites import ALONG, sites_on, thinned
from solver.cost import exact, free_pieces, half_up, stack_times, tariff
from solver.geometry.joints import Sample
from solver.model.counting import counting
from solver.model.cpsat import feasible
from solver.model.families.differ import Signature
from solver.model.objective import Standing
from solver.model.pose import Outcome, PoseModel
from solver.poses import Fallen, Found, Ground, Limits, Pose, Taken, Tally
from solver.request import Request

FIRST_BATCH = 6
BATCH = 24
"""Poses placed and screened together."""
SLIDING_GRID = 10.0
"""Lattice positions tried for fixtures of adjustable pieces only, mm apart."""


@dataclass
class Search:
    """The search over all poses of one request; built poses are kept for the questions that follow."""

    request: Request
    stock: StockSnapshot
    samples: Sequence[Sample]
    limits: Limits
    tally: Tally = field(default_factory=Tally)
    poses: list[Pose] = field(default_factory=list)
    grounds: list[Ground] = field(default_factory=list)
    fallen: list[Fallen] = field(default_factory=list)
    tried: list[Ground] = field(default_factory=list)
    narrow: list[Ground] = field(default_factory=list)
    motions: list[Array] = field(default_factory=list)
    announce: Callable[[Found], None] | None = None

    def open(self) -> None:
        """Find all poses with the weldment on the table, and the floor under each."""
        self._open(lies_of(self.request, self._items(), (0.0,)))

    def raise_up(self) -> bool:
        """Find the poses with the weldment raised on rests or V-blocks instead; return whether there are any."""
        items = self._items()
        on_table, had_poses = list(self.grounds), self.tally.poses > 0 or self.tally.refused["stock.counted"] > 0
        self.grounds, self.poses = [], []
        for ground in on_table if had_poses else ():
            for lift in lifts_of(items, ground.assembly, ground.bounds.pitch):
                self._open([replace(ground.lie, lift=lift)])
        return bool(self.poses)

    def widen(self) -> bool:
        """Find more lattice positions for the present lies, where the plain ones held nothing; return whether there are any."""
        self.poses = []
        for ground in self.narrow:
            self._widen(ground)
        self.narrow = []
        self.poses.sort()
        self.tally.poses += len(self.poses)
        return bool(self.poses)

    def _open(self, lies: Sequence[Lie]) -> None:
        items = self._items()
        fresh = len(self.grounds)
        tables = [self.stock.tables[name] for name in self.request.tables]
        rates = tariff(self.request)
        for lie in lies:
            assembly = assemble(self.request.weldment, self.request.rules, lie.rotation, lie.lift, self.samples)
            torch = torch_ways(assembly)
            for pitch in dict.fromkeys(table.pitch for table in tables):
                stands, found = matches(items, assembly, pitch)
                items_of = [[level.item for level in stand.levels] for stand in stands]
                times = [stack_times(self.request, self.stock, levels) for levels in items_of]
                bounds = Bounds(assembly, stands, found, [entry.cents(rates) for entry in times], pitch)
                same = [table for table in tables if table.pitch == pitch]
                self.grounds.append(Ground(lie, same, assembly, stands, found, times, torch, bounds))
        self.tried += self.grounds[fresh:]
        for ground in self.grounds[fresh:]:
            self._add_poses(ground)
        self.poses.sort()
        self.tally.poses = len(self.poses)

    def _items(self) -> list[Item]:
        priced = self.request.shortage == "price"
        return [item for item in self.stock.items.values() if priced or free_pieces(self.request, self.stock, item.id) > 0]

    def _add_poses(self, ground: Ground) -> None:
        missing = set(range(len(ground.torch.samples))) - set(ground.torch.sample.tolist())
        if missing:
            self.tally.refused["torch.shut_in"] += len(missing)
            return
        if ground.assembly.order is None:
            self.tally.refused["way.in"] += 1
            return
        short = counting(self.request, self.stock, ground.assembly, ground.stands, ground.found)
        if feasible(short, self.limits.seconds_left()) == "infeasible":
            self.tally.refused["stock.counted"] += 1
            self.fallen.append(Fallen(Pose(0, -1, ground, Lattice((0.0, 0.0), ground.bounds.pitch), ground.tables[0]), short))
            return
        bounds = ground.bounds
        self._add_kept(ground)
        xs, ys = phases_of(ground.stands, ground.found, bounds.pitch)
        more_x, more_y = sliding_phases(ground.stands, ground.found, bounds.pitch, SLIDING_GRID)
        self._try(ground, [(x, y) for x in xs or more_x for y in ys or more_y])
        if xs and ys:
            self.narrow.append(ground)
        else:
            self._widen(ground)

    def _widen(self, ground: Ground) -> None:
        self._try(ground, wider_phases(ground.stands, ground.found, ground.assembly, ground.bounds.pitch, SLIDING_GRID))

    def _try(self, ground: Ground, phases: Sequence[tuple[float, float]]) -> None:
        """Add a pose for every lattice position that every part can be located on."""
        bounds = ground.bounds
        xs, ys = (list(dict.fromkeys(phase[axis] for phase in phases)) for axis in range(2))
        fits_x, fits_y = dict(zip(xs, bounds.table(xs, 0), strict=True)), dict(zip(ys, bounds.table(ys, 1), strict=True))
        for x, y in phases:
            lattice = Lattice((x, y), bounds.pitch)
            floor = bounds.floor(fits_x[x], fits_y[y])
            if floor == math.inf:
                self.tally.refused["locate.lattice"] += 1
                self.fallen += [Fallen(Pose(0, -1, ground, lattice, table)) for table in ground.tables]
                continue
            for table in ground.tables:
                self.poses.append(Pose(self._cents(floor), len(self.poses), ground, lattice, table))

    def _add_kept(self, ground: Ground) -> None:
        """Add the pose at which the weldment lies as it lies in the plan to keep, to be asked first."""
        for table in ground.tables if self.kept is not None else ():
            place = self.kept.place(table, ground.lie, ground.assembly.lift) if self.kept is not None else None
            if place is not None:
                self.poses.append(Pose(0, len(self.poses), ground, place[0], table, seat=place[1], kept=True))

    @cached_property
    def kept(self) -> Kept | None:
        """The plan to keep, if there is one."""
        return None if self.request.keep is None else Kept.of(self.request.keep)

    @property
    def moving_cents(self) -> int:
        """What it costs to move every piece of the plan to keep."""
        each = half_up(exact(self.request.rules["weights.moved_piece"]))
        return each * self.kept.count if self.kept is not None else 0

    def _cents(self, floor: float) -> int:
        """Return the floor under a total: pieces' floor and the fixed part, less what rounding may take off."""
        rates = tariff(self.request)
        fixed = float(rates.setup_fixed_s * rates.setup_share * rates.cents_per_s)
        fixed += float(rates.cycle_fixed_s * rates.cycle_share * rates.quantity * rates.cents_per_s)
        return math.ceil(fixed + floor + self.moving_cents - 1.0 - 1e-6)

    def _survey(self, poses: Sequence[Pose]) -> list[Pose]:
        """Place and screen a few poses of one ground together; return those that stay in the running, floors raised."""
        for pose in poses:
            self._sit(pose)
        hung = [pose for pose in poses if pose.hung is not None]
        if hung and len(poses) > 1:
            flat = [pose for pose in poses if pose.hung is None]
            return [*(self._survey(flat) if flat else []), *(one for pose in hung for one in self._survey([pose]))]
        ground, assembly = poses[0].ground, poses[0].assembly
        rules = self.request.rules
        self.tally.surveyed += len(poses)
        every = 10**6 if any(pose.kept for pose in poses) else ALONG
        sites = sites_on(ground.stands, ground.found, [pose.lattice for pose in poses], every)
        fits = np.ones(len(sites), dtype=bool)
        for number, pose in enumerate(poses):
            own = np.flatnonzero(sites.lattice == number)
            if pose.seat is None:
                self.tally.refused["table.size"] += 1
                fits[own] = False
            else:
                usable = usable_holes(pose.table, self.request.without)
                fits[own] = ~off_table(sites, own, pose.seat, usable, rules["clear.table_edge"])
        self.tally.refused["table.hole"] += int((~fits).sum())
        sites = screen(sites.where(fits), assembly, self.tally.refused)
        raised, locating = floors(sites, assembly, ground.bounds.prices)
        running = []
        for number, pose in enumerate(poses):
            if raised[number] == math.inf:
                self.fallen.append(Fallen(pose))
                continue
            if not pose.kept:
                pose.floor = max(pose.floor, self._cents(float(raised[number])))
            pose.sites = sites.where(sites.lattice == number)
            pose.locating = locating[number]
            running.append(pose)
        return running

    def _sit(self, pose: Pose) -> None:
        """Find a pose's seat on its table, once."""
        if pose.seat is None:
            whole = pose.ground.assembly
            pose.seat, there = seated(pose.table, whole, pose.lattice, pose.ground.lie, self.request.without)
            pose.hung = None if there is whole else there

    def _model(self, pose: Pose) -> PoseModel:
        if pose.model is None:
            assert pose.sites is not None
            self.tally.built += 1
            ground = pose.ground
            sites = pose.sites if pose.kept else thinned(pose.sites, len(ground.assembly.parts))
            times = {id(stand): entry for stand, entry in zip(ground.stands, ground.times, strict=True)}
            problem = build(self.request, self.stock, pose.assembly, sites, ground.torch, times, pose.table)
            floors_by_part = () if pose.locating is None else tuple(pose.locating.tolist())
            pose.model = PoseModel(problem, floors_by_part, self._standing(pose, problem), self.motions)
            pose.sites = None
        return pose.model

    def _standing(self, pose: Pose, problem: Problem) -> Standing | None:
        """Return what moving pieces of the plan to keep costs on a pose; elsewhere than where they stand, all move."""
        if self.kept is None:
            return None
        each = half_up(exact(self.request.rules["weights.moved_piece"]))
        stays = (0,) * len(problem.candidates)
        if pose.kept and pose.seat is not None:
            stays = tuple(self.kept.staying(candidate, pose.seat) for candidate in problem.candidates)
        return Standing(self.moving_cents, each, stays)

    def _next(self, waiting: list[Pose], most: int | None) -> Pose | None:
        """Take the pose with the lowest floor, surveying poses as they come to the top; None if none is at most `most`.

        Before there is any fixture, the best pose of each batch is taken at once: a first answer soon, and a price to beat.
        """
        while waiting and self.limits.seconds_left() > 0 and not self.limits.should_stop():
            if most is not None and waiting[0].floor > most:
                return None
            if waiting[0].model is not None or waiting[0].sites is not None:
                return heapq.heappop(waiting)
            first = heapq.heappop(waiting)
            batch, rest = [first], list[Pose]()
            size = BATCH if most is not None else FIRST_BATCH
            while waiting and len(batch) < size:
                other = heapq.heappop(waiting)
                fresh = other.sites is None and other.model is None
                (batch if fresh and other.ground is first.ground else rest).append(other)
            running = self._survey(batch)
            self.poses = [pose for pose in self.poses if pose not in batch or pose in running]
            for pose in (*running, *rest):
                heapq.heappush(waiting, pose)
            if most is None and running:
                best = min(running)
                waiting.remove(best)
                heapq.heapify(waiting)
                return best
        return None

    def cheapest(
        self, unlike: Sequence[Taken], ceiling: int | None = None, *, first: bool = False
    ) -> tuple[Found | None, int | None, bool]:
        """Return the cheapest choice over all poses that differs from those taken, the proven bound, and whether proven.

        With `first` the search ends with the first choice it finds.
        """
        best: Found | None = None
        most = ceiling
        open_bounds: list[int] = []
        waiting = list(self.poses)
        heapq.heapify(waiting)
        proven = True
        while (pose := self._next(waiting, most)) is not None:
            if self.limits.seconds_left() <= 0 or self.limits.should_stop() or self._out_of_work():
                proven = False
                open_bounds.append(pose.floor)
                break
            outcome = self._ask(self._model(pose), pose, unlike, most)
            if outcome.verdict in ("unknown", "feasible"):
                proven = False
                open_bounds.append(max(pose.floor, outcome.bound or 0))
            if outcome.choice is not None:
                self.tally.found += 1
                assert pose.seat is not None
                best = Found(pose, self._model(pose), pose.seat, outcome.choice)
                if self.tally.found == 1 and self.announce is not None:
                    self.announce(best)
                most = outcome.choice.cents - 1
            self._raise(pose, outcome, most)
            if first and best is not None:
                break
        if waiting and (most is None or waiting[0].floor <= most):
            proven = False
            open_bounds.append(waiting[0].floor)
        if best is not None:
            open_bounds.append(best.choice.cents)
            best = self._truest(best, unlike)
        return best, min(open_bounds, default=None), proven

    def _raise(self, pose: Pose, outcome: Outcome, most: int | None) -> None:
        """Raise a pose's floor by what a question proved; later questions only ask for more, so it stays true for them."""
        if outcome.bound is not None:
            pose.floor = max(pose.floor, outcome.bound)
        if outcome.verdict == "infeasible":
            if most is None:
                self.poses = [other for other in self.poses if other is not pose]
                self.fallen.append(Fallen(pose, self._model(pose).program))
                pose.model = None
            else:
                pose.floor = max(pose.floor, most + 1)

    def _truest(self, found: Found, unlike: Sequence[Taken]) -> Found:
        """Return the truest choice at the price found."""
        alike = self._alike(found.pose, unlike)
        left = self.limits.seconds_left
        return replace(found, choice=found.model.truer(found.choice, unlike=alike, seed=self.request.seed, seconds_left=left))

    def _alike(self, pose: Pose, unlike: Sequence[Taken]) -> list[Signature]:
        """Return the signatures of alternatives taken in a pose's own lie: another lie is difference enough."""
        return [entry for down, table, entry in unlike if down == pose.ground.lie.down and table == pose.table.id]

    def _ask(self, model: PoseModel, pose: Pose, unlike: Sequence[Taken], most: int | None) -> Outcome:
        alike = self._alike(pose, unlike)
        outcome = model.cheapest(
            seed=self.request.seed,
            seconds_left=self.limits.seconds_left,
            work=None if self.limits.work is None else max(0.0, self.limits.work - self.tally.work),
            ceiling=most,
            unlike=alike,
            should_stop=self.limits.should_stop,
        )
        self.tally.solves += outcome.solves
        self.tally.rounds += outcome.rounds
        self.tally.work += outcome.work
        self.tally.refusals += outcome.refusals
        return outcome

    def _out_of_work(self) -> bool:
        return self.limits.work is not None and self.tally.work >= self.limits.work
