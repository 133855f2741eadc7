"""A weld's path by arc length: points, tangents, nearest places."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array


@dataclass(frozen=True)
class Path:
    """A polyline (k, 3), mm."""

    points: Array

    @cached_property
    def stations(self) -> Array:
        """Arc length at each vertex, mm."""
        return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(self.points, axis=0), axis=1))])

    @property
    def length(self) -> float:
        """Whole length, mm."""
        return float(self.stations[-1])

    @property
    def closed(self) -> bool:
        """Whether it ends where it starts."""
        return len(self.points) > 2 and bool(np.allclose(self.points[0], self.points[-1], atol=1e-6))

    def at(self, s: float) -> Array:
        """Return the point at arc length s."""
        k = int(np.clip(np.searchsorted(self.stations, s, side="right") - 1, 0, len(self.points) - 2))
        size = self.stations[k + 1] - self.stations[k]
        share = (s - self.stations[k]) / size if size > 0 else 0.0
        point: Array = self.points[k] + share * (self.points[k + 1] - self.points[k])
        return point

    def segments(self, s: float) -> list[int]:
        """Return the segments at arc length s: one inside a segment, both at a vertex."""
        sizes = np.diff(self.stations)
        touching = (self.stations[:-1] <= s + 1e-3) & (self.stations[1:] >= s - 1e-3) & (sizes > 1e-9)
        if self.closed and (s < 1e-3 or s > self.length - 1e-3):
            touching[[0, -1]] = True
        return [int(k) for k in np.flatnonzero(touching)]

    def tangent(self, segment: int) -> Array:
        """Return the unit tangent of a segment."""
        step = self.points[segment + 1] - self.points[segment]
        unit: Array = step / np.linalg.norm(step)
        return unit

    def nearest(self, point: Array) -> list[tuple[float, float]]:
        """Return (arc length, distance) of the nearest place on each segment."""
        start, step = self.points[:-1], np.diff(self.points, axis=0)
        squared = np.maximum((step * step).sum(1), 1e-30)
        share = np.clip(((point - start) * step).sum(1) / squared, 0.0, 1.0)
        away = np.linalg.norm(point - start - share[:, None] * step, axis=1)
        return list(zip((self.stations[:-1] + share * np.sqrt(squared)).tolist(), away.tolist(), strict=True))
