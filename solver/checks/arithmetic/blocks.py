"""Placed prisms as the checker sees them: exact distances, overlaps and sweeps from edges, corners and local boxes.

A point's distance to a prism is exact in the prism's own frame, where the prism is a plane region times an interval; a prism with
cut ends is a shell. Two disjoint solids with plane faces are nearest at a corner of one, or between two edges; they overlap only
if an edge of one meets the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array, Prism
from solver.checks.arithmetic import plane
from solver.checks.arithmetic.shells import ON_PLANE, Facet, Plane, corners_of, edges_of, moments, shell
from solver.checks.arithmetic.vectors import following
from solver.checks.tolerances import FINE_RING, ROUND_TOUCH

FAR = float("inf")
ALONG = 0.999
"""Edges whose share along the prism is at least this run along it."""
Mask = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


@dataclass(frozen=True)
class Block:
    """A prism in the table frame: local rings, interval, pose and cutting planes, with its corners, edges and bounds."""

    rings: tuple[Array, ...]
    low: float
    high: float
    pose: Array
    planes: tuple[Plane, ...] = ()

    @staticmethod
    def of(prism: Prism, frame: Array | None = None) -> Block:
        """Return a prism placed by `frame` (4x4), or where it stands."""
        own = np.array(prism.frame, dtype=float)
        rings = tuple(np.array(ring, dtype=float) for ring in (prism.outline, *prism.cutouts))
        normals = [np.array(cut.normal, dtype=float) for cut in prism.cuts]
        planes = tuple((normal, float(normal @ np.array(cut.point))) for normal, cut in zip(normals, prism.cuts, strict=True))
        return Block(rings, prism.start, prism.end, own if frame is None else frame @ own, planes)

    @cached_property
    def rim(self) -> tuple[Array, Array]:
        """Start and end points of all ring edges in the local plane."""
        return plane.ring_edges(self.rings)

    @cached_property
    def shell(self) -> tuple[Facet, ...]:
        """Its facets in its own frame."""
        return shell(self.rings, self.low, self.high, self.planes)

    @cached_property
    def shell_edges(self) -> Array:
        """Every edge of its shell once, (m, 2, 3), in its own frame."""
        return edges_of(self.shell)

    @cached_property
    def corners(self) -> Array:
        """All corners: those of the low cap, then those of the high cap; of a cut block in no order."""
        if self.planes:
            return self._placed(corners_of(self.shell))
        starts = self.rim[0]
        base = starts @ self.pose[:3, :2].T + self.pose[:3, 3]
        axis = self.pose[:3, 2]
        return np.concatenate([base + self.low * axis, base + self.high * axis])

    @cached_property
    def edges(self) -> tuple[Array, Array]:
        """Start and end points of all edges."""
        if self.planes:
            return self._placed(self.shell_edges[:, 0]), self._placed(self.shell_edges[:, 1])
        half = len(self.corners) // 2
        low, high = self.corners[:half], self.corners[half:]
        follow = np.concatenate([following(np.arange(s, s + len(r))) for r, s in zip(self.rings, self._offsets, strict=True)])
        return np.concatenate([low, high, low]), np.concatenate([low[follow], high[follow], high])

    @cached_property
    def bounds(self) -> Array:
        """Lowest and highest corner of the box around the block, (2, 3)."""
        return np.stack([self.corners.min(axis=0), self.corners.max(axis=0)])

    @cached_property
    def local_bounds(self) -> Array:
        """The same in the block's own frame."""
        if self.planes:
            corners = corners_of(self.shell)
            return np.stack([corners.min(axis=0), corners.max(axis=0)])
        outline = self.rings[0]
        return np.array([[*outline.min(axis=0), self.low], [*outline.max(axis=0), self.high]])

    @cached_property
    def volume(self) -> float:
        """Volume, mm3."""
        if self.planes:
            return moments(self.shell)[0]
        return (abs(plane.area(self.rings[0])) - sum(abs(plane.area(r)) for r in self.rings[1:])) * (self.high - self.low)

    @cached_property
    def round_allowance(self) -> float:
        """0.3 % of the diameter of the largest ring that stands for a circle, mm; 0 if none does."""
        return max((ROUND_TOUCH * _diameter(ring) for ring in self.rings), default=0.0)

    @property
    def _offsets(self) -> list[int]:
        sizes = [len(ring) for ring in self.rings]
        return [sum(sizes[:k]) for k in range(len(sizes))]

    @cached_property
    def rims(self) -> tuple[Array, Array]:
        """Start and end points of the edges that do not run along the prism."""
        starts, ends = self.edges
        along = np.abs((ends - starts) @ self.pose[:3, 2])
        across = along < ALONG * np.linalg.norm(ends - starts, axis=1)
        return starts[across], ends[across]

    def _placed(self, points: Array) -> Array:
        return points @ self.pose[:3, :3].T + self.pose[:3, 3]

    def local(self, points: Array) -> Array:
        """Return points of the table frame in the block's own frame."""
        return (points - self.pose[:3, 3]) @ self.pose[:3, :3]

    def moved(self, by: Array) -> Block:
        """Return the block shifted by a vector."""
        pose = self.pose.copy()
        pose[:3, 3] += by
        return Block(self.rings, self.low, self.high, pose, self.planes)

    def shrunk(self, by: float) -> Block | None:
        """Return the block without its outermost `by` mm, or None if nothing is left."""
        if by not in self._cores:
            self._cores[by] = self._core(by)
        return self._cores[by]

    @cached_property
    def _cores(self) -> dict[float, Block | None]:
        return {}

    def _core(self, by: float) -> Block | None:
        outer = plane.inset(self.rings[0], by, outer=True)
        if self.high - self.low <= 2 * by or plane.area(outer) <= 0:
            return None
        inner = tuple(plane.inset(ring, by, outer=False) for ring in self.rings[1:])
        planes = tuple((normal, offset - by) for normal, offset in self.planes)
        core = Block((outer, *inner), self.low + by, self.high - by, self.pose, planes)
        return core if not planes or core.shell else None


