"""How far points are from a solid prism."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon

from inventory.shapes import Array, Point2, Prism


def distances_to(prism: Prism, points: Array) -> Array:
    """Return how far points (n, 3) in the parent's frame are from a solid prism, mm; 0 inside it. Exact."""
    frame = np.array(prism.frame)
    local = (points - frame[:3, 3]) @ frame[:3, :3]
    level = shapely.distance(_section(prism.outline, prism.cutouts), shapely.points(local[:, :2]))
    upright = np.maximum(0.0, np.maximum(prism.start - local[:, 2], local[:, 2] - prism.end))
    away: Array = np.hypot(level, upright)
    return away


@lru_cache(maxsize=512)
def _section(outline: tuple[Point2, ...], cutouts: tuple[tuple[Point2, ...], ...]) -> Polygon:
    polygon = Polygon(outline, cutouts)
    shapely.prepare(polygon)
    return polygon
