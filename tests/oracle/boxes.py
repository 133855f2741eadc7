"""Arithmetic of boxes along the table's axes: rows (n, 6) of least x, y, z and greatest x, y, z, mm."""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array, Prism


def box_of(prism: Prism, frame: Array) -> Array:
    """Return the box (6,) around a prism as seen under a frame (4x4)."""
    ring = np.array(prism.outline)
    points = np.concatenate([np.column_stack([ring, np.full(len(ring), z)]) for z in (prism.start, prism.end)])
    whole = frame @ np.array(prism.frame)
    placed = points @ whole[:3, :3].T + whole[:3, 3]
    return np.concatenate([placed.min(axis=0), placed.max(axis=0)])


def gaps(a: Array, b: Array) -> Array:
    """Return the distances (n, m) between two rows of boxes, 0 where they meet."""
    apart = np.maximum(a[:, None, :3] - b[None, :, 3:], b[None, :, :3] - a[:, None, 3:])
    found: Array = np.linalg.norm(np.maximum(apart, 0.0), axis=2)
    return found


def depths(a: Array, b: Array) -> Array:
    """Return how deep boxes (n, m) stand in each other, mm; not above 0 where they only touch or are apart."""
    apart = np.maximum(a[:, None, :3] - b[None, :, 3:], b[None, :, :3] - a[:, None, 3:])
    found: Array = -apart.max(axis=2)
    return found


def around(boxes: Array) -> Array:
    """Return the box (6,) around boxes."""
    return np.concatenate([boxes[:, :3].min(axis=0), boxes[:, 3:].max(axis=0)])


def swept(boxes: Array, move: Array) -> Array:
    """Return what boxes pass through on a move along one axis."""
    return np.column_stack([boxes[:, :3] + np.minimum(move, 0.0), boxes[:, 3:] + np.maximum(move, 0.0)])


def shifted(boxes: Array, shift: Array) -> Array:
    """Return boxes (n, 6) shifted by (3,)."""
    found: Array = boxes + np.concatenate([shift, shift])
    return found
