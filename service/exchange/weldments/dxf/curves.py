"""What outlines are made of, flat and in millimetres: straight lines, arcs of circles and ellipses, curves given by points."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Point2

SIDES = 48
"""Sides of a full circle, at least; always a multiple of 4, so that quarters of it are alike."""
ARC_MM = 0.1
"""No side of an arc is farther than this from the arc, mm."""
FREE_MM = 0.05
"""No side of a spline is farther than this from the spline, mm."""
_WHOLE = 2 * math.pi - 1e-9


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight line."""

    start: Point2
    end: Point2

    def reversed(self) -> Straight:
        """Return the same line from its other end."""
        return Straight(self.end, self.start)


@dataclass(frozen=True, slots=True)
class EllipticArc:
    """An arc of a circle or an ellipse: ``centre + cos(t) major + sin(t) minor`` for t from `first` over `sweep` (radians).

    The two axes may be any conjugate pair, as an ellipse has when a block is stretched.
    """

    centre: Point2
    major: Point2
    minor: Point2
    first: float
    sweep: float

    def at(self, t: float, out: float = 1.0) -> Point2:
        """Return the point at a parameter, `out` times as far from the centre."""
        c, s = out * math.cos(t), out * math.sin(t)
        return (
            self.centre[0] + c * self.major[0] + s * self.minor[0],
            self.centre[1] + c * self.major[1] + s * self.minor[1],
        )

    @property
    def start(self) -> Point2:
        """Where it begins."""
        return self.at(self.first)

    @property
    def end(self) -> Point2:
        """Where it ends."""
        return self.at(self.first + self.sweep)

    @property
    def whole(self) -> bool:
        """Whether it is a full circle or ellipse."""
        return abs(self.sweep) >= _WHOLE

    @property
    def turns_left(self) -> bool:
        """Whether it runs counter-clockwise."""
        return (self.major[0] * self.minor[1] - self.major[1] * self.minor[0]) * self.sweep > 0

    @property
    def largest_radius(self) -> float:
        """No point is farther from the centre than this, mm."""
        (a, b), (c, d) = self.major, self.minor
        squares, doubled = a * a + b * b + c * c + d * d, a * d - b * c
        return math.sqrt((squares + math.sqrt(max(0.0, squares**2 - 4 * doubled**2))) / 2)

    def reversed(self) -> EllipticArc:
        """Return the same arc from its other end."""
        return replace(self, first=self.first + self.sweep, sweep=-self.sweep)

    def points(self, outside: bool | None, coarse: float) -> list[Point2]:
        """Return the corners of a line of straight sides beside it, its two ends among them if it is not whole.

        Parameters
        ----------
        outside : bool or None
            Whether the sides touch it from outside, else their corners lie on it. A whole one has sides square to its axes,
            corners on its axes for None.
        coarse : float
            Times `ARC_MM` that a side may be away from it.
        """
        bow = max(coarse * ARC_MM / max(self.largest_radius, 1e-9), 1e-6)  # of one beyond all limits, which is told later
        sides = max(SIDES, 4 * math.ceil(math.pi / math.acos(1 / (1 + bow)) / 4))
        count = max(1, math.ceil(sides * abs(self.sweep) / (2 * math.pi) - 1e-9))
        step = self.sweep / count
        middles = [self.first + (k + 0.5) * step for k in range(count)]
        if self.whole and outside is None:
            return [self.at(self.first + k * step) for k in range(count)]
        if self.whole:
            out = 1 / math.cos(step / 2) if outside else 1.0
            return [self.at(t, out) for t in middles]
        if outside and abs(step) < math.pi / 2:
            return [self.start, *(self.at(t, 1 / math.cos(step / 2)) for t in middles), self.end]
        return [self.at(self.first + k * step) for k in range(count + 1)]


@dataclass(frozen=True, slots=True)
class PointedCurve:
    """A curve given by points so near to each other that the lines between them are within `FREE_MM` of it."""

    given: tuple[Point2, ...]

    @property
    def start(self) -> Point2:
        """Where it begins."""
        return self.given[0]

    @property
    def end(self) -> Point2:
        """Where it ends."""
        return self.given[-1]

    def reversed(self) -> PointedCurve:
        """Return the same curve from its other end."""
        return PointedCurve(self.given[::-1])

    def points(self, coarse: float) -> list[Point2]:
        """Return as many of its points as keep it within `coarse` times `FREE_MM` of those left out."""
        if coarse <= 1:
            return list(self.given)
        return [self.given[k] for k in thinned(np.array(self.given), (coarse - 1) * FREE_MM)]


