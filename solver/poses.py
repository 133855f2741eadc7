"""What a search is about: lies and the lattice positions under them, what was found on them, and what fell out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from inventory.shapes import Array
from inventory.tables import Table
from solver.candidates.assembly import Assembly
from solver.candidates.blocking import TorchWays
from solver.candidates.bounds import Bounds
from solver.candidates.holes import Reach
from solver.candidates.lies import (
    Lie,
    Seat,
)
from solver.candidates.placing import Lattice, Match
from solver.candidates.sites import Sites
from solver.candidates.stands import Stand
from solver.cost import PieceTimes
from solver.model.families.differ import Signature
from solver.model.pose import Choice, PoseModel, Refusal
from solver.model.program import Program


@dataclass(frozen=True)
class Limits:
    """When to stop: wall clock left (s), deterministic work left (None: no limit), and the caller's wish."""

    seconds_left: Callable[[], float]
    work: float | None
    should_stop: Callable[[], bool]

    @property
    def over(self) -> bool:
        """Whether time is up or the caller wants the search to end."""
        return self.seconds_left() <= 0 or self.should_stop()


@dataclass
class Ground:
    """One lie on tables of one pitch: what all its lattice positions share."""

    lie: Lie
    tables: Sequence[Table]
    assembly: Assembly
    stands: list[Stand]
    found: list[Match]
    times: list[PieceTimes]
    torch: TorchWays
    bounds: Bounds

    @cached_property
    def reach(self) -> Reach:
        """What the stands' pads can reach, as arrays."""
        return Reach.of(self.stands, self.found)


@dataclass(order=True)
class Pose:
    """A lattice position of a ground, with the floor under its price in cents; ordered by floor, then by number.

    The floor rises as more is known: from the matches alone, from the screened `sites`, from the model's first rows.
    """

    floor: int
    number: int
    ground: Ground = field(compare=False)
    lattice: Lattice = field(compare=False)
    table: Table = field(compare=False)
    seat: Seat | None = field(default=None, compare=False)
    sites: Sites | None = field(default=None, compare=False)
    locating: Array | None = field(default=None, compare=False)
    kept: bool = field(default=False, compare=False)
    hung: Assembly | None = field(default=None, compare=False)
    model: PoseModel | None = field(default=None, compare=False)

    @property
    def assembly(self) -> Assembly:
        """The weldment as it stands here: hanging over the table's edge, it lies on less of the table."""
        return self.hung or self.ground.assembly


Taken = tuple[str, str, Signature]
"""An alternative already found: direction down, table id, signature."""


@dataclass(frozen=True)
class Found:
    """A choice on a pose and its seat."""

    pose: Pose
    model: PoseModel
    seat: Seat
    choice: Choice


@dataclass(frozen=True)
class Fallen:
    """A pose where no fixture can stand, with the program that was proved infeasible, None if it fell before one was built."""

    pose: Pose
    program: Program | None = None


@dataclass
class Tally:
    """What the search did, and why candidates and poses fell out."""

    poses: int = 0
    surveyed: int = 0
    built: int = 0
    solves: int = 0
    rounds: int = 0
    found: int = 0
    dropped: int = 0
    work: float = 0.0
    refused: Counter[str] = field(default_factory=Counter)
    refusals: list[Refusal] = field(default_factory=list)
