"""Straight moves of blocks past blocks: the least gap on the way, and whether one runs into the other."""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import blocks
from solver.checks.arithmetic.blocks import FAR, Block
from solver.checks.arithmetic.vectors import cross


def swept_bounds(block: Block, move: Array) -> Array:
    """Return the box around everything `block` passes through on `move`."""
    low, high = block.bounds
    return np.stack([np.minimum(low, low + move), np.maximum(high, high + move)])


def sweep_distance(a: Block, move: Array, b: Block, cap: float) -> float:
    """Return the least distance between `b` and `a` moving straight by `move`; infinite if certainly above `cap`.

    Nearest features of a translation: a moving corner and the standing solid, a standing corner and the moving solid, two
    edges at either end of the move, or two edges that meet on the way.
    """
    if blocks.bounds_gap(swept_bounds(a, move), b.bounds) > cap or apart_along(a, move, b, cap):
        return FAR
    gap = min(
        float(blocks.segments_to_block(a.corners, a.corners + move, b, cap).min()),
        float(blocks.segments_to_block(b.corners, b.corners - move, a, cap).min()),
    )
    if gap == 0.0 or sweep_meets(a, move, b):
        return 0.0
    return min(gap, _edge_gap(a, b, cap), _edge_gap(a.moved(move), b, cap))


def _edge_gap(a: Block, b: Block, cap: float) -> float:
    a0, a1 = a.edges
    b0, b1 = b.edges
    keep_a, keep_b = blocks.near(a0, a1, b.bounds, cap), blocks.near(b0, b1, a.bounds, cap)
    if not keep_a.any() or not keep_b.any():
        return FAR
    return float(blocks.segment_distance(a0[keep_a], a1[keep_a], b0[keep_b], b1[keep_b]).min())


def apart_along(a: Block, move: Array, b: Block, cap: float) -> bool:
    """Return whether the moving block's box in b's own frame stays more than `cap` away, or the other way about."""
    for one, other, shift in ((b, a, move), (a, b, -move)):
        local = one.local(other.corners)
        step = shift @ one.pose[:3, :3]
        low, high = local.min(axis=0), local.max(axis=0)
        box = np.stack([np.minimum(low, low + step), np.maximum(high, high + step)])
        if blocks.bounds_gap(box, one.local_bounds) > cap:
            return True
    return False


def sweep_meets(a: Block, move: Array, b: Block) -> bool:
    """Return whether `a`, moving straight by `move`, has a point in common with `b` at any time."""
    if blocks.bounds_gap(swept_bounds(a, move), b.bounds) > 0:
        return False
    corners = a.corners
    keep = blocks.near(corners, corners + move, b.bounds, 0.0)
    if keep.any() and blocks.segments_meet(corners[keep], corners[keep] + move, b).any():
        return True
    corners = b.corners
    keep = blocks.near(corners, corners - move, a.bounds, 0.0)
    if keep.any() and blocks.segments_meet(corners[keep], corners[keep] - move, a).any():
        return True
    return _edges_meet(a, move, b) or blocks.overlap(a, b) or blocks.overlap(a.moved(move), b)


def _edges_meet(a: Block, move: Array, b: Block) -> bool:
    """Return whether an edge of `a` on its way meets an edge of `b` at an inner point of both."""
    a0, a1 = a.edges
    b0, b1 = b.edges
    swept = swept_bounds(a, move)
    low, high = np.minimum(a0, a1), np.maximum(a0, a1)
    low, high = np.minimum(low, low + move), np.maximum(high, high + move)
    keep = ((low <= b.bounds[1]) & (high >= b.bounds[0])).all(axis=1)
    b_keep = blocks.near(b0, b1, swept, 0.0)
    a0, a1, b0, b1 = a0[keep], a1[keep], b0[b_keep], b1[b_keep]
    length2 = float(move @ move)
    if not len(a0) or not len(b0) or length2 == 0:
        return False
    e, f = a1 - a0, b1 - b0
    a0, b0 = a0 - b.bounds[0], b0 - b.bounds[0]
    plane_f, plane_e = cross(move, f), cross(e, move)
    det = e @ plane_f.T
    parallel = np.abs(det) < 1e-9
    safe = np.where(parallel, 1.0, det)
    s = ((b0 * plane_f).sum(1) - a0 @ plane_f.T) / safe
    r = ((plane_e * a0).sum(1)[:, None] - plane_e @ b0.T) / safe
    t = (b0 @ move + r * (f @ move) - (a0 @ move)[:, None] - s * (e @ move)[:, None]) / length2
    return bool((~parallel & (s >= 0) & (s <= 1) & (r >= 0) & (r <= 1) & (t >= 0) & (t <= 1)).any())