def _diameter(ring: Array) -> float:
    if len(ring) < FINE_RING:
        return 0.0
    away = np.hypot(*(ring - ring.mean(axis=0)).T)
    return 2 * float(away.mean()) if np.ptp(away) < 0.01 * away.mean() else 0.0


def bounds_gap(a: Array, b: Array) -> float:
    """Return the distance between two boxes (2, 3), 0 if they overlap."""
    gap = np.maximum(0.0, np.maximum(b[0] - a[1], a[0] - b[1]))
    return float(np.sqrt(gap @ gap))


def point_distance(points: Array, block: Block) -> Array:
    """Return the exact distance of points (k, 3) to a block, 0 inside."""
    local = block.local(points)
    if block.planes:
        return _shell_distance(local, block)
    level = plane.region_distance(local[:, :2], *block.rim)
    axial = np.maximum(0.0, np.maximum(block.low - local[:, 2], local[:, 2] - block.high))
    found: Array = np.hypot(level, axial)
    return found


def _shell_distance(points: Array, block: Block) -> Array:
    """Return the distance of points (k, 3), in its own frame, to a cut block: to its nearest edge or the facet they look at."""
    within = plane.inside(points[:, :2], *block.rim) & (points[:, 2] >= block.low) & (points[:, 2] <= block.high)
    for normal, offset in block.planes:
        within &= points @ normal <= offset
    found = segment_distance(points, points, block.shell_edges[:, 0], block.shell_edges[:, 1]).min(axis=1)
    for facet in block.shell:
        away = points - facet.edges[0, 0]
        height = away @ facet.normal
        rows = np.flatnonzero((height > -ON_PLANE) & (height < found))
        rows = rows[plane.inside(away[rows] @ facet.basis.T, *facet.flat)] if len(rows) else rows
        found[rows] = np.maximum(0.0, height[rows])
    return np.where(within, 0.0, found)


def segments_meet(starts: Array, ends: Array, block: Block) -> Mask:
    """Return which segments (k, 3) have a point in common with a block."""
    a, b = block.local(starts), block.local(ends)
    rise = b[:, 2] - a[:, 2]
    flat = np.abs(rise) < 1e-12
    safe = np.where(flat, 1.0, rise)
    t0, t1 = (block.low - a[:, 2]) / safe, (block.high - a[:, 2]) / safe
    t0, t1 = np.minimum(t0, t1), np.maximum(t0, t1)
    within = (a[:, 2] >= block.low) & (a[:, 2] <= block.high)
    enter = np.where(flat, 0.0, np.clip(t0, 0.0, 1.0))
    leave = np.where(flat, 1.0, np.clip(t1, 0.0, 1.0))
    alive = np.where(flat, within, (t1 >= 0) & (t0 <= 1))
    for normal, offset in block.planes:
        enter, leave = _this_side(a @ normal - offset, b @ normal - offset, enter, leave)
        alive &= enter <= leave
    meets = np.zeros(len(a), dtype=bool)
    rows = np.flatnonzero(alive)
    if not len(rows):
        return meets
    step = b[rows, :2] - a[rows, :2]
    p, q = a[rows, :2] + enter[rows, None] * step, a[rows, :2] + leave[rows, None] * step
    meets[rows] = plane.inside(p, *block.rim) | plane.inside(q, *block.rim) | _cross(p, q, *block.rim).any(axis=1)
    return meets


def _this_side(start: Array, end: Array, enter: Array, leave: Array) -> tuple[Array, Array]:
    """Return between which shares of their way segments are not beyond a plane, given how far beyond it they start and end."""
    passes = (start > 0) != (end > 0)
    share = start / np.where(passes, start - end, 1.0)
    enter = np.where(passes & (start > 0), np.maximum(enter, share), enter)
    leave = np.where(passes & (end > 0), np.minimum(leave, share), leave)
    return enter, np.where(~passes & (start > 0), -1.0, leave)


