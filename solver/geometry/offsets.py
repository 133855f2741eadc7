"""What stands too near to what on one lattice, by the offset of their holes: asked once, looked up ever after.

Where two shapes stand on one lattice, how far they are apart depends only on the two and on how many pitches lie between their
holes. So each question has a name of its own - shape, shape, steps in x and y - and is computed once, both shapes seen from the
hole of the one, whatever the lattice position, the lie, or the request. Shapes are known by their content: what looks different
has another name, so that an answer never outlives the item it was computed for.

Answers never depend on what was asked before: of two shapes the one whose name comes first stands in hole (0, 0).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from threading import Lock

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import Flags, Hulls, Index, joined
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import EQUAL
from solver.ledgers.answers import Small
from solver.ledgers.content import content_of
from solver.ledgers.kept import kept_each
from solver.ledgers.names import Names, mixed, names_of

MOST_SHAPES = 1 << 18
MOST_STEPS = 1 << 12
"""Steps between holes fit in so many, either way: the longest item at the finest pitch takes 4000 (`inventory.limits`)."""
TOGETHER = 5000
"""PairsAsked computed together."""


@dataclass(frozen=True)
class Shape:
    """What stands in a hole, seen from it: a name that stands for its content, and how its bodies are found if need be."""

    name: bytes
    bodies: Callable[[], Hulls]


@dataclass
class OffsetTable:
    """What of the shapes on lattices of one pitch comes nearer to what than `clear`, both mm.

    Parameters
    ----------
    numbers : dict
        The shapes known, by name; their number is their place in `boxes`.
    boxes : (shapes, 2, 3) array
        The bounds of every shape seen from its hole, mm.
    """

    pitch: float
    clear: float
    numbers: dict[bytes, int] = field(default_factory=dict)
    boxes: Array = field(default_factory=lambda: np.zeros((0, 2, 3)))
    _lock: Lock = field(default_factory=Lock, repr=False, compare=False)

    def too_near(self, shapes: Sequence[Shape], shape: Index, holes: Index) -> tuple[Index, Index]:
        """Return pairs (i < j) that are nearer than `clear`, where `shapes[shape[k]]` stands in hole (column, row) `holes[k]`."""
        with self._lock:
            number = self._numbered(shapes)
            bounds = self.boxes[number[shape]]
            bounds[:, :, :2] += self.pitch * holes[:, None, :]
            i, j = box_pairs(bounds, bounds, self.clear + EQUAL)
            i, j = i[i < j], j[i < j]
            behind = _behind(_ranks(shapes)[shape], holes, i, j)
            first, second = np.where(behind, j, i), np.where(behind, i, j)
        asked = PairsAsked(shapes, shape[first], shape[second], holes[second] - holes[first])

        def compute(rows: Index) -> Small:
            shares = [asked.take(rows[start : start + TOGETHER]) for start in range(0, len(rows), TOGETHER)]
            return np.concatenate([share.computed(self.pitch, self.clear) for share in shares]).astype(np.uint8)

        close = kept_each("neighbours", (self.pitch, self.clear), asked.names, compute).astype(bool)
        return i[close], j[close]

    def _numbered(self, shapes: Sequence[Shape]) -> Index:
        """Return the shapes' numbers; new ones are measured and get the next."""
        if len(self.numbers) + len(shapes) > MOST_SHAPES:
            self.numbers, self.boxes = {}, np.zeros((0, 2, 3))
        fresh = {shape.name: shape for shape in shapes if shape.name not in self.numbers}
        if fresh:
            bodies = joined([shape.bodies().owned(number) for number, shape in enumerate(fresh.values())])
            self.boxes = np.concatenate([self.boxes, _bounds(bodies, len(fresh))])
            self.numbers.update({name: len(self.numbers) + place for place, name in enumerate(fresh)})
        return np.array([self.numbers[shape.name] for shape in shapes], dtype=np.intp)


