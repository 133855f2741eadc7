"""Boxes within hulls lie within them, and there is one for every hull."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from inventory.shapes import Array
from solver.geometry.hulls import Hulls
from solver.geometry.inner_boxes import inner_boxes


def prism(ring: list[tuple[float, float]], length: float, axis: int) -> Array:
    """Return the points of a prism along an axis with a section across it."""
    ends = [np.insert(np.array(ring), axis, end, axis=1) for end in (0.0, length)]
    return np.concatenate(ends)


def rounded(width: float, height: float, radius: float) -> list[tuple[float, float]]:
    corners = [(width - radius, height - radius), (radius, height - radius), (radius, radius), (width - radius, radius)]
    turns = [(k * 90 + step) for k in range(4) for step in (0, 30, 60, 90)]
    return [
        (corners[k // 4][0] + radius * math.cos(math.radians(turn)), corners[k // 4][1] + radius * math.sin(math.radians(turn)))
        for k, turn in enumerate(turns)
    ]


TUBE = [prism(rounded(60, 40, 5), 240, axis) for axis in range(3)]
BAR = prism([(20 * math.cos(k * math.pi / 8), 20 * math.sin(k * math.pi / 8)) for k in range(16)], 100, 2)
WEDGE = np.array([(0, 0, 0), (40, 0, 0), (0, 30, 0), (0, 0, 20)], dtype=float)
BOX = prism([(0, 0), (30, 0), (30, 10), (0, 10)], 50, 1)


@pytest.mark.parametrize("points", [*TUBE, BAR, WEDGE, BOX])
def test_inner_boxes_lie_within_their_hull(points: Array) -> None:
    boxes, of = inner_boxes(Hulls.of([points], [0]))
    assert len(boxes) and set(of.tolist()) == {0}
    planes = ConvexHull(points).equations
    for low, high in boxes:
        corners = np.array([[(low, high)[k >> axis & 1][axis] for axis in range(3)] for k in range(8)])
        assert (corners @ planes[:, :3].T + planes[:, 3] <= 1e-6).all()


def test_a_tube_with_rounded_corners_holds_a_box_as_high_and_one_as_wide_as_itself() -> None:
    boxes, _ = inner_boxes(Hulls.of([TUBE[0]], [0]))
    sizes = {tuple(np.round(high - low, 3).tolist()) for low, high in boxes}
    assert {(240.0, 50.0, 40.0), (240.0, 60.0, 30.0)} <= sizes


def test_every_hull_has_its_own_boxes() -> None:
    hulls = Hulls.of([BOX, WEDGE, TUBE[1], BAR], [0, 0, 1, 2])
    _, of = inner_boxes(hulls)
    assert set(of.tolist()) == {0, 1, 2, 3}