def _cross(p: Array, q: Array, starts: Array, ends: Array) -> Mask:
    """Return which plane segments p-q (k) cross which edges (m) at an inner point of both."""
    d, e = q - p, ends - starts
    rx, ry = starts[:, 0] - p[:, :1], starts[:, 1] - p[:, 1:]
    side0 = d[:, :1] * ry - d[:, 1:] * rx
    side1 = side0 + d[:, :1] * e[:, 1] - d[:, 1:] * e[:, 0]
    end0 = e[:, 1] * rx - e[:, 0] * ry
    end1 = end0 + e[:, 0] * d[:, 1:] - e[:, 1] * d[:, :1]
    crossing: Mask = (side0 * side1 < 0) & (end0 * end1 < 0)
    return crossing


def segment_distance(a0: Array, a1: Array, b0: Array, b1: Array) -> Array:
    """Return the distances (k, n) between segments a (k) and segments b (n)."""
    centre = b0.mean(axis=0)
    p, q = a0 - centre, b0 - centre
    d, e = a1 - a0, b1 - b0
    aa, ee = np.maximum((d * d).sum(1), 1e-24)[:, None], np.maximum((e * e).sum(1), 1e-24)
    cross = d @ e.T
    c = (p * d).sum(1)[:, None] - d @ q.T
    f = p @ e.T - (q * e).sum(1)
    spread = aa * ee - cross * cross
    s = np.where(spread > 1e-9 * aa * ee, np.clip((cross * f - c * ee) / np.maximum(spread, 1e-24), 0.0, 1.0), 0.0)
    t = np.clip((cross * s + f) / ee, 0.0, 1.0)
    s = np.clip((cross * t - c) / aa, 0.0, 1.0)
    apart = (p * p).sum(1)[:, None] + (q * q).sum(1) - 2 * (p @ q.T)
    squared = apart + s * s * aa + t * t * ee + 2 * s * c - 2 * t * f - 2 * s * t * cross
    found: Array = np.sqrt(np.maximum(squared, 0.0))
    return found


def near(starts: Array, ends: Array, bounds: Array, cap: float) -> Mask:
    """Return which segments have a box within `cap` (by axis) of a box."""
    low, high = np.minimum(starts, ends), np.maximum(starts, ends)
    close: Mask = ((low <= bounds[1] + cap) & (high >= bounds[0] - cap)).all(axis=1)
    return close


def segments_to_block(starts: Array, ends: Array, block: Block, cap: float = FAR) -> Array:
    """Return the distance of each segment (k, 3) to a block, exact where it is below `cap`, 0 where they meet."""
    result = np.full(len(starts), FAR)
    rows = np.flatnonzero(near(starts, ends, block.bounds, cap)) if cap < FAR else np.arange(len(starts))
    if not len(rows):
        return result
    a, b = starts[rows], ends[rows]
    reach = np.stack([np.minimum(a, b).min(axis=0), np.maximum(a, b).max(axis=0)])
    e0, e1 = block.edges
    if cap < FAR:
        keep = near(e0, e1, reach, cap)
        e0, e1 = e0[keep], e1[keep]
    found = np.minimum(point_distance(a, block), point_distance(b, block))
    if len(e0):
        found = np.minimum(found, segment_distance(a, b, e0, e1).min(axis=1))
    result[rows] = np.where(segments_meet(a, b, block), 0.0, found)
    return result


def apart_in_boxes(a: Block, b: Block, cap: float) -> bool:
    """Return whether the box of `a` in b's own frame, or of `b` in a's, is at least `cap` away."""
    for one, other in ((a, b), (b, a)):
        local = one.local(other.corners)
        if bounds_gap(np.stack([local.min(axis=0), local.max(axis=0)]), one.local_bounds) > cap:
            return True
    return False


def distance(a: Block, b: Block, cap: float = FAR) -> float:
    """Return the distance between two blocks, 0 if they overlap; infinite if it is certainly above `cap`."""
    if cap < FAR and (bounds_gap(a.bounds, b.bounds) > cap or apart_in_boxes(a, b, cap)):
        return FAR
    best = min(
        float(segments_to_block(*a.edges, b, cap).min(initial=FAR)),
        float(_corner_distance(b, a, cap)),
    )
    return 0.0 if best > 0 and overlap(b, a) else best


def _corner_distance(a: Block, b: Block, cap: float) -> float:
    points = a.corners
    if cap < FAR:
        points = points[near(points, points, b.bounds, cap)]
    return float(point_distance(points, b).min()) if len(points) else FAR


def overlap(a: Block, b: Block) -> bool:
    """Return whether two blocks have a point in common (faces that only touch may count)."""
    if bounds_gap(a.bounds, b.bounds) > 0:
        return False
    for one, other in ((a, b), (b, a)):
        e0, e1 = one.edges
        keep = near(e0, e1, other.bounds, 0.0)
        if keep.any() and segments_meet(e0[keep], e1[keep], other).any():
            return True
    return False


def deeper(a: Block, b: Block, depth: float) -> bool:
    """Return whether `a` reaches more than `depth` mm into `b`."""
    core = b.shrunk(depth)
    return core is not None and overlap(a, core)
