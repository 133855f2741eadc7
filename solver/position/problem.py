"""One lattice position's problem: every candidate, and what each helps with or keeps from happening."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from itertools import groupby

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.access.conflicts import conflicts, conflicts_at_ends, kept_table
from solver.access.routes import Routes
from solver.access.torch import TorchDirections
from solver.cost import PieceTimes
from solver.geometry.hulls import Flags, Hulls, joined
from solver.hardware.candidates import Candidate, Lattice
from solver.laying.laid_weldment import ClosedRing, LaidWeldment
from solver.position.arrangement.arranger import Arranger
from solver.position.arrangement.room import Room
from solver.position.seats import Seat
from solver.position.side_groups import SideGroup
from solver.position.torch_rows import torch_rows
from solver.request import Request


@dataclass(frozen=True)
class Against:
    """What a side clamp pushes its part against: locators, or an earlier part (`already`); and locators it pushes it off."""

    stops: frozenset[int]
    already: bool
    away: frozenset[int]


@dataclass(frozen=True)
class Problem:
    """Everything the model asks about one lattice position.

    Parameters
    ----------
    candidates : tuple of Candidate
        What may stand, indexed by position.
    torch : TorchDirections
        Torch directions that parts and table leave free.
    shut, opened, under : Hulls
        The candidates' bodies, clamps shut; of clamps, open; and of what carries their top pieces.
    groups : tuple of SideGroup
        Level contacts by part and direction.
    supports : per part, list of (candidate, patch)
        Rests under the part.
    serving : per part, list of candidates
        Clamps whose line of force passes through the part.
    times : tuple of PieceTimes
        What each candidate adds to setup, cycle and price.
    spare_kg : float or None
        What hardware may weigh on this table; None if nobody knows what the table bears.
    ends : Hulls or None
        The bodies of candidates that follow an open dimension, at both its ends: no two may meet there, wherever they are set.
    table : str
        The table's id; empty if it does not matter.
    seats : tuple of Seat
        Seats among which the model chooses, because the request names places on the table; none if it need not.
    off_seat : (seats, candidates) array
        Which candidates find no usable hole at each of them.
    room : Room or None
        The table as several stations share it; None if there is one.
    """

    request: Request
    stock: StockSnapshot
    laid: LaidWeldment
    lattice: Lattice
    candidates: tuple[Candidate, ...]
    torch: TorchDirections
    shut: Hulls
    opened: Hulls
    under: Hulls
    groups: tuple[SideGroup, ...]
    supports: tuple[tuple[tuple[int, Array], ...], ...]
    serving: tuple[tuple[int, ...], ...]
    over: dict[int, tuple[frozenset[int], ...]]
    against: dict[int, Against]
    times: tuple[PieceTimes, ...]
    spare_kg: float | None = None
    ends: Hulls | None = None
    table: str = ""
    seats: tuple[Seat, ...] = ()
    off_seat: Flags = field(default_factory=lambda: np.zeros((0, 0), dtype=bool))
    room: Room | None = None

    @cached_property
    def pieces(self) -> list[Counter[str]]:
        """Pieces of each item a candidate takes."""
        return [candidate.stack.pieces for candidate in self.candidates]

    @cached_property
    def priced(self) -> list[tuple[PieceTimes, list[int]]]:
        """What candidates add to setup, cycle and price, once for all candidates in a row that add as much."""
        return [(entry, list(own)) for entry, own in groupby(range(len(self.times)), key=self.times.__getitem__)]

    @cached_property
    def tip_stops(self) -> tuple[frozenset[int], ...]:
        """For each closed ring the candidates that stop one of its parts at a tip: with one of them it is located together."""
        tips = [(index, meeting.part) for index, stop in enumerate(self.candidates) for meeting in stop.meetings if meeting.tip]
        return tuple(frozenset(index for index, part in tips if part in ring.parts) for ring in self.laid.rings)

    def together(self, chosen: Iterable[int]) -> list[ClosedRing]:
        """Return the closed rings whose parts a choice of candidates locates together."""
        standing = frozenset(chosen)
        return [ring for ring, stops in zip(self.laid.rings, self.tip_stops, strict=True) if stops & standing]

    @cached_property
    def conflicts(self) -> frozenset[tuple[int, int]]:
        """Pairs (i < j) of candidates that cannot both stand."""
        clear = self.laid.rules["clear.body"]
        found = conflicts(self.candidates, kept_table(self.lattice.pitch, clear))
        if self.ends is not None:
            found |= conflicts_at_ends(self.ends, joined([self.shut, self.opened, self.ends]), clear)
        return frozenset(found)

    @cached_property
    def neighbours(self) -> list[int]:
        """Return for each candidate the set of those it cannot stand with: a whole number, one bit a candidate."""
        found = [0] * len(self.candidates)
        for i, j in self.conflicts:
            found[i] |= 1 << j
            found[j] |= 1 << i
        return found

    @cached_property
    def reach(self) -> tuple[tuple[int, tuple[frozenset[int], ...]], ...]:
        """Per weld sample that something could block: its weld's index, and for each torch direction what candidates shut it."""
        return torch_rows(self.torch, self.shut)

    @cached_property
    def standing(self) -> Hulls:
        """The candidates' bodies with clamps open."""
        moves = np.array([len(candidate.stack.opened) > 0 for candidate in self.candidates], dtype=bool)
        return joined([self.shut.take(~moves[self.shut.owner]), self.opened]) if len(self.shut) else self.shut

    @cached_property
    def arranger(self) -> Arranger | None:
        """What arranges several stations on the table; None if there is one."""
        if self.room is None:
            return None
        return Arranger(self.room, self.laid, self.lattice, self.candidates, self.shut, self.opened, self.torch, self.routes)

    @cached_property
    def routes(self) -> Routes:
        """The routes in of every part and out of the weldment, with what stands in them."""
        return Routes(self.laid, self.candidates, self.standing, self.under, self.times)
