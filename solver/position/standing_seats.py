"""Where pieces of the plan to keep may stay although the weldment lies elsewhere than it lay: seats, and how many may at each.

A stop along a side goes on touching it when the weldment is shifted along that side; so do rests and clamps. At each seat those
pieces count for which a site stands in their hole, of their item and turned as they are; their settings are not looked at.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import numpy as np

from inventory.tables import Hole, Table, parse_hole
from solver.geometry.hulls import Index
from solver.hardware.sites import Sites
from solver.hardware.stacks import Stack
from solver.laying.lies import Lie
from solver.position.kept_plan import KeptPlan, StandingPiece

SeatKey = tuple[float, Hole]
"""Turn and shift of a seat on a table."""
Pile = tuple[tuple[str, float], ...]
"""Item and turn of a piece and of what it stands on, from the table up."""


def standing_at(kept: KeptPlan, table: Table, lie: Lie, sites: Sites) -> Mapping[SeatKey, int]:
    """Return for every seat (turn, shift) at which pieces may stay how many may at most; at any other seat none does."""
    if table.id != kept.table or not len(sites):
        return {}
    piles = _piles(kept)
    rows = {stack: np.flatnonzero(sites.stack == stack) for stack in np.unique(sites.stack).tolist()}
    staying: dict[SeatKey, set[int]] = defaultdict(set)
    for turn in lie.same_turns:
        quarter = lie.quarters_to(turn)
        for stack, own in rows.items():
            standing = _standing(sites.stacks[stack], quarter, piles)
            holes = np.unique(_turned(sites.hole[own], quarter), axis=0) if standing else []
            for column, row in holes:
                for number, hole in standing:
                    shift = (int(hole[0] - column), int(hole[1] - row))
                    staying[turn, shift].add(number)
    return {seat: len(pieces) for seat, pieces in staying.items()}


def _piles(kept: KeptPlan) -> Mapping[Pile, list[tuple[int, Hole]]]:
    """Return the pieces that stand by what they and all under them are, each with its number and the hole they stand in."""
    found: dict[Pile, list[tuple[int, Hole]]] = defaultdict(list)
    for number, piece in enumerate(kept.pieces.elements()):
        pile, hole = _pile(piece)
        found[pile].append((number, hole))
    return found


def _pile(piece: StandingPiece) -> tuple[Pile, Hole]:
    item, hole, turn, _, *below = piece
    if not below:
        return ((item, turn),), parse_hole(hole or "A1")
    pile, root = _pile(below[0])
    return (*pile, (item, turn)), root


def _standing(stack: Stack, quarter: int, piles: Mapping[Pile, list[tuple[int, Hole]]]) -> list[tuple[int, Hole]]:
    """Return which pieces that stand a stack would leave, and in which hole it would have to stand for that."""
    pile: Pile = ()
    found: list[tuple[int, Hole]] = []
    for level in stack.levels:
        pile = (*pile, (level.item.id, round((level.turn + 90.0 * quarter) % 360.0, 6)))
        found += piles.get(pile, ())
    return found


def _turned(holes: Index, quarter: int) -> Index:
    for _ in range(quarter):
        holes = np.stack([-holes[:, 1], holes[:, 0]], axis=1)
    return holes