Curve = Straight | EllipticArc | PointedCurve


def thinned(points: NDArray[np.float64], within: float) -> list[int]:
    """Return which of the points (n, 2) of a line are enough for it to stay within a distance (Douglas and Peucker)."""
    kept = {0, len(points) - 1}
    spans = [(0, len(points) - 1)]
    while spans:
        first, last = spans.pop()
        if last - first < 2:
            continue
        a, chord = points[first], points[last] - points[first]
        between = points[first + 1 : last] - a
        length = float(np.hypot(*chord))
        if length < 1e-12:
            away = np.hypot(*between.T)
        else:
            along = np.clip(between @ chord / length**2, 0.0, 1.0)
            away = np.hypot(*(between - along[:, None] * chord).T)
        worst = int(away.argmax())
        if away[worst] > within:
            middle = first + 1 + worst
            kept.add(middle)
            spans += [(first, middle), (middle, last)]
    return sorted(kept)


def ring_points(curves: Sequence[Curve], counter_clockwise: bool, cutout: bool | None, coarse: float = 1.0) -> list[Point2]:
    """Return the corners of a closed run of curves, in its own direction.

    Parameters
    ----------
    curves : sequence of Curve
        Each begins where the one before ends, the first where the last ends; ends that are a gap apart meet half way.
    counter_clockwise : bool
        How it runs round.
    cutout : bool or None
        Whether it is a cut-out. Sides of arcs are laid so that what is drawn of the metal holds all of the metal: outlines
        round their arcs, cut-outs inside theirs. None: all corners lie on the curves.
    coarse : float
        Times the usual distances that sides may be away from curves.
    """
    runs: list[tuple[list[Point2], bool]] = []
    for curve in curves:
        if isinstance(curve, Straight):
            runs.append(([curve.start, curve.end], True))
        elif isinstance(curve, EllipticArc):
            bulges_out = curve.turns_left == counter_clockwise
            outside = None if cutout is None else bulges_out != cutout
            points = curve.points(outside, coarse)
            if curve.whole and len(curves) == 1:
                return points
            runs.append((points, False))
        else:
            runs.append((curve.points(coarse), False))
    corners: list[tuple[Point2, bool]] = []
    for k, (points, straight) in enumerate(runs):
        before, before_straight = runs[k - 1]
        (a, b), (c, d) = before[-1], points[0]
        corners.append((((a + c) / 2, (b + d) / 2), straight and before_straight))
        corners += [(point, False) for point in points[1:-1]]
    found = _without_corners_on_lines(corners)
    if coarse <= 1 or len(found) < 4:
        return found
    # What is drawn of thousands of short lines is thinned as curves are.
    kept = thinned(np.array([*found, found[0]]), (coarse - 1) * FREE_MM)
    return [found[k] for k in kept[:-1]]


def _without_corners_on_lines(corners: list[tuple[Point2, bool]]) -> list[Point2]:
    """Return the corners without those that repeat the one before, and those between two lines that go straight on."""
    apart: list[tuple[Point2, bool]] = []
    for corner in corners:
        if not apart or math.dist(corner[0], apart[-1][0]) > LEAST_SIDE:
            apart.append(corner)
    while len(apart) > 1 and math.dist(apart[0][0], apart[-1][0]) <= LEAST_SIDE:
        apart.pop()
    kept: list[Point2] = []
    for k, (point, between_lines) in enumerate(apart):
        if between_lines and len(apart) > 3:
            (ax, ay), (bx, by) = kept[-1] if kept else apart[k - 1][0], apart[(k + 1) % len(apart)][0]
            (ux, uy), (vx, vy) = (point[0] - ax, point[1] - ay), (bx - point[0], by - point[1])
            away = abs(ux * vy - uy * vx) / max(math.hypot(bx - ax, by - ay), 1e-9)
            if away < STRAIGHT_ON and ux * vx + uy * vy > 0:
                continue
        kept.append(point)
    return kept


LEAST_SIDE = 0.0015
"""Corners nearer to each other than this, mm, are one; a little more than documents ask for."""
STRAIGHT_ON = 1e-4
"""A corner between two lines that is within this of the line past it, mm, is none."""
