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
from solver.cost import exact, half_up, tariff
from solver.geometry.hulls import Flags
from solver.geometry.joints import Sample
from solver.hardware.candidates import Lattice
from solver.hardware.lattice_positions import phases_of, sliding_phases, wider_phases
from solver.hardware.raising import lifts_of
from solver.hardware.sites import ALONG, Sites, thinned
from solver.laying.lies import Lie, lies_of
from solver.model.bounds.counting import counting
from solver.model.bounds.difference import Signature
from solver.model.cpsat import feasible
from solver.model.objective import MovingCost
from solver.model.position_model import Outcome, PositionModel
from solver.position.kept_plan import KeptPlan
from solver.position.overhang import seated
from solver.position.problem import Problem
from solver.position.problem_of import problem_of
from solver.position.seats import off_table, usable_holes
from solver.position.survey import survey
from solver.request import Request
from solver.search.lattice_position import Fallen, Found, LatticePosition, Taken, Tally
from solver.search.limits import Limits
from solver.search.orientation import Orientation, items_of, orientations_of, under_rules

FIRST_BATCH = 6
BATCH = 24
"""Poses placed and screened together, at most."""
BATCH_MATCHES = 50_000
"""Poses times pads and faces that can meet are at most so many in a batch, so that a look at the clock is never far off."""
AT_ONCE = 200
"""Lattice positions whose floors are found together, between two looks at the clock."""
ROUND_OFF = 1e-12
"""Of a sum of prices so large a share may come from floating point."""
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
    positions: list[LatticePosition] = field(default_factory=list)
    orientations: list[Orientation] = field(default_factory=list)
    fallen: list[Fallen] = field(default_factory=list)
    tried: list[Orientation] = field(default_factory=list)
    narrow: list[Orientation] = field(default_factory=list)
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
            replace(orientation.lie, lift=lift): None
            for orientation in self.orientations
            if orientation.laid.order is not None and orientation.torch.lacking < math.inf
            for lift in lifts_of(items, orientation.laid, orientation.bounds.pitch, orientation.torch.lacking)
        }
        self.orientations, self.positions = [], []
        self._open(list(lies))
        return bool(self.positions)

    def widen(self) -> bool:
        """Find more lattice positions for the present lies, where the plain ones held nothing; return whether there are any."""
        self.positions = []
        for orientation in self.narrow:
            self._widen(orientation)
        self.narrow = []
        self.positions.sort()
        self.tally.positions += len(self.positions)
        return bool(self.positions)

    def open_as(self, other: Search) -> None:
        """Find all poses on the lies on the table that another search has found, for its request with other rules."""
        on_table = [orientation for orientation in other.tried if not orientation.lie.lift]
        self._enter([under_rules(self.request, self.stock, orientation) for orientation in on_table])

    def _open(self, lies: Sequence[Lie]) -> None:
        self._enter(list(orientations_of(self.request, self.stock, self.samples, lies, self._out_of_time)))

    def _enter(self, orientations: Sequence[Orientation]) -> None:
        self.orientations += orientations
        self.tried += orientations
        for orientation in orientations:
            if self._out_of_time():
                break
            self._add_poses(orientation)
        self.positions.sort()
        self.tally.positions = len(self.positions)

    def _add_poses(self, orientation: Orientation) -> None:
        missing = set(range(len(orientation.torch.samples))) - set(orientation.torch.sample.tolist())
        if missing:
            self.tally.refused["torch.shut_in"] += len(missing)
            return
        if orientation.laid.order is None:
            self.tally.refused["way.in"] += 1
            return
        short = counting(self.request, self.stock, orientation.laid, orientation.stacks, orientation.found)
        if feasible(short, self.limits.seconds_left()) == "infeasible":
            self.tally.refused["stock.counted"] += 1
            self.fallen.append(
                Fallen(
                    LatticePosition(0, -1, orientation, Lattice((0.0, 0.0), orientation.bounds.pitch), orientation.tables[0]),
                    short,
                )
            )
            return
        bounds = orientation.bounds
        self._add_kept(orientation)
        xs, ys = phases_of(orientation.stacks, orientation.found, bounds.pitch)
        more_x, more_y = sliding_phases(orientation.stacks, orientation.found, bounds.pitch, SLIDING_GRID)
        self._try(orientation, [(x, y) for x in xs or more_x for y in ys or more_y])
        if xs and ys:
            self.narrow.append(orientation)
        else:
            self._widen(orientation)

    def _widen(self, orientation: Orientation) -> None:
        self._try(
            orientation,
            wider_phases(orientation.stacks, orientation.found, orientation.laid, orientation.bounds.pitch, SLIDING_GRID),
        )

    def _try(self, orientation: Orientation, phases: Sequence[tuple[float, float]]) -> None:
        """Add a pose for every lattice position that every part can be located on."""
        bounds = orientation.bounds
        where = [np.unique(np.array([phase[axis] for phase in phases]), return_inverse=True) for axis in range(2)]
        fits = [bounds.table(values.tolist(), axis) for axis, (values, _) in enumerate(where)]
        for first in range(0, len(phases), AT_ONCE):
            if first and self._out_of_time():
                return
            some = slice(first, first + AT_ONCE)
            floors = bounds.floors(fits[0][where[0][1][some]], fits[1][where[1][1][some]])
            self._add(orientation, phases[some], floors.tolist())

    def _add(self, orientation: Orientation, phases: Sequence[tuple[float, float]], floors: Sequence[float]) -> None:
        """Add the poses of some lattice positions whose floors are finite."""
        for phase, floor in zip(phases, floors, strict=True):
            lattice = Lattice(phase, orientation.bounds.pitch)
            if floor == math.inf:
                self.tally.refused["locate.lattice"] += 1
                self.fallen += [Fallen(LatticePosition(0, -1, orientation, lattice, table)) for table in orientation.tables]
                continue
            for table in orientation.tables:
                self.positions.append(LatticePosition(self._cents(floor), len(self.positions), orientation, lattice, table))

    def _add_kept(self, orientation: Orientation) -> None:
        """Add the pose at which the weldment lies as it lies in the plan to keep, to be asked first."""
        for table in orientation.tables if self.kept is not None else ():
            place = self.kept.place(table, orientation.lie, orientation.laid.lift) if self.kept is not None else None
            if place is not None:
                self.positions.append(
                    LatticePosition(0, len(self.positions), orientation, place[0], table, seat=place[1], kept=True)
                )

    @cached_property
    def kept(self) -> KeptPlan | None:
        """The plan to keep, if there is one."""
        return None if self.request.keep is None else KeptPlan.of(self.request.keep)

    @property
    def moving_cents(self) -> int:
        """What it costs to move every piece of the plan to keep."""
        each = half_up(exact(self.request.rules["weights.moved_piece"]))
        return each * self.kept.count if self.kept is not None else 0

    def _cents(self, floor: float) -> int:
        """Return the floor under a total: pieces' floor and the fixed part, less what rounding may take off.

        Setup and cycle lose half a cent each at most, and floating point its share of a long run's millions.
        """
        total = self._fixed_cents + floor - 1.0
        return math.ceil(total - 1e-6 - ROUND_OFF * abs(total))

    @cached_property
    def _fixed_cents(self) -> float:
        """What every fixture of the request costs whatever stands, cents."""
        rates = tariff(self.request)
        setup = rates.setup_fixed_s * rates.setup_share
        cycle = rates.cycle_fixed_s * rates.cycle_share * rates.quantity
        return float(setup * rates.cents_per_s) + float(cycle * rates.cents_per_s) + self.moving_cents

    def _survey(self, positions: Sequence[LatticePosition]) -> list[LatticePosition]:
        """Place and screen a few poses of one ground together; return those that stay in the running, floors raised.

        All lie flat on the table, or it is one alone.
        """
        for position in positions:
            self._sit(position)
        orientation, laid = positions[0].orientation, positions[0].laid
        self.tally.surveyed += len(positions)
        self.tally.refused["table.size"] += sum(position.seat is None for position in positions)
        every = 10**6 if any(position.kept for position in positions) else ALONG
        lattices = [position.lattice for position in positions]

        def allowed(sites: Sites) -> Flags:
            fits = np.zeros(len(sites), dtype=bool)
            for number, position in enumerate(positions):
                if position.seat is not None:
                    own = np.flatnonzero(sites.lattice == number)
                    usable = usable_holes(position.table, self.request.without)
                    fits[own] = ~off_table(sites, own, position.seat, usable, self.request.rules["clear.table_edge"])
            return fits

        found = survey(orientation.reach, lattices, every, laid, orientation.bounds.prices, allowed, self.tally.refused)
        running = []
        for number, position in enumerate(positions):
            if found.floor[number] == math.inf:
                self.fallen.append(Fallen(position))
                continue
            if not position.kept:
                position.floor = max(position.floor, self._cents(float(found.floor[number])))
            position.sites = found.sites.where(found.sites.lattice == number)
            position.locating = found.locating[number]
            running.append(position)
        return running

    def _sit(self, position: LatticePosition) -> None:
        """Find a pose's seat on its table, once."""
        if position.seat is None:
            whole = position.orientation.laid
            position.seat, there = seated(position.table, whole, position.lattice, position.orientation.lie, self.request.without)
            position.hung = None if there is whole else there

    def _hangs(self, position: LatticePosition) -> bool:
        """Return whether the weldment hangs over the table's edge on a pose."""
        self._sit(position)
        return position.hung is not None

    def _model(self, position: LatticePosition) -> PositionModel:
        if position.model is None:
            assert position.sites is not None
            self.tally.built += 1
            orientation = position.orientation
            sites = position.sites if position.kept else thinned(position.sites, len(orientation.laid.parts))
            problem = problem_of(
                self.request, self.stock, position.laid, sites, orientation.torch, orientation.times, position.table
            )
            floors_by_part = () if position.locating is None else tuple(position.locating.tolist())
            position.model = PositionModel(problem, floors_by_part, self._standing(position, problem), self.motions)
            position.sites = None
        return position.model

    def _standing(self, position: LatticePosition, problem: Problem) -> MovingCost | None:
        """Return what moving pieces of the plan to keep costs on a pose; elsewhere than where they stand, all move."""
        if self.kept is None:
            return None
        each = half_up(exact(self.request.rules["weights.moved_piece"]))
        stays = (0,) * len(problem.candidates)
        if position.kept and position.seat is not None:
            stays = tuple(self.kept.staying(candidate, position.seat) for candidate in problem.candidates)
        return MovingCost(self.moving_cents, each, stays)

    def _next(self, waiting: list[LatticePosition], most: int | None) -> LatticePosition | None:
        """Take the pose with the lowest floor, surveying poses as they come to the top; None if none is at most `most`.

        Before there is any fixture, surveyed poses go first, the best of them ahead: a first answer soon, and a price to beat.
        """
        while waiting and not self.limits.over:
            if most is not None and waiting[0].floor > most:
                return None
            ready = waiting[:1] if most is not None else waiting
            known = [position for position in ready if position.model is not None or position.sites is not None]
            if known:
                best = min(known)
                waiting.remove(best)
                heapq.heapify(waiting)
                return best
            first = heapq.heappop(waiting)
            batch, rest = [first], list[LatticePosition]()
            size = BATCH if most is not None else FIRST_BATCH
            size = 1 if self._hangs(first) else min(size, 1 + BATCH_MATCHES // max(1, len(first.orientation.found)))
            while waiting and len(batch) < size:
                other = heapq.heappop(waiting)
                fresh = other.sites is None and other.model is None and other.orientation is first.orientation
                (batch if fresh and not self._hangs(other) else rest).append(other)
            running = self._survey(batch)
            self.positions = [position for position in self.positions if position not in batch or position in running]
            for position in (*running, *rest):
                heapq.heappush(waiting, position)
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
        waiting = list(self.positions)
        heapq.heapify(waiting)
        proven = not self.unseen
        while (position := self._next(waiting, most)) is not None:
            model = None if self.limits.over or self.out_of_work else self._model(position)
            if model is None or self.limits.over:
                proven = False
                open_bounds.append(position.floor)
                break
            outcome = self._ask(model, position, unlike, most)
            if outcome.verdict in ("unknown", "feasible"):
                proven = False
                self.worn |= not self.limits.over
                open_bounds.append(max(position.floor, outcome.bound or 0))
            if outcome.choice is not None:
                self.tally.found += 1
                assert position.seat is not None
                best = Found(position, model, position.seat, outcome.choice)
                if self.tally.found == 1 and self.announce is not None:
                    unseen = [self._cents(0.0)] if self.unseen else []
                    self.announce(best, min(best.choice.cents, *open_bounds, *unseen, *(other.floor for other in waiting)))
                most = outcome.choice.cents - 1
            self._raise(position, outcome, most)
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

    def _raise(self, position: LatticePosition, outcome: Outcome, most: int | None) -> None:
        """Raise a pose's floor by what a question proved; later questions only ask for more, so it stays true for them."""
        if outcome.bound is not None:
            position.floor = max(position.floor, outcome.bound)
        if outcome.verdict == "infeasible":
            if most is None:
                self.positions = [other for other in self.positions if other is not position]
                self.fallen.append(Fallen(position, self._model(position).program))
                position.model = None
            else:
                position.floor = max(position.floor, most + 1)

    def _truest(self, found: Found, unlike: Sequence[Taken]) -> Found:
        """Return the truest choice at the price found."""
        alike = self._alike(found.position, unlike)
        left = self.limits.seconds_left
        return replace(found, choice=found.model.truer(found.choice, unlike=alike, seed=self.request.seed, seconds_left=left))

    def _alike(self, position: LatticePosition, unlike: Sequence[Taken]) -> list[Signature]:
        """Return the signatures of alternatives taken in a pose's own lie: another lie is difference enough."""
        return [entry for down, table, entry in unlike if down == position.orientation.lie.down and table == position.table.id]

    def _ask(self, model: PositionModel, position: LatticePosition, unlike: Sequence[Taken], most: int | None) -> Outcome:
        alike = self._alike(position, unlike)
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
