"""The table as several equal stations share it: at which seats one of them can stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from inventory.tables import Table
from solver.geometry.hulls import Flags, Index
from solver.hardware.candidates import Candidate, Lattice
from solver.laying.laid_weldment import LaidWeldment
from solver.position.seatings import Footprints, shifts_of
from solver.position.seats import Seat


@dataclass(frozen=True)
class Room:
    """What a table has for several equal stations.

    Parameters
    ----------
    home : Seat
        The seat the position's candidates were found for.
    turns : tuple of (degrees, quarter turns)
        Turns about the table's +z that the request allows and hardware does not tell apart.
    usable : (columns, rows) array
        Which holes may be used.
    edge : float
        How far a body may stick out over the table's edge, mm.
    narrow : bool
        Whether the request allows half turns that are not among `turns`, because hardware does not turn by quarters.
    """

    table: Table
    stations: int
    home: Seat
    turns: tuple[tuple[float, int], ...]
    usable: Array
    edge: float
    narrow: bool = False

    @cached_property
    def middle(self) -> Array:
        """The middle of the table, (2,)."""
        return np.array(self.table.size) / 2

    def places(self, laid: LaidWeldment, lattice: Lattice, chosen: Sequence[Candidate]) -> TablePlaces:
        """Return every seat at which the slab bears the weldment as at home, and which candidates find their holes at each."""
        most = max((len(candidate.holes) for candidate in chosen), default=1)
        pegs = [[*candidate.holes, *[candidate.holes[0]] * (most - len(candidate.holes))] for candidate in chosen]
        bases = [candidate.stack.still.points[:, :2] + candidate.origin[:2] for candidate in chosen]
        bounds = np.array([[base.min(axis=0), base.max(axis=0)] for base in bases]).reshape(-1, 2, 2)
        prints = Footprints(np.array(pegs, dtype=float).reshape(-1, most, 2), bounds)
        found = [
            (number, shifts)
            for number, (_, quarter) in enumerate(self.turns)
            if (shifts := shifts_of(self.table, laid, lattice, quarter, prints, self.usable, self.edge, every=True)) is not None
        ]
        turn = np.concatenate([np.full(len(shifts.steps), number) for number, shifts in found])
        steps, stands = np.concatenate([s.steps for _, s in found]), np.concatenate([s.usable for _, s in found])
        bears = np.concatenate([s.bears for _, s in found])
        quarters = np.array([quarter for _, quarter in self.turns])[turn]
        home = np.flatnonzero((quarters == self.home.quarter) & (steps == np.array(self.home.shift)).all(axis=1))
        alike = np.abs(bears - bears[home[0]]).max(axis=1) < SAME if len(home) else np.zeros(len(turn), dtype=bool)
        return TablePlaces(turn[alike], quarters[alike], steps[alike], stands[alike])

    def seat(self, places: TablePlaces, number: int) -> Seat:
        """Return a place as a seat."""
        turn, quarter = self.turns[int(places.turn[number])]
        return Seat(self.table, turn, (int(places.steps[number, 0]), int(places.steps[number, 1])), quarter)


SAME = 1e-5
"""What the slab bears of a weldment at two seats is the same if it differs by no more, mm."""


@dataclass(frozen=True)
class TablePlaces:
    """Seats of a table, one a row: number of the turn, quarter turns, shift (n, 2), which candidates find their holes there
    (n, candidates)."""

    turn: Index
    quarter: Index
    steps: Index
    stands: Flags

    def __len__(self) -> int:
        return len(self.turn)

    def seen_from(self, one: int) -> Index:
        """Return where every other seat lies seen from one: half a turn round (1, else 0; -1 a quarter turn), columns, rows."""
        quarter = self.quarter - self.quarter[one]
        columns, rows = (self.steps - self.steps[one]).T
        for _ in range(int(self.quarter[one])):
            columns, rows = rows, -columns
        half = np.where(quarter % 2 == 1, -1, (quarter % 4) // 2)
        return np.column_stack([half, columns, rows])
