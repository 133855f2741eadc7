"""Whether a part's side points stand wide apart and on a long face: one group of equal normal must keep both."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from solver.checks.arithmetic.vectors import cross
from solver.checks.report import at_least
from solver.checks.scene.faces import Face, faces
from solver.checks.scene.rows import Row, rows_of
from solver.checks.scene.scene import UP, Scene, SetPart
from solver.checks.tolerances import LEVEL, OUTERMOST, SAME_SIDE, SQUARE, TOUCH
from solver.plans import Finding

SLACK = 1e-3


@dataclass(frozen=True)
class Side:
    """A group of side contacts of equal normal: its span and the longest face under its outermost points, and what is asked, mm.

    The face is endless where nothing is asked of it: a point in a hole or given by a V-block, a round part.
    """

    span: float
    spacing: float
    face: float
    length: float

    @property
    def order(self) -> tuple[bool, float, float]:
        """The greatest is the best side: one that keeps both, then the one that spans its share best."""
        kept = self.span >= self.spacing - SLACK and self.face >= self.length - SLACK
        return kept, self.span - self.spacing, self.face - self.length


def check_side_points(scene: Scene) -> Iterator[Finding]:
    """Yield the span of each part's side contacts, edge to edge, and the length of the face they stand on."""
    for part in scene.parts.values():
        sides = sides_of(scene, part)
        if not sides:
            continue
        best = max(sides, key=lambda side: side.order)
        yield at_least(
            "locate.side_spacing_ratio", part.id, best.span, best.spacing, "mm", "outermost side contact points", SLACK
        )
        if math.isfinite(best.face):
            yield at_least("locate.side_face_ratio", part.id, best.face, best.length, "mm", slack=SLACK)


def sides_of(scene: Scene, part: SetPart) -> list[Side]:
    """Return the groups of side contacts of a part, none of an upright round one."""
    if part.part.section.round and abs(part.pose[:3, 2] @ UP) > 1 - 1e-6:
        return []
    rows = [row for row in rows_of(scene, part.id) if "side" in row.roles or (row.kind == "part" and not row.supports)]
    return list(_sides(scene, part, rows))


def _sides(scene: Scene, part: SetPart, rows: Sequence[Row]) -> Iterator[Side]:
    outer = [] if part.part.section.round else _upright_outer(part)
    longest = max((_length(part, [other for other in outer if _one_plane(one, other)]) for one in outer), default=0.0)
    for row in rows:
        along = cross(UP, row.normal)
        if np.linalg.norm(along) < 1e-6:
            continue
        along = along / np.linalg.norm(along)
        group = [other for other in rows if float(other.normal @ row.normal) > SAME_SIDE]
        reach, places = part.block.corners @ along, [other.patch @ along for other in group]
        low, high = min(float(place.min()) for place in places), max(float(place.max()) for place in places)
        spacing = min(scene.rules["locate.side_spacing_ratio"] * float(np.ptp(reach)), scene.rules["locate.side_spacing_max"])
        ends = [
            other
            for other, place in zip(group, places, strict=True)
            if place.min() <= low + OUTERMOST or place.max() >= high - OUTERMOST
        ]
        face = max(_stands_on(part, other, outer) for other in ends) if outer else math.inf
        yield Side(high - low, spacing, face, scene.rules["locate.side_face_ratio"] * longest)


def _upright_outer(part: SetPart) -> list[Face]:
    """Return the flat upright faces of a part that are not those of a cut-out."""
    return [
        found
        for found in faces(part)
        if isinstance(found, Face) and abs(float(found.normal @ UP)) < LEVEL and not found.label.startswith("cutout:")
    ]


def _stands_on(part: SetPart, row: Row, outer: Sequence[Face]) -> float:
    """Return how long the face is on which a contact stands, mm; endless in a hole and on a V-block's flank."""
    if abs(float(row.normal @ UP)) >= LEVEL:
        return math.inf
    own = [found for found in outer if found.excess(row.patch, row.normal) <= 2 * TOUCH]
    return max((_length(part, [other for other in outer if _one_plane(one, other)]) for one in own), default=math.inf)


def _one_plane(one: Face, other: Face) -> bool:
    """Return whether two faces look the same way in one plane."""
    return float(one.normal @ other.normal) > SQUARE and abs(float((other.origin - one.origin) @ one.normal)) <= TOUCH


def _length(part: SetPart, pieces: Sequence[Face]) -> float:
    """Return the level length of the pieces of one plane, from outermost end to outermost end, tubes' corners sharp, mm."""
    along = cross(UP, pieces[0].normal)
    reach = []
    for piece in pieces:
        corner = part.part.section.outside_radius if piece.label.startswith("side:") else 0.0
        ring = np.concatenate([piece.rings[0] - [corner, 0.0], piece.rings[0] + [corner, 0.0]])
        reach.append((piece.origin + ring @ piece.basis) @ along)
    return float(np.ptp(np.concatenate(reach)))
