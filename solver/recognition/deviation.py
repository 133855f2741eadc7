"""How far a recognised prism is from the solid it was read from: in volume, and between the two surfaces.

Distances are taken both ways. From the drawn solid: every corner, points on its edges (arcs at most 5 degrees apart) and, within
its flat faces, the middles between them; each to the nearest of the prism's surfaces, square to it. From the prism: points on its
outlines, at least 8 to a side and on round sides at most 7.5 degrees apart, at its start, its end and midway between; each to the
nearest drawn face, flat faces by their outlines, round ones by the angles and the stretch they cover, others by the points they
are given by. Of more than 1,500 points one way every second, third and so on is taken. What lies between points is not seen: a
dent narrower than an eighth of a side may be missed; the volume misses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inventory.cuts import Bounds, PlaneCut
from inventory.shapes import Array
from solver.geometry.cut_solids import moments
from solver.recognition.boundary import CylinderSurface, DrawnFace, PlaneSurface, SolidBoundary
from solver.sections import Section
from solver.weldment import Pose

STEPS = 8
"""Stretches a straight side is sampled in."""
SAMPLES = 24
"""Points of a face between which middles are taken."""
MOST = 1500
"""Points of one surface held against the other."""
NEAR = 1e-3
"""A point this near to a face, mm, need not be held against edges."""
EDGE = 1e-6
"""What rounding does at the edge of a round face, mm and rad."""


@dataclass(frozen=True, slots=True)
class PrismDeviation:
    """`volume_mm3`: the prism's volume less the drawn one's; `volume_share` of the drawn one; `largest_mm` between surfaces."""

    volume_mm3: float
    volume_share: float
    largest_mm: float


def measured(boundary: SolidBoundary, section: Section, length: float, pose: Pose, cuts: tuple[PlaneCut, ...]) -> PrismDeviation:
    """Return how far a prism is from a drawn solid; true arcs, where the section has any."""
    rings = [np.array(ring, dtype=float) for ring in section.true_rings]
    volume = moments(rings, 0.0, length, cuts).volume
    frame = pose.frame()
    drawn = (thinned(_drawn_points(boundary)) - frame[:3, 3]) @ frame[:3, :3]
    forth = _to_prism(drawn, section, rings, length, cuts).max()
    back = _to_faces(boundary, thinned(_prism_points(section, rings, length, cuts)) @ frame[:3, :3].T + frame[:3, 3]).max()
    off = volume - boundary.volume
    return PrismDeviation(off, off / boundary.volume, float(max(forth, back)))


def thinned(points: Array) -> Array:
    """Return points (n, 3), each once; of more than `MOST` every so many-th in the order of their places."""
    each: Array = np.unique(np.round(points, 6), axis=0)
    return each[:: 1 + (len(each) - 1) // MOST]


def _drawn_points(boundary: SolidBoundary) -> Array:
    found = [boundary.points]
    for face in boundary.faces:
        if isinstance(face.surface, PlaneSurface):
            points = face.points[:: max(1, len(face.points) // SAMPLES)][:SAMPLES]
            one, other = np.triu_indices(len(points), 1)
            middles = (points[one] + points[other]) / 2
            found.append(middles[_within(face, middles)])
    return np.concatenate(found)


def _to_prism(points: Array, section: Section, rings: list[Array], length: float, cuts: tuple[PlaneCut, ...]) -> Array:
    """Return the distances of points (n, 3), in the prism's frame, from its surface."""
    depth = _from_outline(points[:, :2], section, rings)
    depth = np.maximum(depth, np.maximum(-points[:, 2], points[:, 2] - length))
    for cut in cuts:
        depth = np.maximum(depth, points @ np.array(cut.normal) - cut.offset)
    distances: Array = np.abs(depth)
    return distances


def _from_outline(points: Array, section: Section, rings: list[Array]) -> Array:
    """Return how far outside a section points (n, 2) are, negative inside its metal."""
    if section.round:
        half = section.sizes["diameter"] / 2
        out: Array = np.hypot(*points.T) - half
        return np.maximum(out, -section.sizes["wall"] - out) if section.hollow else out
    box = section.box
    if box is not None:
        depth = _from_box(points, box, section.outside_radius)
        if section.hollow:
            wall = section.sizes["wall"]
            hollow = _from_box(points, (box[0] - 2 * wall, box[1] - 2 * wall), max(0.0, section.outside_radius - wall))
            depth = np.maximum(depth, -hollow)
        return depth
    distance = np.full(len(points), np.inf)
    inside = np.zeros(len(points), dtype=bool)
    for ring in rings:
        distance = np.minimum(distance, segment_distances(points, ring, np.roll(ring, -1, axis=0)))
        inside ^= crossings_odd(points, ring, np.roll(ring, -1, axis=0))
    outside: Array = np.where(inside, -distance, distance)
    return outside


def _from_box(points: Array, box: tuple[float, float], radius: float) -> Array:
    reach = np.abs(points) - (np.array(box) / 2 - radius)
    outside: Array = np.hypot(*np.maximum(reach, 0.0).T) + np.minimum(reach.max(axis=1), 0.0) - radius
    return outside


