"""Two parts that meet: which of their flat faces lie against each other, and which are flush."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.drafting.touching.drawn_parts import DrawnPart
from solver.geometry.tolerances import PARALLEL, TOUCH


@dataclass(frozen=True)
class Meeting:
    """Two parts, in the order of the weldment."""

    one: DrawnPart
    two: DrawnPart

    @cached_property
    def _pairs(self) -> tuple[Array, Array]:
        """The cosines between all faces of the one and the other, (n, m), and how far apart their planes are, mm."""
        (normals, heights), (other_normals, other_heights) = self.one.planes, self.two.planes
        cosines = normals @ other_normals.T
        return cosines, np.abs(heights[:, None] - np.sign(cosines) * other_heights)

    @cached_property
    def against(self) -> list[tuple[int, int]]:
        """The faces in one plane that look at each other, by number."""
        cosines, apart = self._pairs
        return [(int(i), int(j)) for i, j in zip(*np.nonzero((cosines < -1 + PARALLEL) & (apart <= TOUCH)), strict=True)]

    @cached_property
    def flush(self) -> list[tuple[int, int]]:
        """The faces in one plane that look the same way, by number."""
        cosines, apart = self._pairs
        return [(int(i), int(j)) for i, j in zip(*np.nonzero((cosines > 1 - PARALLEL) & (apart <= TOUCH)), strict=True)]

    def against_at(self, point: Array) -> Iterator[tuple[int, int]]:
        """Yield the faces against each other that both reach to a point (3,)."""
        return (pair for pair in self.against if self._both_hold(pair, point))

    def flush_at(self, point: Array) -> Iterator[tuple[int, int]]:
        """Yield the flush faces that both reach to a point (3,)."""
        return (pair for pair in self.flush if self._both_hold(pair, point))

    def _both_hold(self, pair: tuple[int, int], point: Array) -> bool:
        return all(
            abs(float(body.faces[number].normal @ point) - float(body.planes[1][number])) <= TOUCH
            and body.shape.bounds[number].holds(body.faces[number].flat(point))
            for body, number in zip((self.one, self.two), pair, strict=True)
        )

    def sheets(self, pair: tuple[int, int]) -> tuple[bool, bool]:
        """Return of two faces which are broad ones of sheet metal."""
        one, two = (body.faces[k].label in body.shape.broad for body, k in zip((self.one, self.two), pair, strict=True))
        return one, two

    @cached_property
    def both_sheet(self) -> bool:
        """Whether both parts are made of sheet metal."""
        return bool(self.one.shape.broad and self.two.shape.broad)

    def on_and_base(self, point: Array) -> tuple[DrawnPart, DrawnPart]:
        """Return which of the two lies on which, where they meet at a point (3,).

        Where faces lie against each other the one with the smaller face lies on the other, elsewhere the smaller part on the
        larger one; of equals the later on the earlier.
        """
        pair = next(self.against_at(point), None)
        if pair is not None:
            sizes = [
                body.shape.bounds[number].shape.convex_hull.area for body, number in zip((self.one, self.two), pair, strict=True)
            ]
        else:
            sizes = [float(np.prod(np.ptp(body.shape.corners, axis=0))) for body in (self.one, self.two)]
        return (self.one, self.two) if sizes[0] < 0.999 * sizes[1] else (self.two, self.one)

    def normal_at(self, point: Array) -> Array | None:
        """Return the normal of the faces that lie against each other at a point (3,), None if none do."""
        pair = next(self.against_at(point), None)
        return None if pair is None else self.two.faces[pair[1]].normal
