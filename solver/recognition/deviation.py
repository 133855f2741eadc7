"""How far a recognised prism is from the solid it was read from: in volume, and between the two surfaces.

Distances are taken both ways. From the drawn solid: every corner, points on its edges (arcs at most 5 degrees apart) and, within
its flat faces, the middles between them; each to the nearest of the prism's surfaces, square to it. From the prism: points on its
outlines, at least 8 to a side and on round sides at most 7.5 degrees apart, at its start, its end and midway between; each to the
nearest drawn face, flat faces by their outlines, round ones by the angles and the stretch they cover, others by the points they
are given by. What lies between those points is not seen: a dent narrower than an eighth of a side may be missed; the volume
misses nothing.
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
    drawn = (_drawn_points(boundary) - frame[:3, 3]) @ frame[:3, :3]
    forth = _to_prism(drawn, section, rings, length, cuts).max()
    back = _to_faces(boundary, _prism_points(section, rings, length, cuts) @ frame[:3, :3].T + frame[:3, 3]).max()
    off = volume - boundary.volume
    return PrismDeviation(off, off / boundary.volume, float(max(forth, back)))


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
    for begin in range(0, len(starts), 256):
        a, b = starts[begin : begin + 256], ends[begin : begin + 256]
        along = b - a
        size = np.maximum((along * along).sum(axis=1), 1e-30)
        share = np.clip(((points[:, None, :] - a) * along).sum(axis=2) / size, 0.0, 1.0)
        nearest = a + share[:, :, None] * along
        found = np.minimum(found, np.sqrt(((points[:, None, :] - nearest) ** 2).sum(axis=2)).min(axis=1))
    return found


def crossings_odd(points: Array, starts: Array, ends: Array) -> Array:
    """Return whether a ray from each point (n, 2) crosses an odd number of segments (m, 2 each)."""
    odd = np.zeros(len(points), dtype=bool)
    for (ax, ay), (bx, by) in zip(starts, ends, strict=True):
        if ay != by:
            odd ^= ((ay > points[:, 1]) != (by > points[:, 1])) & (
                points[:, 0] < ax + (points[:, 1] - ay) / (by - ay) * (bx - ax)
            )
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
    found = np.full(len(points), np.inf)
    for face in boundary.faces:
        found = np.minimum(found, _to_face(face, points))
    return found


def _to_face(face: DrawnFace, points: Array) -> Array:
    """Return the distance of each point (n, 3) from a drawn face."""
    runs = [edge.points for edge in face.edges]
    starts, ends = np.concatenate([run[:-1] for run in runs]), np.concatenate([run[1:] for run in runs])
    distance = segment_distances(points, starts, ends)
    surface = face.surface
    if isinstance(surface, PlaneSurface):
        away = np.abs((points - np.array(surface.point)) @ np.array(surface.normal))
        return np.where(_within(face, points), np.minimum(distance, away), distance)
    if isinstance(surface, CylinderSurface):
        axis, reference = np.array(surface.axis), np.array(surface.reference)
        out = points - np.array(surface.point)
        along, reach = out @ axis, (face.points - np.array(surface.point)) @ axis
        x, y = out @ reference, out @ np.cross(axis, reference)
        turned = (np.arctan2(y, x) - surface.first) % (2 * np.pi)
        over = (turned <= surface.last - surface.first + 1e-9) & (along >= reach.min()) & (along <= reach.max())
        return np.where(over, np.minimum(distance, np.abs(np.hypot(x, y) - surface.radius)), distance)
    nearest: Array = np.linalg.norm(points[:, None] - face.points[None], axis=2).min(axis=1)
    return np.minimum(distance, nearest)


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