def segment_distances(points: Array, starts: Array, ends: Array) -> Array:
    """Return the distance of each point (n, d) from the nearest of some segments (m, d each)."""
    found = np.full(len(points), np.inf)
    for begin in range(0, len(starts), 64):
        a, b = starts[begin : begin + 64], ends[begin : begin + 64]
        along = b - a
        size = np.maximum((along * along).sum(axis=1), 1e-30)
        share = np.clip((points @ along.T - (a * along).sum(axis=1)) / size, 0.0, 1.0)
        squared = np.zeros_like(share)
        for axis in range(points.shape[1]):
            squared += (points[:, axis, None] - a[:, axis] - share * along[:, axis]) ** 2
        found = np.minimum(found, squared.min(axis=1))
    distances: Array = np.sqrt(found)
    return distances


def crossings_odd(points: Array, starts: Array, ends: Array) -> Array:
    """Return whether a ray from each point (n, 2) crosses an odd number of segments (m, 2 each)."""
    odd = np.zeros(len(points), dtype=bool)
    level = starts[:, 1] == ends[:, 1]
    starts, ends = starts[~level], ends[~level]
    x, y = points[:, :1], points[:, 1:]
    for begin in range(0, len(starts), 64):
        (ax, ay), (bx, by) = starts[begin : begin + 64].T, ends[begin : begin + 64].T
        crossed = ((ay > y) != (by > y)) & (x < ax + (y - ay) / (by - ay) * (bx - ax))
        odd ^= np.logical_xor.reduce(crossed, axis=1)
    return odd


def _prism_points(section: Section, rings: list[Array], length: float, cuts: tuple[PlaneCut, ...]) -> Array:
    """Return points on the surface of a prism, in its own frame: on its outlines, at its ends and midway."""
    flat = np.concatenate([_ring_points(ring) for ring in rings])
    bounds = Bounds.of(0.0, length, cuts)
    low = np.max([flat @ np.array(line[:2]) + line[2] for line in bounds.below], axis=0)
    high = np.min([flat @ np.array(line[:2]) + line[2] for line in bounds.above], axis=0)
    there = high > low
    for u, v, offset in bounds.walls:
        there &= flat @ np.array([u, v]) + offset <= 0
    flat, low, high = flat[there], low[there], high[there]
    return np.concatenate([np.column_stack([flat, w]) for w in (low, (low + high) / 2, high)])


def _ring_points(ring: Array) -> Array:
    """Return points on a ring: its straight sides in steps, of the many short ones of an arc each so many-th corner."""
    following = np.roll(ring, -1, axis=0)
    lengths = np.hypot(*(following - ring).T)
    short = lengths < lengths.sum() / 400
    kept = ~short | (np.arange(len(ring)) % STEPS == 0)
    found = [ring[kept]]
    for a, b in zip(ring[~short], following[~short], strict=True):
        found.append(a + np.linspace(0.0, 1.0, STEPS + 1)[:, None] * (b - a))
    return np.concatenate(found)


def _to_faces(boundary: SolidBoundary, points: Array) -> Array:
    """Return the distance of each point (n, 3) from the nearest drawn face; its edges are asked only where nothing is near."""
    found = np.full(len(points), np.inf)
    for face in boundary.faces:
        found = np.minimum(found, _off_surface(face, points, found))
    far = np.flatnonzero(found > NEAR)
    if len(far):
        runs = [edge.points for face in boundary.faces for edge in face.edges]
        starts, ends = np.concatenate([run[:-1] for run in runs]), np.concatenate([run[1:] for run in runs])
        found[far] = np.minimum(found[far], segment_distances(points[far], starts, ends))
    return found


def _off_surface(face: DrawnFace, points: Array, known: Array) -> Array:
    """Return the distance of each point (n, 3) from what a face lies on; infinite beside it, or if no less than is known."""
    surface = face.surface
    if isinstance(surface, PlaneSurface):
        away = np.abs((points - np.array(surface.point)) @ np.array(surface.normal))
        nearer = np.flatnonzero(away < known)
        nearer = nearer[_within(face, points[nearer])]
        found = np.full(len(points), np.inf)
        found[nearer] = away[nearer]
        return found
    if isinstance(surface, CylinderSurface):
        axis, reference = np.array(surface.axis), np.array(surface.reference)
        out = points - np.array(surface.point)
        along, reach = out @ axis, (face.points - np.array(surface.point)) @ axis
        x, y = out @ reference, out @ np.cross(axis, reference)
        turned = (np.arctan2(y, x) - surface.first + EDGE) % (2 * np.pi)
        over = (turned <= surface.last - surface.first + 2 * EDGE) & (along > reach.min() - EDGE) & (along < reach.max() + EDGE)
        return np.where(over, np.abs(np.hypot(x, y) - surface.radius), np.inf)
    nearest: Array = np.linalg.norm(points[:, None] - face.points[None], axis=2).min(axis=1)
    return nearest


def _within(face: DrawnFace, points: Array) -> Array:
    """Return whether points, seen square to a plane face, lie within its outlines."""
    assert isinstance(face.surface, PlaneSurface)
    normal = np.array(face.surface.normal)
    kept = [axis for axis in range(3) if axis != int(np.abs(normal).argmax())]
    # Dropping the chief axis of the normal keeps what is inside inside, but points must first be moved square onto the plane.
    onto = points - ((points - np.array(face.surface.point)) @ normal)[:, None] * normal
    # Edges that meet must do so in the same numbers, or a ray slips through between them.
    runs = [np.round(edge.points[:, kept], 6) for edge in face.edges]
    starts, ends = np.concatenate([run[:-1] for run in runs]), np.concatenate([run[1:] for run in runs])
    return crossings_odd(onto[:, kept], starts, ends)
