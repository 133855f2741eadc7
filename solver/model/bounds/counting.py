"""Counting before placing: whether the free pieces can go round at all, wherever they stand.

In words: every part needs three level points of contact, a rest if what it lies on does not carry it, and its clamps; every
stack gives at most what its pads can meet at once, and takes its pieces from the shelf. Holes, distances and torch are left
out, so what is impossible here is impossible on every lattice of the lie.
Formula: with n_s stacks of one sort,
sum points_sp n_s >= 3 - given_p;  sum {n_s : s under p} >= 1;  sum {n_s : s serves p} >= clamps_p;
sum stations pieces_sk n_s - buy_k <= free_k.
Source: a relaxation of the located, clamped and counted families.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.cost import fixtures_on_table, free_pieces
from solver.deadline import look
from solver.geometry.tolerances import SLOPING
from solver.hardware.clamp_lines import parts_clamped_at_most
from solver.hardware.matching import Match
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.requirements import carried, clamps_needed
from solver.model.program import Program
from solver.request import Request

MOST = 200
"""No fixture has more stacks of one sort."""


@dataclass(frozen=True, slots=True)
class Sort:
    """What stacks of one sort can do at most at once: level points and rests by part, parts clamped; and the pieces they take."""

    points: tuple[tuple[int, int], ...]
    under: tuple[tuple[int, int], ...]
    serves: frozenset[int]
    pieces: tuple[tuple[str, int], ...]


def counting(
    request: Request, stock: StockSnapshot, laid: LaidWeldment, stacks: Sequence[Stack], found: Sequence[Match]
) -> Program:
    """Return the program that asks only whether the pieces can go round; it has no objective."""
    program, stations = Program(), fixtures_on_table(request)
    sorts = sorts_of(laid, stacks, found)
    many = [program.variable(0, MOST) for _ in sorts]
    for part in laid.parts:
        given = sum(_points(touch.patch, touch.normal) for touch in laid.touches_of(part.index) if abs(touch.normal[2]) < 1e-6)
        points = [(n, count) for n, sort in zip(many, sorts, strict=True) for index, count in sort.points if index == part.index]
        program.row("locate.side", points, max(0, 3 - given), about=part.id)
        if not carried(laid, part):
            under = [
                (n, count) for n, sort in zip(many, sorts, strict=True) for index, count in sort.under if index == part.index
            ]
            program.row("locate.support", under, 1, about=part.id)
        serving = [(n, 1) for n, sort in zip(many, sorts, strict=True) if part.index in sort.serves]
        program.row("clamp.per_length", serving, clamps_needed(laid, part), about=part.id)
    for item in sorted({item for sort in sorts for item, _ in sort.pieces}):
        users = [
            (n, stations * count) for n, sort in zip(many, sorts, strict=True) for name, count in sort.pieces if name == item
        ]
        if request.shortage == "price":
            users.append((program.variable(0, stations * MOST), -1))
        program.row(f"stock.counted {item}", users, high=free_pieces(request, stock, item), about=item)
    return program


def sorts_of(laid: LaidWeldment, stacks: Sequence[Stack], found: Sequence[Match]) -> list[Sort]:
    """Return the sorts of stacks that differ in what they can do or in the pieces they take."""
    met: dict[int, list[Match]] = {}
    for match in found:
        if stacks[match.stack].push is None:
            met.setdefault(match.stack, []).append(match)
    sorts: dict[Sort, None] = {}
    for index, own in met.items():
        look()
        level = [match for match in own if float(np.hypot(*match.pad.normal[:2])) > SLOPING]
        under = [match for match in own if match.pad.normal[2] > 0.5]
        sorts[Sort(_at_once(level), _at_once(under), frozenset(), _pieces(stacks[index]))] = None
    for index, served in parts_clamped_at_most(laid, stacks, found):
        sorts[Sort((), (), served, _pieces(stacks[index]))] = None
    return list(sorts)


def _pieces(stack: Stack) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(stack.pieces.items()))


def _at_once(own: Sequence[Match]) -> tuple[tuple[int, int], ...]:
    """Return (part, points) of how many faces of each part the pads can meet at once, at most: of a pad, those in one plane."""
    planes: dict[tuple[int, int], Counter[float]] = {}
    for match in own:
        plane = round(float(match.pad.normal @ match.face.origin), 1)
        planes.setdefault((match.pad_index, match.face.part), Counter())[plane] += 1
    points: Counter[int] = Counter()
    for (_, part), by_plane in planes.items():
        points[part] += max(by_plane.values())
    return tuple(sorted(points.items()))


def _points(patch: Array, normal: Array) -> int:
    along = patch @ np.array([-normal[1], normal[0], 0.0])
    return 2 if float(np.ptp(along)) > 1.0 else 1
