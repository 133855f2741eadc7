"""A stack as it stands, in space: small pictures that show which way round each piece goes, and on which hole.

Drawn from the front and above, a little from the left or right, whichever shows more of the faces that push, without
perspective (orthographic axonometry). Faces are drawn from the furthest to the nearest.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array, Point2, Prism
from inventory.tables import hole_label
from service.drawings.paper.marks import Box, Group, Mark, Picture, Stroke, arrow, name_of
from service.drawings.scene import DrawnPiece, Scene
from service.drawings.views.bodies import title_of

_TURN, _RISE = math.radians(28.0), math.radians(32.0)
_ROUND = 24
_EDGE = 1.0
_ARROW_MM = 28.0
_RIM = 0.75


@dataclass(frozen=True, slots=True)
class FlatFace:
    """A flat face of a body: its corners (N, 3), mm, its outward normal (3,), whether it is one of many round a curve."""

    corners: Array
    normal: Array
    smooth: bool = False


def stack_picture(scene: Scene, stack: Sequence[DrawnPiece], size_mm: Point2) -> Picture:
    """Return the pieces over one hole as they stand, on paper of so much room, wide and high, mm."""
    to_paper, towards = _axes(_turned_right(scene, stack))
    bodies = sorted(_facets(stack), key=lambda found: float(found[1].corners.mean(axis=0) @ towards))
    seen = [(piece, facet) for piece, facet in bodies if float(facet.normal @ towards) > 1e-9]
    flat = [
        Stroke((_flat(facet.corners, to_paper),), f"{'smooth' if facet.smooth else 'face'} {_style(piece, facet)}")
        for piece, facet in seen
    ]
    ground = list(_ground(scene, stack, to_paper))
    pushes = list(_pushes(scene, stack, to_paper))
    everything = [point for mark in (*(m for m, _ in ground), *flat) for line in mark.lines for point in line]
    everything += [point for tail, tip in pushes for point in (tail, tip)]
    whole = Box.around(everything)
    scale = min((size_mm[0] - 2 * _EDGE) / whole.width, (size_mm[1] - 2 * _EDGE) / whole.height)
    dx, dy = size_mm[0] / 2 - scale * whole.middle[0], size_mm[1] / 2 - scale * whole.middle[1]

    def placed(path: Stroke) -> Stroke:
        return Stroke(
            tuple(tuple((x * scale + dx, y * scale + dy) for x, y in line) for line in path.lines), path.style, path.closed
        )

    prefix = f"stack-{stack[0].number}"
    marks: list[Mark] = [Group((placed(path),), name_of(prefix, k), title) for k, (path, title) in enumerate(ground)]
    for k, ((piece, _), path) in enumerate(zip(seen, flat, strict=True)):
        marks.append(Group((placed(path),), name_of(prefix, "face", k), title_of(piece)))
    for tail, tip in pushes:
        (ax, ay), (bx, by) = ((x * scale + dx, y * scale + dy) for x, y in (tail, tip))
        marks += arrow((ax, ay), (bx, by), "push")
    return Picture(size_mm[0], size_mm[1], tuple(marks), f"pieces {'+'.join(str(piece.number) for piece in stack)} as they stand")


def _turned_right(scene: Scene, stack: Sequence[DrawnPiece]) -> bool:
    """Whether to look from the front right: pads that push to the right are seen from there."""
    ids = {piece.id for piece in stack}
    return sum(mark.push[0] for mark in scene.marks if mark.piece in ids) > 1e-9


def _axes(from_right: bool) -> tuple[Array, Array]:
    """Return the map from table to paper, (2, 3), x right and y down, and the direction towards the viewer, (3,)."""
    turn = _TURN if from_right else -_TURN
    right = np.array([math.cos(turn), math.sin(turn), 0.0])
    towards = np.array([math.sin(turn) * math.cos(_RISE), -math.cos(turn) * math.cos(_RISE), math.sin(_RISE)])
    up = np.cross(towards, right)
    return np.stack([right, -up]), towards


def _flat(corners: Array, to_paper: Array) -> tuple[Point2, ...]:
    return tuple((float(x), float(y)) for x, y in corners @ to_paper.T)


def _facets(stack: Iterable[DrawnPiece]) -> Iterator[tuple[DrawnPiece, FlatFace]]:
    for piece in stack:
        for solid in piece.solids:
            yield from ((piece, facet) for facet in facets(solid))


def facets(solid: Prism) -> Iterator[FlatFace]:
    """Yield the faces of a prism; of one with cuts, those of the convex pieces it is made of; cut-outs are not shown."""
    if solid.cuts:
        from solver.geometry.solids import pieces_of

        for corners in pieces_of(solid):
            yield from _hull_facets(corners)
        return
    frame = np.array(solid.frame, dtype=float)
    ring = np.array(_thinned(solid.outline), dtype=float)
    if _area(ring) < 0:
        ring = ring[::-1]
    ends = [
        (np.column_stack([ring, np.full(len(ring), w), np.ones(len(ring))]) @ frame.T)[:, :3] for w in (solid.start, solid.end)
    ]
    axis = frame[:3, 2]
    yield FlatFace(ends[1], axis)
    yield FlatFace(ends[0][::-1], -axis)
    for k in range(len(ring)):
        j = (k + 1) % len(ring)
        du, dv = ring[j] - ring[k]
        normal = (frame[:3, 0] * dv - frame[:3, 1] * du) / math.hypot(du, dv)
        yield FlatFace(np.array([ends[0][k], ends[0][j], ends[1][j], ends[1][k]]), normal, len(ring) >= _ROUND)


def _thinned(ring: Sequence[Point2]) -> Sequence[Point2]:
    """Return a ring of many corners, such as a circle, with fewer: at this size nobody sees the difference."""
    return ring if len(ring) <= 2 * _ROUND else ring[:: len(ring) // _ROUND]


def _area(ring: Array) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())


def _hull_facets(corners: Array) -> Iterator[FlatFace]:
    """Yield the faces of a convex body given by its corners, triangles all."""
    from scipy.spatial import ConvexHull

    body = ConvexHull(corners)
    for triangle, plane in zip(body.simplices, body.equations, strict=True):
        yield FlatFace(corners[triangle], plane[:3])


def _style(piece: DrawnPiece, facet: FlatFace) -> str:
    """Return a face's style by what the piece is for and where the light falls: from above, a little from the left."""
    light = 0.85 * facet.normal[2] - 0.45 * facet.normal[0] + 0.25 * -facet.normal[1]
    shade = "lit" if light > 0.55 else "dim" if light > 0.0 else "dark"
    return f"{piece.purpose}-{shade}"


