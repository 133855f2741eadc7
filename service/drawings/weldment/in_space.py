"""A weldment in space, without perspective, from the front, the right and above: whole bodies, the farther ones first.

Of two bodies that a plane parts the one on the viewer's side of it is drawn later. Where no face's plane parts two, as of one
in a hollow of the other, the one whose middle is farther comes first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

import numpy as np

from inventory.shapes import Array, Point2, Prism
from service.drawings.paper.labels import Label, placed_labels
from service.drawings.paper.lettering import SMALL, fitted, width_mm
from service.drawings.paper.marks import Box, Group, Mark, Picture, Stroke, TextLine, line, name_of, rectangle
from service.drawings.projection import hull
from service.drawings.views.stack_picture import facets
from service.drawings.weldment.shown_weldment import ShownBox, ShownWeldment

_TURN, _RISE = math.radians(28.0), math.radians(28.0)
_MARGIN, _NAME_MM = 2.0, 34.0
_APART_MM = 0.1
_CROWD, _NEAR_MM = 40, 12.0
"""Of more names than that only those are written that stand so near what they name."""
_MANY = 12
"""So many faces and more go round a curve."""
_EDGES = tuple((a, b) for a in range(8) for b in range(a + 1, 8) if bin(a ^ b).count("1") == 1)


@dataclass(frozen=True, slots=True)
class _SpaceBody:
    """A body with its faces: corners (N, 3), outward normals, whether they are one of many round a curve."""

    number: int
    id: str
    faces: tuple[tuple[Array, Array, bool], ...]
    openings: tuple[tuple[Array, Array], ...]

    @property
    def corners(self) -> Array:
        return np.concatenate([face for face, _, _ in self.faces])


def weldment_in_space(shown: ShownWeldment, room_mm: Point2) -> Picture:
    """Return a weldment in space on paper of so much room, wide and high, mm."""
    to_paper, towards = _axes()
    bodies = [_body(number, part.id, part.drawn) for number, part in shown.parts]
    corners = [body.corners @ to_paper.T for body in bodies] + [_corners(box) @ to_paper.T for box in shown.boxes]
    if not corners:
        return Picture(*room_mm, (rectangle(Box(0, 0, *room_mm), "floor"),), "nothing is drawn yet")
    around = Box.around([(float(x), float(y)) for each in corners for x, y in each])
    free = room_mm[0] - 2 * _MARGIN, room_mm[1] - 2 * _MARGIN
    scale = min(free[0] / max(around.width, 1e-6), free[1] / max(around.height, 1e-6))
    middle = around.middle

    def flat(points: Array) -> tuple[Point2, ...]:
        seen = points @ to_paper.T
        return tuple(
            (room_mm[0] / 2 + scale * float(x - middle[0]), room_mm[1] / 2 + scale * float(y - middle[1])) for x, y in seen
        )

    marks: list[Mark] = [rectangle(Box(0.0, 0.0, *room_mm), "floor")]
    labels, texts = [], {}
    for body in _from_far_to_near(bodies, towards):
        faces = sorted(body.faces, key=lambda face: float(face[0].mean(axis=0) @ towards))
        strokes = [
            Stroke((flat(face),), f"{'smooth' if smooth else 'face'} part-{_shade(normal)}")
            for face, normal, smooth in faces
            if float(normal @ towards) > 1e-9
        ]
        strokes += [Stroke((flat(ring),), "face part-dark") for ring, normal in body.openings if float(normal @ towards) > 1e-9]
        marks.append(Group(tuple(strokes), name_of("space", body.number), f"part {body.id}", about=f"part:{body.number}"))
        texts[f"part-{body.number}"] = fitted(body.id, SMALL, _NAME_MM)
        labels.append((f"part-{body.number}", Box.around([point for stroke in strokes for point in stroke.lines[0]]).middle))
    for number, box in enumerate(shown.boxes):
        ring = flat(_corners(box))
        edges = tuple(line(ring[a], ring[b], style="hidden at-fault") for a, b in _EDGES)
        marks.append(Group((Stroke((hull(ring),), "ghost at-fault"), *edges), name_of("space-box", number), box.words))
        texts[f"box-{number}"] = fitted(box.words, SMALL, _NAME_MM)
        labels.append((f"box-{number}", Box.around(ring).middle))
    return Picture(*room_mm, (*marks, *_names(labels, texts, Box(0.0, 0.0, *room_mm))), f"{shown.name or 'weldment'} in space")


def _axes() -> tuple[Array, Array]:
    """Return the map to paper, (2, 3), x right and y down, and the direction towards the viewer, (3,)."""
    right = np.array([math.cos(_TURN), math.sin(_TURN), 0.0])
    towards = np.array([math.sin(_TURN) * math.cos(_RISE), -math.cos(_TURN) * math.cos(_RISE), math.sin(_RISE)])
    return np.stack([right, -np.cross(towards, right)]), towards


def _body(number: int, id: str, solid: Prism) -> _SpaceBody:
    openings = []
    if solid.cuts:
        faces = tuple(_faces_left(solid))
    else:
        faces = tuple((face.corners, face.normal, face.smooth) for face in facets(solid))
        frame = np.array(solid.frame, dtype=float)
        for ring in solid.cutouts:
            for w, side in ((solid.start, -1.0), (solid.end, 1.0)):
                points = np.array([(u, v, w, 1.0) for u, v in ring]) @ frame.T
                openings.append((points[:, :3], side * frame[:3, 2]))
    return _SpaceBody(number, id, faces, tuple(openings))


def _faces_left(solid: Prism) -> Iterator[tuple[Array, Array, bool]]:
    """Yield the outer faces of what cuts leave of a solid: of the whole if it is convex, else of its convex pieces."""
    from scipy.spatial import ConvexHull

    from solver.geometry.solids import pieces_of

    pieces = pieces_of(solid)
    outline = np.array(solid.outline)
    x, y = outline.T
    convex = 0.5 * abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) > 0.999 * ConvexHull(outline).volume
    for points in [np.concatenate(pieces)] if convex else pieces:
        body = ConvexHull(points)
        planes: dict[tuple[float, ...], set[int]] = {}
        for triangle, plane in zip(body.simplices, body.equations, strict=True):
            planes.setdefault(tuple(np.round(plane[:3], 3)), set()).update(map(int, triangle))
        for normal, corners in planes.items():
            across = np.linalg.svd(np.array([normal]))[2][1:]
            at = points[sorted(corners)]
            yield at[ConvexHull(at @ across.T).vertices], np.array(normal), len(planes) >= _MANY


def _corners(box: ShownBox) -> Array:
    return np.array([[(box.low, box.high)[k >> axis & 1][axis] for axis in range(3)] for k in range(8)])


def _shade(normal: Array) -> str:
    light = 0.85 * normal[2] - 0.45 * normal[0] + 0.25 * -normal[1]
    return "lit" if light > 0.55 else "dim" if light > 0.0 else "dark"


def _from_far_to_near(bodies: Sequence[_SpaceBody], towards: Array) -> list[_SpaceBody]:
    """Return bodies in the order in which they are drawn."""
    ordered = sorted(bodies, key=lambda body: float(body.corners.mean(axis=0) @ towards))
    behind: dict[int, set[int]] = {place: set() for place in range(len(ordered))}
    spans = [(body, body.corners, np.unique(np.round([n for _, n, _ in body.faces], 6), axis=0)) for body in ordered]
    for later, (_, near, near_normals) in enumerate(spans):
        for earlier, (_, far, far_normals) in enumerate(spans[:later]):
            order = _order(far, near, np.concatenate([far_normals, -near_normals]), towards)
            if order > 0:
                behind[later].add(earlier)
            elif order < 0:
                behind[earlier].add(later)
    try:
        return [ordered[place] for place in TopologicalSorter(behind).static_order()]
    except CycleError:  # bodies that pass over each other in a ring
        return ordered


def _order(one: Array, other: Array, normals: Array, towards: Array) -> int:
    """Return 1 if the other body lies before the first, -1 if behind it, 0 if either may be drawn first."""
    gaps = (other @ normals.T).min(axis=0) - (one @ normals.T).max(axis=0)
    parting = normals[gaps > -_APART_MM] @ towards
    if not len(parting):
        return 1 if float((other.mean(axis=0) - one.mean(axis=0)) @ towards) > 0 else -1
    if (parting > 1e-6).any() and (parting < -1e-6).any():
        return 0
    return 1 if (parting > 1e-6).any() else -1 if (parting < -1e-6).any() else 0


def _names(feet: Sequence[tuple[str, Point2]], texts: dict[str, str], room: Box) -> Iterator[Mark]:
    labels = [Label(key, width_mm(texts[key], SMALL) + 0.8, SMALL * 1.1, foot, (foot,)) for key, foot in feet]
    for placed in placed_labels(labels, room.grown(-0.3)):
        if placed is None or (len(labels) > _CROWD and placed.away > _NEAR_MM):
            continue
        box, key = placed.box, placed.label.key
        marks: list[Mark] = [] if placed.leader is None else [line(*placed.leader, style="leader")]
        style = "weld-words" if key.startswith("box") else "words"
        marks += [rectangle(box, "halo"), TextLine(texts[key], (box.left + 0.4, box.bottom - 0.26 * SMALL), style, SMALL)]
        yield Group(tuple(marks), name_of("space-name", key))
