"""Where pieces of the plan to keep may stay although the weldment lies elsewhere than it lay: seats, and how many may at each.

A stop along a side goes on touching it when the weldment is shifted along that side; so do rests and clamps. At each seat those
pieces count for which a site stands in their hole, of their item and turned as they are; their settings are not looked at.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import numpy as np

from inventory.shapes import Array
from inventory.tables import Hole, Table, parse_hole
from solver.geometry.hulls import Flags, Index
from solver.geometry.tolerances import PARALLEL
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.sites import Sites
from solver.hardware.stacks import Stack
from solver.laying.lies import Lie
from solver.position.kept_plan import KeptPlan, StandingPiece

SeatKey = tuple[float, Hole]
"""Turn and shift of a seat on a table."""
SETTING = 3
"""Where the setting is said in a standing piece."""
SETTING_SLACK = 0.2
"""A pad this near to a face, and a step of its setting, may meet it, mm."""
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
            for column, row in np.unique(_turned(sites.hole[own], quarter), axis=0).tolist() if standing else ():
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


def most_staying(
    kept: KeptPlan, lie: Lie, reach: ReachableHoles, pitch: float, phases: tuple[Array, Array], meets: tuple[Flags, Flags]
) -> Index:
    """Return for phases along x and y how many pieces may stay at most wherever the weldment lies, (x phases, y phases).

    `meets` are what finds a hole at each phase along its axis (phases, matches). A piece stays only if it meets a face as set.
    """
    total = np.zeros((len(meets[0]), len(meets[1])), dtype=np.intp)
    settings = [piece[SETTING] for piece in kept.pieces.elements()]
    for number, own in _leaving(kept, lie, reach).items():
        rows, along = np.array(sorted(own), dtype=np.intp), []
        for axis, (at, there) in enumerate(zip(phases, meets, strict=True)):
            set_so = _as_set(reach, rows, settings[number], pitch, at, axis)
            along.append((there[:, rows] & set_so).astype(np.float32))
        total += (along[0] @ along[1].T) > 0
    return total


def _leaving(kept: KeptPlan, lie: Lie, reach: ReachableHoles) -> Mapping[int, set[int]]:
    """Return for each piece that stands the matches of all stacks that would leave it."""
    piles = _piles(kept)
    found: dict[int, set[int]] = defaultdict(set)
    by_stack = {stack: np.flatnonzero(reach.stack == stack).tolist() for stack in np.unique(reach.stack).tolist()}
    for quarter in sorted({lie.quarters_to(turn) for turn in lie.same_turns}):
        for stack, rows in by_stack.items():
            for number, _ in _standing(reach.stacks[stack], quarter, piles):
                found[number] |= set(rows)
    return found


def _as_set(reach: ReachableHoles, rows: Index, setting: float | None, pitch: float, phases: Array, axis: int) -> Flags:
    """Return per phase along an axis whether some matches' pads, set so, meet their faces, (phases, rows)."""
    may: Flags = np.ones((len(phases), len(rows)), dtype=bool)
    if setting is None:
        return may
    normal = reach.normal[rows]
    ahead = reach.gap[rows] - setting * (reach.travels.axis[rows] * normal).sum(axis=1)
    slack = SETTING_SLACK + reach.travels.step[rows]
    level, upright = np.abs(normal[:, axis]) > 1 - PARALLEL, np.abs(normal[:, 2]) > 1 - PARALLEL
    off = (phases[:, None] - (ahead * normal[:, axis])[None, :] + pitch / 2) % pitch - pitch / 2
    may[:, level] = (np.abs(off) <= slack)[:, level]
    may[:, upright] &= (np.abs(ahead) <= slack)[upright]
    return may