@dataclass(frozen=True)
class PairsAsked:
    """Whether `shapes[one]` in hole (0, 0) and `shapes[other]` in hole `steps` (columns, rows) are too near, one a row."""

    shapes: Sequence[Shape]
    one: Index
    other: Index
    steps: Index

    def take(self, rows: Index) -> PairsAsked:
        """Return only some questions."""
        return PairsAsked(self.shapes, self.one[rows], self.other[rows], self.steps[rows])

    @property
    def names(self) -> Names:
        """Each question's name, (n, 2)."""
        own = names_of([content_of(shape.name) for shape in self.shapes])
        return mixed(own[self.one], own[self.other], self.steps[:, 0], self.steps[:, 1])

    def _codes(self, what: Index, question: Index) -> Index:
        """Return what is asked about together with the steps of its question, as one whole number."""
        column, row = (self.steps[question] + MOST_STEPS).T
        codes: Index = (what * (2 * MOST_STEPS) + column) * (2 * MOST_STEPS) + row
        return codes

    def computed(self, pitch: float, clear: float) -> Flags:
        """Return the answers, from the bodies."""
        look()
        own, place = np.unique(np.concatenate([self.one, self.other]), return_inverse=True)
        bodies = joined([self.shapes[shape].bodies().owned(k) for k, shape in enumerate(own.tolist())])
        question, a, b = _all_bodies(bodies, place[: len(self.one)], place[len(self.one) :])
        offset = np.column_stack([pitch * self.steps, np.zeros(len(self.steps))])
        low, high = (bodies.boxes[b, side] + offset[question] for side in (0, 1))
        meet = ((bodies.boxes[a, 0] - clear < high) & (low < bodies.boxes[a, 1] + clear)).all(axis=1)
        question, a, b = question[meet], a[meet], b[meet]
        _, first, copy = np.unique(self._codes(b, question), return_index=True, return_inverse=True)
        placed = bodies.take(b[first]).shifted(offset[question[first]])
        hit = near(bodies, a, placed, copy, clear + EQUAL)
        found = np.zeros(len(self.one), dtype=bool)
        found[question[hit]] = True
        return found


def _all_bodies(bodies: Hulls, one: Index, other: Index) -> tuple[Index, Index, Index]:
    """Return every body of owner `one` with every body of owner `other`: the row of the two owners, and both bodies' rows."""
    count = np.bincount(bodies.owner, minlength=int(max(one.max(initial=-1), other.max(initial=-1))) + 1)
    start = np.cumsum(count) - count
    many = count[one] * count[other]
    row = np.repeat(np.arange(len(one)), many)
    place = np.arange(len(row)) - np.repeat(np.cumsum(many) - many, many)
    wide = count[other[row]]
    return row, start[one[row]] + place // wide, start[other[row]] + place % wide


def _bounds(bodies: Hulls, owners: int) -> Array:
    """Return the bounds of all bodies of each owner, (owners, 2, 3)."""
    low, high = np.full((owners, 3), np.inf), np.full((owners, 3), -np.inf)
    np.minimum.at(low, bodies.owner, bodies.boxes[:, 0])
    np.maximum.at(high, bodies.owner, bodies.boxes[:, 1])
    return np.stack([low, high], axis=1)


def _ranks(shapes: Sequence[Shape]) -> Index:
    """Return each shape's place among all names in order."""
    order = {name: place for place, name in enumerate(sorted({shape.name for shape in shapes}))}
    return np.array([order[shape.name] for shape in shapes], dtype=np.intp)


def _behind(rank: Index, holes: Index, i: Index, j: Index) -> Flags:
    """Return of which pairs the second comes first: by name, and if the two look the same by hole."""
    keys = np.column_stack([rank, holes])
    ahead = keys[i] - keys[j]
    behind: Flags = (ahead[:, 0] > 0) | ((ahead[:, 0] == 0) & ((ahead[:, 1] > 0) | ((ahead[:, 1] == 0) & (ahead[:, 2] > 0))))
    return behind
