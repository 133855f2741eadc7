"""Every seat of a weldment on a table that may matter: those at which no other seat leaves all the same sites usable, and more.

A seat on which every site finds its holes is as good as any, so the others need not be looked at. Where blocked holes or the
table's edge take sites away, each seat is judged by the sites it leaves; one that leaves fewer than another, and bears the
weldment on no more of the slab, is never better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from inventory.shapes import Array, turned
from inventory.tables import Table
from solver.deadline import look
from solver.geometry.hulls import Flags, Index
from solver.hardware.candidates import Lattice
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lies import Lie
from solver.ledgers.kept import kept
from solver.position.overhang import lies_on, may_overhang
from solver.position.seats import Seat, lost_holes, off_table, quarter_turned, seat_on, slab, usable_holes
from solver.request import Without

NEARLY = 1e-6
MOST_SEATS = 32
"""Seats of one lattice position that are looked at, those that leave most sites first."""


@dataclass(frozen=True)
class Seating:
    """A seat, the weldment as it lies there (cut off where it hangs over the edge), and which sites find usable holes."""

    seat: Seat
    laid: LaidWeldment
    usable: Flags


@dataclass(frozen=True)
class Seatings:
    """The seats to look at, the best first, and how many more there are that no other one is better than.

    `wide`: of weldments of several sizes some hangs over the edge, so that other seats may be as good for them all.
    """

    seatings: tuple[Seating, ...]
    left: int = 0
    wide: bool = False


def seatings_of(
    table: Table, laid: LaidWeldment, lattice: Lattice, lie: Lie, without: Without, sites: Sites, edge: float
) -> Seatings:
    """Return the seats of a lattice position that may matter to the sites of its lattice.

    `edge` is how far a body may stick out over the table's edge, mm.
    """
    usable = usable_holes(table, without)
    best = seat_on(table, laid, lattice, lie, without)
    if best is not None:
        there = ~off_table(sites, np.arange(len(sites)), best, usable, edge)
        if there.all():
            return Seatings((Seating(best, laid, there),))
    prints, which = footprints(sites)
    turns = [(turn, lie.quarters_to(turn)) for turn in lie.same_turns]
    content = kept(
        "seats",
        (table.first, table.pitch, table.size, usable, laid.bounds, edge),
        (turns, lattice.phase, prints.pegs, prints.bounds),
        lambda: _worth_asking(table, laid, lattice, turns, prints, usable, edge).written(),
    )
    worth = _WorthAsking.read(content, len(prints.pegs))
    lying = LyingOn(table, laid, lattice)
    looked_at: list[Seating] = []
    left = 0
    for k, (number, across, along) in enumerate(worth.place.tolist()):
        seat = Seat(table, turns[number][0], (across, along), turns[number][1])
        there_laid = lying.at(seat, tuple(worth.bears[k].tolist()))
        if there_laid is None:
            continue
        if len(looked_at) < MOST_SEATS:
            looked_at.append(Seating(seat, there_laid, worth.usable[k][which]))
        else:
            left += 1
    return Seatings(tuple(looked_at), left)


@dataclass
class LyingOn:
    """How a weldment lies on a table at the seats of a lattice position."""

    table: Table
    laid: LaidWeldment
    lattice: Lattice
    known: dict[tuple[float, ...], LaidWeldment | None] = field(default_factory=dict)

    def at(self, seat: Seat, bears: tuple[float, ...]) -> LaidWeldment | None:
        """Return the weldment as it lies at a seat, of which the slab bears so much; None if it would tip over the edge."""
        if bears not in self.known:
            self.known[bears] = lying_at(self.laid, self.lattice, seat)
        return self.known[bears]


def lying_at(laid: LaidWeldment, lattice: Lattice, seat: Seat) -> LaidWeldment | None:
    """Return the weldment as it lies at a seat, None if it would tip over the edge."""
    low, high = slab(seat, lattice)
    whole = (laid.bounds[0, :2] >= low - NEARLY).all() and (laid.bounds[1, :2] <= high + NEARLY).all()
    return laid if whole else lies_on(laid, low, high) if may_overhang(laid) else None


def seating_at(
    table: Table, laid: LaidWeldment, lattice: Lattice, seat: Seat, without: Without, sites: Sites, edge: float
) -> Seating | None:
    """Return one seat of a lattice position, None if the weldment does not lie on the table there."""
    there = lying_at(laid, lattice, seat)
    if there is None:
        return None
    return Seating(seat, there, ~off_table(sites, np.arange(len(sites)), seat, usable_holes(table, without), edge))


@dataclass(frozen=True)
class _WorthAsking:
    """The seats that may matter, the best first: turn (its number) and shifts (n, 3), what the slab bears there (n, 4) and which
    footprints find their holes (n, footprints)."""

    place: Index
    bears: Array
    usable: Flags

    def written(self) -> bytes:
        """Return all of it as bytes."""
        return self.place.astype(np.int64).tobytes() + self.bears.tobytes() + np.packbits(self.usable, axis=1).tobytes()

    @staticmethod
    def read(content: bytes, footprints: int) -> _WorthAsking:
        """Return it as it was written, for so many footprints."""
        wide = -(-footprints // 8)
        many = len(content) // (7 * 8 + wide)
        place = np.frombuffer(content, dtype=np.int64, count=3 * many).reshape(-1, 3)
        bears = np.frombuffer(content, dtype=np.float64, count=4 * many, offset=place.nbytes).reshape(-1, 4)
        flags = np.frombuffer(content, dtype=np.uint8, offset=place.nbytes + bears.nbytes).reshape(many, wide)
        return _WorthAsking(place, bears, np.unpackbits(flags, axis=1, count=footprints).astype(bool))


def _worth_asking(
    table: Table, laid: LaidWeldment, lattice: Lattice, turns: Sequence[tuple[float, int]], prints: Footprints, usable: Array,
    edge: float,
) -> _WorthAsking:  # fmt: skip
    """Return the seats at all turns (with the quarter turns to each) that no other one is better than."""
    found = [
        (number, shifts)
        for number, (_, quarter) in enumerate(turns)
        if (shifts := shifts_of(table, laid, lattice, quarter, prints, usable, edge)) is not None
    ]
    if not found:
        return _WorthAsking(np.zeros((0, 3), np.intp), np.zeros((0, 4)), np.zeros((0, len(prints.pegs)), dtype=bool))
    place = np.concatenate([np.insert(shifts.steps, 0, number, axis=1) for number, shifts in found])
    bears = np.concatenate([shifts.bears for _, shifts in found])
    flags = np.concatenate([shifts.usable for _, shifts in found])
    liked = np.concatenate([shifts.liking for _, shifts in found])
    order = np.lexsort((np.arange(len(place)), liked[:, 1], liked[:, 0], -flags.sum(axis=1)))
    best_of = order[undominated(flags[order], bears[order])]
    return _WorthAsking(place[best_of], bears[best_of], flags[best_of])


@dataclass(frozen=True)
class Footprints:
    """What sites take of a table, each once: pegs' holes (n, most, 2) and bodies' level bounds (n, 2, 2), mm from the lattice."""

    pegs: Array
    bounds: Array


def footprints(sites: Sites) -> tuple[Footprints, Index]:
    """Return the different footprints of some sites, and which of them each site has."""
    look()
    pegs, bases = sites.footprints
    own_pegs = sites.hole[:, None, :] + pegs[sites.stack]
    bounds = bases[sites.stack] + sites.origin[:, None, :2]
    keys = np.round(np.concatenate([own_pegs.reshape(len(sites), -1), bounds.reshape(len(sites), -1)], axis=1), 6)
    _, first, which = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    return Footprints(own_pegs[first], bounds[first]), which.reshape(-1)


@dataclass(frozen=True)
class Shifts:
    """Seats of one quarter turn, one row each: shifts (whole pitches), footprints that find their holes, what of the weldment's
    bounds the slab bears (low and high, level), and how well it is liked: lost holes, distance from the middle."""

    steps: Index
    usable: Flags
    bears: Array
    liking: Array


def shifts_of(
    table: Table, laid: LaidWeldment, lattice: Lattice, quarter: int, prints: Footprints, usable: Array, edge: float,
    *, every: bool = False,
) -> Shifts | None:  # fmt: skip
    """Return the seats of one turn with the weldment's middle over the table.

    Without those that are no better along an axis, unless `every` one is wanted.
    """
    look()
    rotation = turned(90.0 * quarter)[:2, :2]
    bounds = quarter_turned(laid.bounds[:, :2], quarter)
    phase, first, pitch = rotation @ np.array(lattice.phase), np.array(table.first), table.pitch
    size, holes = np.array(table.size), np.array([table.columns, table.rows])
    pegs = np.rint(prints.pegs @ rotation.T).astype(int)
    bodies = np.sort(prints.bounds @ rotation.T, axis=1)
    axes: list[tuple[Array, Flags, Array]] = []
    for axis in range(2):
        origin = first[axis] - phase[axis]
        middle = bounds[:, axis].mean()
        shift = np.arange(np.ceil(-(origin + middle) / pitch), np.floor((size[axis] - origin - middle) / pitch) + 1)
        if not len(shift):
            return None
        moved = origin + pitch * shift
        at = pegs[None, :, :, axis] + shift[:, None, None]
        fits = ((at >= 0) & (at < holes[axis])).all(axis=2)
        fits &= (bodies[None, :, 0, axis] + moved[:, None] >= -edge) & (
            bodies[None, :, 1, axis] + moved[:, None] <= size[axis] + edge
        )
        low = np.maximum(-moved, bounds[0, axis])
        high = np.minimum(size[axis] - moved, bounds[1, axis])
        axes.append((shift, fits, np.round(np.stack([low, high], axis=1), 6)))
    if usable.all() and not every:
        axes = [_better(axis, bounds[:, k]) for k, axis in enumerate(axes)]
    (across, fits_x, bears_x), (along, fits_y, bears_y) = axes
    i, j = (index.ravel() for index in np.indices((len(across), len(along))))
    shifts = np.stack([across[i], along[j]], axis=1)
    there = fits_x[i] & fits_y[j]
    if not usable.all():
        for peg in range(pegs.shape[1]):
            at = np.clip(pegs[None, :, peg] + shifts[:, None, :].astype(int), 0, holes - 1)
            there &= usable[at[..., 0], at[..., 1]]
    moves = first + pitch * shifts - phase
    away = ((moves + bounds.mean(axis=0) - size / 2) ** 2).sum(axis=1)
    lost = lost_holes(table, usable, bounds + moves[:, None, :])
    bears = np.stack([bears_x[i], bears_y[j]], axis=2) @ rotation
    return Shifts(
        shifts.astype(np.intp), there, np.sort(bears, axis=1).reshape(-1, 4), np.stack([lost, np.round(away, 6)], axis=1)
    )


def _better(axis: tuple[Array, Flags, Array], bounds: Array) -> tuple[Array, Flags, Array]:
    """Return the shifts along one axis that no other one is better than, the most central of those that are alike."""
    shift, fits, bears = axis
    central = np.abs(bears.mean(axis=1) - bounds.mean()) + 1e-6 * np.abs(shift - np.median(shift))
    order = np.lexsort((np.arange(len(shift)), central, -fits.sum(axis=1)))
    kept = order[undominated(fits[order], np.concatenate([bears, bears], axis=1)[order])]
    return shift[kept], fits[kept], bears[kept]


def undominated(flags: Flags, bears: Array) -> Index:
    """Return the rows no earlier row is better than: it has all their flags and bears at least as much, low and high (n, 4).

    Rows with more flags come first.
    """
    _, first = np.unique(np.concatenate([np.packbits(flags, axis=1).astype(float), bears], axis=1), axis=0, return_index=True)
    rows = np.sort(first)
    own = flags[rows].astype(np.float32)
    shared = own @ own.T
    subset = shared >= own.sum(axis=1)[:, None] - 0.5
    low, high = bears[rows, :2], bears[rows, 2:]
    more = ((low[None] <= low[:, None] + NEARLY) & (high[None] >= high[:, None] - NEARLY)).all(axis=2)
    better = subset & more
    earlier = np.tri(len(rows), k=-1, dtype=bool)
    kept: Index = rows[~(better & earlier).any(axis=1)]
    return kept
