"""Diagonals of a frame: the two across the outer rectangle of parts that close a ring, and their difference."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.blocks import point_distance, segments_meet
from solver.first_article.face_words import corner_words
from solver.first_article.measures import ArticleMeasure, ArticlePoint
from solver.first_article.prediction import displacements, worst_and_rss
from solver.first_article.reach import HOOK, FinishedWeldment
from solver.standards.iso13920 import LinearClass, angular_mm, linear_mm

AT_CORNER = 0.1
"""A part's corner this near to the rectangle's, along either side, is there (mm)."""
SAME_HEIGHT = 1.0
"""Corners no farther apart across the frame are in one plane, mm."""
ROUND = ((0, 0), (1, 0), (1, 1), (0, 1))
"""The rectangle's corners in turn: at its low or high end along either side."""


@dataclass(frozen=True)
class Rectangle:
    """A frame's outer corners (4, 3) in turn, table frame, mm, and which part has each; opposite ones are different parts'."""

    corners: Array
    parts: tuple[str, str, str, str]

    def diagonal(self, first: int) -> tuple[Array, float]:
        """Return the unit direction and the length of the diagonal that starts at a corner."""
        step = self.corners[first + 2] - self.corners[first]
        length = float(np.linalg.norm(step))
        return step / length, length


def diagonals(finished: FinishedWeldment, tolerance_class: LinearClass) -> Iterator[ArticleMeasure]:
    """Yield both diagonals of a closed frame and their difference; nothing if its four outer corners cannot be reached.

    The frame is what profiles close, or plates too where profiles alone close nothing.
    """
    parts, welds = finished.scene.parts, [weld.parts for weld in finished.scene.welds]
    profiles = [pair for pair in welds if not any(parts[id].part.flat for id in pair)]
    rectangle = _rectangle(finished, _in_rings(profiles) or _in_rings(welds))
    if rectangle is None:
        return
    errors, points = [], []
    for first in (0, 1):
        direction, length = rectangle.diagonal(first)
        start, end = (_corner(finished, rectangle, k) for k in (first, first + 2))
        errors.append(_lengthened(finished, rectangle, first, direction))
        points += [start, end]
        yield ArticleMeasure(
            "diagonal", f"diagonal, from {start.words} to {end.words}", "tape", (start, end), round(length, 3),
            linear_mm(tolerance_class, length), f"ISO 13920 class {tolerance_class}, table 1", *worst_and_rss(errors[-1]),
        )  # fmt: skip
    yield ArticleMeasure(
        "diagonal_difference", "difference of the two diagonals", "tape", tuple(points), 0.0,
        _difference_mm(rectangle, tolerance_class), f"ISO 13920 class {tolerance_class}, table 2, over the shorter side",
        *worst_and_rss(errors[0] - errors[1]),
    )  # fmt: skip


def _corner(finished: FinishedWeldment, rectangle: Rectangle, k: int) -> ArticlePoint:
    at = rectangle.corners[k]
    return finished.point(rectangle.parts[k], corner_words(rectangle.parts[k], at - rectangle.corners.mean(axis=0)), at)


def _lengthened(finished: FinishedWeldment, rectangle: Rectangle, first: int, direction: Array) -> Array:
    """Return how much longer each locator's error makes a diagonal, mm, (R, n)."""
    start, end = (
        displacements(finished.readings, rectangle.parts[k], rectangle.corners[k : k + 1], direction) for k in (first, first + 2)
    )
    longer: Array = (end - start).sum(axis=1) if len(end) else np.zeros((0, 0))
    return longer


def _difference_mm(rectangle: Rectangle, tolerance_class: LinearClass) -> float:
    """Return how far the diagonals differ if the shorter side leans by its tolerance t: 2 t a / d to first order.

    A side b that leans by t makes the diagonals the roots of (a + t)^2 + b^2 and (a - t)^2 + b^2.
    """
    sides = sorted(float(np.linalg.norm(rectangle.corners[k + 1] - rectangle.corners[k])) for k in (0, 1))
    lean = angular_mm(tolerance_class, sides[0])
    return float(np.hypot(sides[1] + lean, sides[0]) - np.hypot(sides[1] - lean, sides[0]))


