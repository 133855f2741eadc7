"""What already stands: the plan to keep, and which candidates would leave its pieces as they are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from inventory.shapes import turned
from inventory.stock import StockSnapshot
from inventory.tables import Table, hole_label, parse_hole
from solver.cost import free_pieces
from solver.hardware.candidates import Candidate, Lattice
from solver.laying.lies import Lie
from solver.plans import Alternative, Placement
from solver.position.seats import Seat
from solver.request import Request

StandingPiece = tuple[Any, ...]
"""Item, hole, turn and setting of a piece, and of what it stands on, down to the table."""
OWN = 4
"""So many of its entries are said of the piece itself."""


@dataclass(frozen=True)
class KeptPlan:
    """An alternative whose pieces stand already: table, lie, where the weldment lies, each piece with its place.

    `order` are the ids of the parts in the order in which they go in.
    """

    table: str
    down: str
    turn: float
    at: tuple[float, float, float]
    pieces: Counter[StandingPiece]
    order: tuple[str, ...] = ()

    @staticmethod
    def of(alternative: Alternative) -> KeptPlan:
        """Return the pieces of an alternative that are set up already."""
        pieces = Counter(standing_by_id(alternative).values())
        x, y, z = (float(row[3]) for row in alternative.weldment_to_table[:3])
        order = tuple(step.part for step in alternative.load)
        return KeptPlan(alternative.table, alternative.down, float(alternative.turn) % 360.0, (x, y, z), pieces, order)

    @property
    def count(self) -> int:
        """How many pieces stand."""
        return sum(self.pieces.values())

    def cannot_stay(self, request: Request, stock: StockSnapshot) -> int:
        """Return how many pieces at least cannot stand as they do: in a hole that is blocked, or fewer of their item are free."""
        blocked = Counter[str]()
        for piece, count in self.pieces.items():
            *_, lowest = _down(piece)
            item, hole = stock.items.get(lowest[0]), parse_hole(lowest[1] or "A1")
            gone = {(None, hole), (self.table, hole)} & request.without.holes
            blocked[piece[0]] += count if gone and item is not None and (0, 0) in item.pegs else 0
        stands = Counter[str]()
        for piece, count in self.pieces.items():
            stands[piece[0]] += count
        bought = request.shortage == "price"
        short = {name: 0 if bought else max(0, count - free_pieces(request, stock, name)) for name, count in stands.items()}
        return sum(max(blocked[name], short[name]) for name in stands)

    def place(self, table: Table, lie: Lie, lift: float) -> tuple[Lattice, Seat] | None:
        """Return the lattice and the seat at which the weldment lies as it lay, None if this is another lie or height."""
        if table.id != self.table or lie.down != self.down or self.turn not in lie.same_turns or abs(self.at[2] - lift) > 1e-3:
            return None
        quarter = round(((self.turn - lie.turn) % 360.0) / 90.0)
        back = turned(-90.0 * quarter)[:2, :2]
        first, move = np.array(table.first), np.array(self.at[:2])
        phase = np.round((back @ (first - move)) % table.pitch, 6) % table.pitch
        shift = np.rint((move + turned(90.0 * quarter)[:2, :2] @ phase - first) / table.pitch).astype(int)
        lattice = Lattice((float(phase[0]), float(phase[1])), table.pitch)
        return lattice, Seat(table, self.turn, (int(shift[0]), int(shift[1])), quarter)

    def staying(self, candidate: Candidate, seat: Seat) -> int:
        """Return how many of a candidate's pieces stand already, just so; on another table none does."""
        return 0 if seat.table.id != self.table else sum(standing in self.pieces for standing in standing_pieces(candidate, seat))


def standing_pieces(candidate: Candidate, seat: Seat) -> list[StandingPiece]:
    """Return what each piece of a candidate is and where it stands, from the table up."""
    found: list[StandingPiece] = []
    levels = candidate.stack.levels
    for depth, level in enumerate(levels):
        setting = piece_setting(candidate, depth)
        hole = hole_label(seat.hole(candidate.hole)) if depth == 0 else None
        own: StandingPiece = (level.item.id, hole, round((level.turn + 90.0 * seat.quarter) % 360.0, 6), setting)
        found.append(own if not found else (*own, found[-1]))
    return found


def piece_setting(candidate: Candidate, depth: int) -> float | None:
    """Return what a piece of a candidate is set to, the lowest one is 0: one that only carries to its least, mm."""
    item = candidate.stack.levels[depth].item
    if depth == len(candidate.stack.levels) - 1 and (item.slide is not None or item.clamp is not None):
        return round(candidate.setting or 0.0, 3)
    return None if item.slide is None else round(item.slide.low, 3)


def moved(kept: KeptPlan, candidates: Sequence[Candidate], seat: Seat) -> int:
    """Return how many kept pieces a choice moves, swaps, re-sets or takes away; on another table all of them."""
    if seat.table.id != kept.table:
        return kept.count
    now = Counter(standing for candidate in candidates for standing in standing_pieces(candidate, seat))
    return sum((kept.pieces - now).values())


def _down(piece: StandingPiece) -> list[StandingPiece]:
    """Return a piece and what it stands on, down to the table."""
    found = [piece]
    while len(found[-1]) > OWN:
        found.append(found[-1][OWN])
    return found


def standing_by_id(alternative: Alternative) -> dict[str, StandingPiece]:
    """Return what each piece of an alternative is and where it stands, by its id."""
    placements = {placement.id: placement for placement in alternative.placements}
    return {id: _standing(placement, placements) for id, placement in placements.items()}


def _standing(placement: Placement, others: Mapping[str, Placement]) -> StandingPiece:
    setting = None if placement.setting_mm is None else round(float(placement.setting_mm), 3)
    own: StandingPiece = (placement.item, placement.hole, round(float(placement.turn) % 360.0, 6), setting)
    below = others.get(placement.stands_on or "")
    return own if below is None else (*own, _standing(below, others))
