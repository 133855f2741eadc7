"""Two parts that meet: which of their flat faces lie against each other, and which are flush."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.drafting.touching.parts_in_place import PartInPlace
from solver.geometry.tolerances import PARALLEL


@dataclass(frozen=True)
class TouchingPair:
    """Two parts, in the order of the weldment."""

    one: PartInPlace
    two: PartInPlace

    def against_at(self, point: Array) -> list[tuple[int, int]]:
        """Return the faces, by number, that lie against each other and both reach to a point (3,)."""
        return [faces for faces, cosine in self._pairs_at(point) if cosine < -1 + PARALLEL]

    def flush_at(self, point: Array) -> list[tuple[int, int]]:
        """Return the faces, by number, that are flush and both reach to a point (3,)."""
        return [faces for faces, cosine in self._pairs_at(point) if cosine > 1 - PARALLEL]

    def _pairs_at(self, point: Array) -> list[tuple[tuple[int, int], float]]:
        pairs = [(i, j) for i in self.one.faces_at(point) for j in self.two.faces_at(point)]
        return [((i, j), float(self.one.faces[i].normal @ self.two.faces[j].normal)) for i, j in pairs]

    def sheets(self, faces: tuple[int, int]) -> tuple[bool, bool]:
        """Return of two faces which are broad ones of sheet metal."""
        one, two = (body.faces[k].label in body.shape.broad for body, k in zip((self.one, self.two), faces, strict=True))
        return one, two

    @cached_property
    def both_sheet(self) -> bool:
        """Whether both parts are made of sheet metal."""
        return bool(self.one.shape.broad and self.two.shape.broad)

    def on_and_base(self, point: Array) -> tuple[PartInPlace, PartInPlace]:
        """Return which of the two lies on which, where they meet at a point (3,).

        Where faces lie against each other the one with the smaller face lies on the other, elsewhere the smaller part on the
        larger one; of equals the later on the earlier.
        """
        faces = next(iter(self.against_at(point)), None)
        if faces is not None:
            sizes = [
                body.shape.bounds[number].shape.convex_hull.area for body, number in zip((self.one, self.two), faces, strict=True)
            ]
        else:
            sizes = [float(np.prod(np.ptp(body.shape.corners, axis=0))) for body in (self.one, self.two)]
        return (self.one, self.two) if sizes[0] < 0.999 * sizes[1] else (self.two, self.one)

    def normal_at(self, point: Array) -> Array | None:
        """Return the normal of the faces that lie against each other at a point (3,), None if none do."""
        faces = next(iter(self.against_at(point)), None)
        return None if faces is None else self.two.faces[faces[1]].normal
