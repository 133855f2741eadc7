"""What keeps a piece from being put down or lifted off: a peg in its hole, a body in its place or over it.

A piece goes down straight over its pegs and comes up straight again, clamps open. No peg is longer than the table is thick:
once it is lifted that far it may leave any way.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.items import Item
from inventory.shapes import Array, turned
from inventory.tables import Hole, parse_hole
from solver.geometry.hulls import Hulls
from solver.geometry.proximity import box_pairs, near
from solver.geometry.solids import pieces_of
from solver.geometry.tolerances import RUNS_INTO
from solver.plans import Placement


@dataclass(frozen=True, eq=False)
class Spot:
    """Where a piece stands, before or after: its table, the holes its pegs take, what it stands on, its body with clamps open."""

    table: str
    placement: Placement
    holes: frozenset[Hole]
    lift: Array

    @cached_property
    def body(self) -> Hulls:
        """The piece's convex pieces, clamp open."""
        opened = self.placement.open_solids
        found = [piece for prism in (self.placement.solids if opened is None else opened) for piece in pieces_of(prism)]
        return Hulls.of(found, [0] * len(found))

    @cached_property
    def way(self) -> Hulls:
        """What the piece passes through on its way up or down."""
        return self.body.swept(self.lift)


def spot_of(placement: Placement, item: Item | None, table: str, thickness: float) -> Spot:
    """Return where a piece stands on a table so thick; an item that the catalogue does not have has one peg."""
    holes: set[Hole] = set()
    if placement.hole is not None:
        column, row = parse_hole(placement.hole)
        turn = turned(placement.turn)[:2, :2]
        for peg in ((0, 0),) if item is None else item.pegs:
            across, up = np.rint(turn @ np.array(peg, dtype=float)).astype(int).tolist()
            holes.add((column + across, row + up))
    return Spot(table, placement, frozenset(holes), np.array([0.0, 0.0, thickness]))


def in_the_way(mover: Spot, other: Spot) -> bool:
    """Return whether `other` keeps a piece from coming to where `mover` is, or from leaving it.

    Two pieces that are each over the other are put in together by tilting: neither is in the other's way for that.
    """
    if mover.table != other.table:
        return False
    if mover.holes & other.holes or _meet(mover.body, other.body):
        return True
    return _meet(mover.way, other.body) and not _meet(other.way, mover.body)


def passes(before: Spot, after: Spot, other: Spot) -> bool:
    """Return whether a piece that is set anew where it stands runs into another, at its new setting or on the way there."""
    if before.table != other.table:
        return False
    old, new = (spot.placement.open_solids or spot.placement.solids for spot in (before, after))
    ways = [after.body]
    for one, then in zip(old, new, strict=False):
        shift = np.array(then.frame)[:3, 3] - np.array(one.frame)[:3, 3]
        pieces = pieces_of(one)
        ways.append(Hulls.of(pieces, [0] * len(pieces)).swept(shift))
    return any(_meet(way, other.body) for way in ways)


def _meet(one: Hulls, other: Hulls) -> bool:
    i, j = box_pairs(one.boxes, other.boxes, RUNS_INTO) if len(one) and len(other) else (np.zeros(0, int), np.zeros(0, int))
    return bool(near(one, i, other, j, RUNS_INTO).any()) if len(i) else False
