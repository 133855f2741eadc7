"""What a search is about: lies and the lattice positions under them, what was found on them, and what fell out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from inventory.shapes import Array
from inventory.tables import Table
from solver.hardware.candidates import Lattice
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidWeldment
from solver.model.any_order.orders_model import OrdersModel
from solver.model.bounds.difference import Kit
from solver.model.choice import Choice, Refusal
from solver.model.position_model import PositionModel
from solver.model.program import Program
from solver.plans import Alternative
from solver.position.floors.standing_seats import SeatKey
from solver.position.seats import Seat
from solver.search.orientation import Orientation
from solver.search.variants.at_position import VariantAt


@dataclass(order=True)
class LatticePosition:
    """A lattice position of an orientation, with the floor under its price in cents; ordered by floor, then by number and seat.

    The floor rises as more is known: from the matches alone, from a survey, from all `sites` on a seat, from
    the model's first rows.
    """

    floor: int
    number: int
    orientation: Orientation = field(compare=False)
    lattice: Lattice = field(compare=False)
    table: Table = field(compare=False)
    seat_number: int = 0
    seat: Seat | None = field(default=None, compare=False)
    surveyed: bool = field(default=False, compare=False)
    by_order: dict[int, int] | None = field(default=None, compare=False)
    """Floors of orders of loading that are not positions of their own yet, by number; where several are meant at once."""
    ready: bool = field(default=False, compare=False)
    """Whether it has its seat and `sites`, so that its model can be asked."""
    whole: bool = field(default=False, compare=False)
    """Whether all that can stand at the position finds holes on its seat: then no other seat of it is better."""
    sites: Sites | None = field(default=None, compare=False)
    locating: Array | None = field(default=None, compare=False)
    """What locating each part costs at least, cents; where several orders are meant at once, each case of a part."""
    kept: bool = field(default=False, compare=False)
    staying: int = field(default=0, compare=False)
    """How many pieces of the plan to keep may stay here at most."""
    elsewhere: tuple[tuple[int, SeatKey], ...] = field(default=(), compare=False)
    """Seats not looked at yet at which pieces of the plan to keep may stay, the lowest floor first; it stands for these alone."""
    taken: bool = field(default=False, compare=False)
    """Whether it is being looked at, out of those that wait."""
    seats: tuple[Seat, ...] = field(default=(), compare=False)
    """Seats among which the model chooses, `seat` the first of them, where the request names places on the table."""
    hung: LaidWeldment | None = field(default=None, compare=False)
    beside: tuple[VariantAt, ...] = field(default=(), compare=False)
    """The variants on its seat, until its model is built."""
    model: PositionModel | None = field(default=None, compare=False)
    in_any_order: OrdersModel | None = field(default=None, compare=False)
    """The model of all orders of loading in `by_order`, once it was asked."""

    @property
    def laid(self) -> LaidWeldment:
        """The weldment as it stands here: hanging over the table's edge, it lies on less of the table."""
        return self.hung or self.orientation.laid


@dataclass(order=True)
class Opening:
    """A whole sort of lattice positions not looked at yet, with the floor under the price of all of them, cents.

    `code` names the sort. `open` finds and returns them, asked with the most a fixture may cost to be of interest, None for any.
    A `rough` floor is not worth waiting for: opening it gives a better one, as soon as there is a fixture.
    """

    floor: int
    number: int
    code: str = field(compare=False)
    open: Callable[[int | None], list[LatticePosition]] = field(compare=False)
    rough: bool = field(default=False, compare=False)


Taken = tuple[str, str, Kit]
"""An alternative already found: direction down, table id, kit."""


@dataclass(frozen=True)
class Found:
    """A choice at a position on its seat; `written` is the same or one as cheap, written down and checked, if it was told."""

    position: LatticePosition
    model: PositionModel
    choice: Choice
    written: Alternative | None = None

    @property
    def seat(self) -> Seat:
        """Where on the table it stands; of several stations, where its candidates were found."""
        if self.choice.seat is not None:
            return self.model.problem.seats[self.choice.seat]
        assert self.position.seat is not None
        return self.position.seat


@dataclass(frozen=True)
class Fallen:
    """A position where no fixture can stand, with the program proved infeasible, None if it fell before one was built.

    `homeless`: all could stand there, but the weldment has no seat on its table. `count`: so many positions it stands for. A
    program stands for all seats of a position if its seat is as good as any.
    """

    position: LatticePosition
    program: Program | None = None
    homeless: bool = False
    count: int = 1


@dataclass
class Tally:
    """What the search did, and why candidates and positions fell out."""

    positions: int = 0
    surveyed: int = 0
    built: int = 0
    solves: int = 0
    rounds: int = 0
    found: int = 0
    dropped: int = 0
    work: float = 0.0
    refused: Counter[str] = field(default_factory=Counter)
    refusals: list[Refusal] = field(default_factory=list)
