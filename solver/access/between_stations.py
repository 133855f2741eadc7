"""What of several candidates at two equal stations comes too near each other, by where the one station sees the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from solver.access.conflicts import shapes_of
from solver.geometry.hulls import Hulls
from solver.geometry.offsets import OffsetTable, Shape
from solver.hardware.candidates import Candidate

Offset = tuple[int, int, int]
"""Where another station stands, seen from one: whether half a turn round (1), and so many columns and rows on."""


def opposite(offset: Offset) -> Offset:
    """Return where the other of two stations sees the first: half a turn round, the same; else the other way."""
    half, columns, rows = offset
    return offset if half else (0, -columns, -rows)


def half_turned(hulls: Hulls) -> Hulls:
    """Return bodies turned half a turn about the upright axis through the origin."""
    return Hulls(hulls.points * np.array([-1.0, -1.0, 1.0]), hulls.first, hulls.count, hulls.owner)


@dataclass(frozen=True)
class CandidateCopies:
    """Candidates and their copies at another station."""

    candidates: Sequence[Candidate]
    table: OffsetTable

    def too_near(self, offset: Offset) -> set[tuple[int, int]]:
        """Return pairs (i <= j) of candidates of which one would stand too near the other's copy, or share a hole with it."""
        own, copies = list(shapes_of(self.candidates)), list(shapes_of(self.candidates))
        half, columns, rows = offset
        if half:
            copies = [Shape(shape.name + b"half turned", partial(_turned, shape.bodies)) for shape in copies]
        holes = np.array([candidate.hole for candidate in self.candidates], dtype=np.intp).reshape(-1, 2)
        there = (-holes if half else holes) + np.array([columns, rows])
        numbers: dict[bytes, int] = {}
        shapes: list[Shape] = []
        which = []
        for shape in (*own, *copies):
            if shape.name not in numbers:
                numbers[shape.name] = len(shapes)
                shapes.append(shape)
            which.append(numbers[shape.name])
        i, j = self.table.too_near(shapes, np.array(which, dtype=np.intp), np.concatenate([holes, there]))
        count = len(self.candidates)
        across = (i < count) & (j >= count)
        found = set(zip(i[across].tolist(), (j[across] - count).tolist(), strict=True)) | self._sharing_holes(offset)
        return {(min(pair), max(pair)) for pair in found}

    def _sharing_holes(self, offset: Offset) -> set[tuple[int, int]]:
        half, columns, rows = offset
        sign = -1 if half else 1
        theirs: dict[tuple[int, int], list[int]] = {}
        for index, candidate in enumerate(self.candidates):
            for x, y in candidate.holes:
                theirs.setdefault((sign * x + columns, sign * y + rows), []).append(index)
        return {
            (index, other)
            for index, candidate in enumerate(self.candidates)
            for hole in candidate.holes
            for other in theirs.get(hole, ())
        }


def _turned(bodies: Callable[[], Hulls]) -> Hulls:
    return half_turned(bodies())