def _ground(scene: Scene, stack: Sequence[DrawnPiece], to_paper: Array) -> Iterator[tuple[Stroke, str]]:
    """Yield the table below the stack with its holes."""
    table = scene.table
    boxes = [Box(*shape.box) for piece in stack for shape in piece.shapes]
    rim = Box.around([corner for box in boxes for corner in ((box.left, box.top), (box.right, box.bottom))])
    rim = rim.grown(_RIM * table.pitch)
    low, high = (max(0.0, rim.left), max(0.0, rim.top)), (min(table.size[0], rim.right), min(table.size[1], rim.bottom))
    corners = np.array([(low[0], low[1], 0.0), (high[0], low[1], 0.0), (high[0], high[1], 0.0), (low[0], high[1], 0.0)])
    yield Stroke((_flat(corners, to_paper),), "ground"), f"table {table.id}"
    circle = np.linspace(0.0, 2 * math.pi, _ROUND, endpoint=False)
    radius = table.hole_diameter / 2
    for column in range(table.columns):
        for row in range(table.rows):
            x, y = table.first[0] + table.pitch * column, table.first[1] + table.pitch * row
            if low[0] + radius < x < high[0] - radius and low[1] + radius < y < high[1] - radius:
                ring = np.column_stack([x + radius * np.cos(circle), y + radius * np.sin(circle), np.zeros(_ROUND)])
                yield Stroke((_flat(ring, to_paper),), "hole"), f"hole {hole_label((column, row))}"


def _pushes(scene: Scene, stack: Sequence[DrawnPiece], to_paper: Array) -> Iterator[tuple[Point2, Point2]]:
    """Yield an arrow at every contact, from the pad the way it pushes."""
    ids = {piece.id for piece in stack}
    for mark in scene.marks:
        if mark.piece in ids:
            tail = np.array(mark.point)
            tail_at, tip_at = _flat(np.array([tail, tail + _ARROW_MM * np.array(mark.push)]), to_paper)
            yield tail_at, tip_at
