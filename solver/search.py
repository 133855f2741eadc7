"""Poses best-first: each is a lie and a position of the lattice under it, taken by the floor under its price."""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
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
from solver.candidates.placing import Lattice
from solver.candidates.problem import Problem, build
from solver.candidates.sites import ALONG, Sites, thinned
from solver.candidates.survey import survey
from solver.cost import exact, half_up, tariff
from solver.geometry.hulls import Flags
from solver.geometry.joints import Sample
from solver.grounds import grounds_of, items_of, under_rules
from solver.model.counting import counting
from solver.model.cpsat import feasible
from solver.model.families.differ import Signature
from solver.model.objective import Standing
from solver.model.pose import Outcome, PoseModel
from solver.poses import Fallen, Found, Ground, Limits, Pose, Taken, Tally
from solver.request import Request

FIRST_BATCH = 6
BATCH = 24
"""Poses placed and screened together, at most."""
BATCH_MATCHES = 50_000
"""Poses times pads and faces that can meet are at most so many in a batch, so that a look at the clock is never far off."""
AT_ONCE = 200
"""Lattice positions whose floors are found together, between two looks at the clock."""
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
    announce: Callable[[Found, int], None] | None = None
    unseen: bool = False
    """Whether time ended before all lies and lattice positions were found: what holds of those seen proves nothing."""
    worn: bool = False
    """Whether a position was given up with time left: by the work limit, or after too many rounds."""

    def open(self) -> None:
        """Find all poses with the weldment on the table, and the floor under each."""
        self._open(lies_of(self.request, items_of(self.request, self.stock), (0.0,)))

    def raise_up(self) -> bool:
        """Find the poses with the weldment raised on rests or V-blocks instead; return whether there are any.

        It is raised high enough for the torch, if it was the table that left no room for it.
        """
        items = items_of(self.request, self.stock)
        lies = {
            replace(ground.lie, lift=lift): None
            for ground in self.grounds
            if ground.assembly.order is not None and ground.torch.lacking < math.inf
            for lift in lifts_of(items, ground.assembly, ground.bounds.pitch, ground.torch.lacking)
        }
        self.grounds, self.poses = [], []
        self._open(list(lies))
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

    def open_as(self, other: Search) -> None:
        """Find all poses on the lies on the table that another search has found, for its request with other rules."""
        on_table = [ground for ground in other.tried if not ground.lie.lift]
        self._enter([under_rules(self.request, self.stock, ground) for ground in on_table])

    def _open(self, lies: Sequence[Lie]) -> None:
        self._enter(list(grounds_of(self.request, self.stock, self.samples, lies, self._out_of_time)))

    def _enter(self, grounds: Sequence[Ground]) -> None:
        self.grounds += grounds
        self.tried += grounds
        for ground in grounds:
            if self._out_of_time():
                break
            self._add_poses(ground)
        self.poses.sort()
        self.tally.poses = len(self.poses)

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
        where = [np.unique(np.array([phase[axis] for phase in phases]), return_inverse=True) for axis in range(2)]
        fits = [bounds.table(values.tolist(), axis) for axis, (values, _) in enumerate(where)]
        for first in range(0, len(phases), AT_ONCE):
            if first and self._out_of_time():
                return
            some = slice(first, first + AT_ONCE)
            floors = bounds.floors(fits[0][where[0][1][some]], fits[1][where[1][1][some]])
            self._add(ground, phases[some], floors.tolist())

    def _add(self, ground: Ground, phases: Sequence[tuple[float, float]], floors: Sequence[float]) -> None:
        """Add the poses of some lattice positions whose floors are finite."""
        for phase, floor in zip(phases, floors, strict=True):
            lattice = Lattice(phase, ground.bounds.pitch)
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
        return math.ceil(self._fixed_cents + floor - 1.0 - 1e-6)

    @cached_property
    def _fixed_cents(self) -> float:
        """What every fixture of the request costs whatever stands, cents."""
        rates = tariff(self.request)
        setup = rates.setup_fixed_s * rates.setup_share
        cycle = rates.cycle_fixed_s * rates.cycle_share * rates.quantity
        return float(setup * rates.cents_per_s) + float(cycle * rates.cents_per_s) + self.moving_cents

    def _survey(self, poses: Sequence[Pose]) -> list[Pose]:
        """Place and screen a few poses of one ground together; return those that stay in the running, floors raised.

        All lie flat on the table, or it is one alone.
        """
        for pose in poses:
            self._sit(pose)
        ground, assembly = poses[0].ground, poses[0].assembly
        self.tally.surveyed += len(poses)
        self.tally.refused["table.size"] += sum(pose.seat is None for pose in poses)
        every = 10**6 if any(pose.kept for pose in poses) else ALONG
        lattices = [pose.lattice for pose in poses]

        def allowed(sites: Sites) -> Flags:
            fits = np.zeros(len(sites), dtype=bool)
            for number, pose in enumerate(poses):
                if pose.seat is not None:
                    own = np.flatnonzero(sites.lattice == number)
                    usable = usable_holes(pose.table, self.request.without)
                    fits[own] = ~off_table(sites, own, pose.seat, usable, self.request.rules["clear.table_edge"])
            return fits

        found = survey(ground.reach, lattices, every, assembly, ground.bounds.prices, allowed, self.tally.refused)
        running = []
        for number, pose in enumerate(poses):
            if found.floor[number] == math.inf:
                self.fallen.append(Fallen(pose))
                continue
            if not pose.kept:
                pose.floor = max(pose.floor, self._cents(float(found.floor[number])))
            pose.sites = found.sites.where(found.sites.lattice == number)
            pose.locating = found.locating[number]
            running.append(pose)
        return running

    def _sit(self, pose: Pose) -> None:
        """Find a pose's seat on its table, once."""
        if pose.seat is None:
            whole = pose.ground.assembly
            pose.seat, there = seated(pose.table, whole, pose.lattice, pose.ground.lie, self.request.without)
            pose.hung = None if there is whole else there

    def _hangs(self, pose: Pose) -> bool:
        """Return whether the weldment hangs over the table's edge on a pose."""
        self._sit(pose)
        return pose.hung is not None

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

        Before there is any fixture, surveyed poses go first, the best of them ahead: a first answer soon, and a price to beat.
        """
        while waiting and not self.limits.over:
            if most is not None and waiting[0].floor > most:
                return None
            ready = waiting[:1] if most is not None else waiting
            known = [pose for pose in ready if pose.model is not None or pose.sites is not None]
            if known:
                best = min(known)
                waiting.remove(best)
                heapq.heapify(waiting)
                return best
            first = heapq.heappop(waiting)
            batch, rest = [first], list[Pose]()
            size = BATCH if most is not None else FIRST_BATCH
            size = 1 if self._hangs(first) else min(size, 1 + BATCH_MATCHES // max(1, len(first.ground.found)))
            while waiting and len(batch) < size:
                other = heapq.heappop(waiting)
                fresh = other.sites is None and other.model is None and other.ground is first.ground
                (batch if fresh and not self._hangs(other) else rest).append(other)
            running = self._survey(batch)
            self.poses = [pose for pose in self.poses if pose not in batch or pose in running]
            for pose in (*running, *rest):
                heapq.heappush(waiting, pose)
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
        proven = not self.unseen
        while (pose := self._next(waiting, most)) is not None:
            model = None if self.limits.over or self.out_of_work else self._model(pose)
            if model is None or self.limits.over:
                proven = False
                open_bounds.append(pose.floor)
                break
            outcome = self._ask(model, pose, unlike, most)
            if outcome.verdict in ("unknown", "feasible"):
                proven = False
                self.worn |= not self.limits.over
                open_bounds.append(max(pose.floor, outcome.bound or 0))
            if outcome.choice is not None:
                self.tally.found += 1
                assert pose.seat is not None
                best = Found(pose, model, pose.seat, outcome.choice)
                if self.tally.found == 1 and self.announce is not None:
                    unseen = [self._cents(0.0)] if self.unseen else []
                    self.announce(best, min(best.choice.cents, *open_bounds, *unseen, *(other.floor for other in waiting)))
                most = outcome.choice.cents - 1
            self._raise(pose, outcome, most)
            if first and best is not None:
                break
        if waiting and (most is None or waiting[0].floor <= most):
            proven = False
            open_bounds.append(waiting[0].floor)
        if self.unseen:
            open_bounds.append(self._cents(0.0))
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

    def _out_of_time(self) -> bool:
        """Return whether time is up, and remember that not everything was seen."""
        self.unseen |= self.limits.over
        return self.unseen

    @property
    def out_of_work(self) -> bool:
        """Whether the request's work limit is reached."""
        return self.limits.work is not None and self.tally.work >= self.limits.work
