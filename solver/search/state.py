"""What a search holds: the question, the lattice positions still in the running, and what has fallen out."""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.geometry.joints import Sample
from solver.hardware.matching import Shelf
from solver.hardware.sites import Sites
from solver.plans import Alternative
from solver.position.kept_plan import KeptPlan
from solver.request import Request
from solver.search.lattice_position import Fallen, Found, LatticePosition, Opening, Tally
from solver.search.orientation import Orientation, items_of
from solver.search.price_floor import PriceFloor

MOST_DROPPED = 12
"""So many choices may fail the independent checker before the search gives up: each is a fault of ours."""
FURTHER = {"orders": 1600, "lift": 1200, "arms": 2400}
"""Once there is a fixture, of further sorts of lattice positions so many are surveyed, an opening counting as `OPENS` of them.

Positions at which `USUAL` pads and faces can meet count as one, others by their number. What would take more is told as not
tried, with what it costs at least.
"""
OPENS = 8
ASKED = {"lift": 160, "arms": 160}
"""Of these sorts a position whose model is asked counts as so many like it; none is surveyed if not all can be."""
USUAL = 240
FEW_SEEN = 8


@dataclass
class SearchState:
    """The state of a search over all lattice positions of one request.

    Parameters
    ----------
    samples : sequence of Sample
        Torch samples in the weldment's frame.
    end : Deadline
        When the search must end; may be set anew before each question.
    reserve_s : float
        Seconds kept for explaining, as long as no fixture is found.
    barred : set of str
        Items that may not be bought, though missing pieces may.
    workers : int
        So many processes may work side by side; the answer is the same for any number.
    announce : callable, optional
        Writes every better fixture down and tells of it, and of what any fixture costs at least, as far as proved by then,
        cents; None if the independent checker refuses it.
    """

    request: Request
    stock: StockSnapshot
    samples: Sequence[Sample]
    end: Deadline
    reserve_s: float = 0.0
    barred: set[str] = field(default_factory=set)
    workers: int = 1
    tally: Tally = field(default_factory=Tally)
    positions: list[LatticePosition] = field(default_factory=list)
    openings: list[Opening] = field(default_factory=list)
    """A heap of what has not been opened yet: further load orders, weldments raised."""
    tried: list[Orientation] = field(default_factory=list)
    """Every orientation opened."""
    looked_into: Orientation | None = None
    """The orientation of which positions were surveyed last, until the best of them is asked."""
    barren: int = 0
    """How many batches were surveyed in a row of which nothing was left."""
    sites_seen: deque[tuple[LatticePosition, Sites, list[Sites]]] = field(default_factory=lambda: deque(maxlen=FEW_SEEN))
    """What can stand at the positions looked at last, also for variants: their seats are looked at one after the other."""
    fallen: list[Fallen] = field(default_factory=list)
    motions: list[Array] = field(default_factory=list)
    """Motions of the parts that undid some choice: asked of all later ones."""
    motions_beside: list[list[Array]] = field(default_factory=list)
    """The same for each variant."""
    announce: Callable[[Found, int], Alternative | None] | None = None
    unseen: bool = False
    """Whether time ended before all lies and lattice positions were found: what holds of those seen proves nothing."""
    worn: bool = False
    """Whether a position was given up with time left: by the work limit, or after too many rounds."""

    shelves: dict[float, Shelf] = field(default_factory=dict)
    numbered: int = 0
    """How many positions and openings were numbered so far."""
    further: dict[str, float] = field(default_factory=lambda: dict(FURTHER))
    """How much of each sort may still be opened once there is a fixture."""
    left: dict[str, int] = field(default_factory=dict)
    """What was not tried, by code: what any fixture of that sort costs at least, cents."""

    def __post_init__(self) -> None:
        self.motions_beside = self.motions_beside or [[] for _ in self.request.sizes]

    @staticmethod
    def size_of(orientation: Orientation) -> float:
        """Return how much one of its lattice positions counts."""
        return len(orientation.found) / USUAL

    def affords(self, code: str, size: float) -> bool:
        """Return whether so much of a sort may still be opened."""
        return self.further[code] >= size

    def spend(self, code: str, size: float) -> None:
        """Count so much of a sort as looked at."""
        self.further[code] -= size

    def untried(self, code: str, cents: int) -> None:
        """Remember that something was not tried, of which every fixture costs at least so much."""
        self.left[code] = min(cents, self.left.get(code, cents))

    @property
    def under(self) -> int:
        """At most so many pieces stand under another."""
        return int(self.request.rules["stack.pieces"]) - 1

    def shelf(self, pitch: float) -> Shelf:
        """Return what may stand on a lattice of this pitch."""
        if pitch not in self.shelves:
            self.shelves[pitch] = Shelf(items_of(self.request, self.stock), pitch, self.under)
        return self.shelves[pitch]

    def opening(
        self, code: str, floor: int, open_it: Callable[[int | None], list[LatticePosition]], *, rough: bool = False
    ) -> None:
        """Remember something to open once its floor is reached."""
        heapq.heappush(self.openings, Opening(floor, self.next_number(), code, open_it, rough))

    def next_number(self) -> int:
        """Return the next number of a position or opening: of equal floors the lower goes first."""
        self.numbered += 1
        return self.numbered

    @cached_property
    def kept(self) -> KeptPlan | None:
        """The plan to keep, if there is one."""
        return None if self.request.keep is None else KeptPlan.of(self.request.keep)

    @cached_property
    def price(self) -> PriceFloor:
        """What every fixture costs, whatever stands."""
        return PriceFloor.of(self.request, self.kept)

    @cached_property
    def proved(self) -> int:
        """What every fixture costs at least by an earlier proof and by kept pieces that cannot stay, cents; 0: not known."""
        known = self.request.proved_cents
        if not known or self.kept is None:
            return known
        return known + self.price.moving(self.kept.count - self.kept.cannot_stay(self.request, self.stock))

    @property
    def deadline(self) -> Deadline:
        """When the search must end: earlier while nothing is found, so that time is left to say why."""
        return self.end if self.tally.found else self.end.earlier(self.reserve_s)

    @property
    def work_left(self) -> float | None:
        """What is left of the request's work limit, deterministic units; None if there is no limit."""
        limit = self.request.work_limit
        return None if limit is None else max(0.0, limit - self.tally.work)

    @property
    def out_of_work(self) -> bool:
        """Whether the request's work limit is reached."""
        return self.request.work_limit is not None and self.tally.work >= self.request.work_limit

    def out_of_time(self) -> bool:
        """Return whether time is up, and remember that not everything was seen."""
        self.unseen |= self.deadline.over
        return self.unseen