def _rectangle(finished: FinishedWeldment, ring: Set[str]) -> Rectangle | None:
    """Return the outer rectangle of parts that close a ring, seen along the direction in which they are flattest."""
    scene = finished.scene
    corners = {id: (scene.parts[id].block.corners - scene.place[:3, 3]) @ scene.place[:3, :3] for id in scene.parts if id in ring}
    if not corners:
        return None
    everything = np.concatenate(list(corners.values()))
    bounds = np.array([everything.min(axis=0), everything.max(axis=0)])
    flat = min((2, 1, 0), key=lambda axis: round(float(bounds[1, axis] - bounds[0, axis]), 3))
    sides = [axis for axis in range(3) if axis != flat]
    there = [_at_corner(corners, sides, bounds[list(which), sides]) for which in ROUND]
    for top in (True, False):
        heights = [max(_heights(found, flat, top)) if top else min(_heights(found, flat, top)) for found in there if found]
        if len(heights) == 4 and np.ptp(heights) < SAME_HEIGHT:
            places = np.zeros((4, 3))
            for k, which in enumerate(ROUND):
                places[k, sides], places[k, flat] = bounds[list(which), sides], heights[k]
            if found := _reached(finished, places, [tuple(each) for each in there], flat, top):
                return found
    return None


def _in_rings(welds: Sequence[tuple[str, str]]) -> set[str]:
    """Return the parts that are still joined to two others after all that hang at one other alone are taken away."""
    joined = {frozenset(pair) for pair in welds}
    while True:
        counts = {id: sum(id in pair for pair in joined) for pair in joined for id in pair}
        kept = {pair for pair in joined if all(counts[id] > 1 for id in pair)}
        if kept == joined:
            return set(counts)
        joined = kept


def _at_corner(corners: dict[str, Array], sides: list[int], corner: Array) -> dict[str, Array]:
    """Return the points of each part that stand at a corner of the rectangle."""
    near = {id: points[(np.abs(points[:, sides] - corner) < AT_CORNER).all(axis=1)] for id, points in corners.items()}
    return {id: points for id, points in near.items() if len(points)}


def _heights(found: dict[str, Array], flat: int, top: bool) -> list[float]:
    return [float(points[:, flat].max() if top else points[:, flat].min()) for points in found.values()]


def _reached(
    finished: FinishedWeldment, places: Array, there: Sequence[tuple[str, ...]], flat: int, top: bool
) -> Rectangle | None:
    """Return the rectangle if opposite corners are different parts', its corners are bare and a tape runs free across it."""
    scene = finished.scene
    parts = [next((id for id in there[k] if id not in there[(k + 2) % 4]), "") for k in range(4)]
    if not all(parts):
        return None
    table = places @ scene.place[:3, :3].T + scene.place[:3, 3]
    middle = table.mean(axis=0)
    outward = (table - middle) / np.linalg.norm(table - middle, axis=1)[:, None]
    bodies = finished.bodies
    covered = any(
        float(point_distance((table[k] + HOOK * outward[k])[None], body)[0]) < 0.5
        for k in range(4) for id, body in bodies.items() if id not in there[k]
    )  # fmt: skip
    up = scene.place[:3, flat] * (1 if top else -1)
    skin = max(float(((bodies[id].corners - table[k]) @ up).max()) for k, ids in enumerate(there) for id in ids)
    lifted = table + (skin + 1.0) * up
    blocked = any(segments_meet(lifted[:2], lifted[2:], body).any() for body in bodies.values())
    first, second, third, fourth = parts
    return None if covered or blocked else Rectangle(table, (first, second, third, fourth))
