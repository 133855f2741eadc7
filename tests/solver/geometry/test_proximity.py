"""What `near` says by bounds and sections is what the general distance says, for prisms along the axes, as they are and swept."""

from __future__ import annotations

from itertools import product
from random import Random

import numpy as np
import pytest

from inventory.shapes import Array
from solver.geometry.hulls import Hulls
from solver.geometry.proximity import box_pairs, distances, near

AXES = [[0, 1, 2], [1, 2, 0], [2, 0, 1]]
GAPS = (0.02, 2.0, 15.0)
UNSURE = 1e-6
"""Distances this near to a gap, mm, are left out: rounding decides there."""


def a_prism(draw: Random) -> Array:
    """Return the points of a prism with 3 to 16 corners along some axis of the table, or of a segment or slanted box."""
    count = draw.choice((3, 4, 8, 16))
    start = draw.uniform(0, 6.3)
    turns = start + np.arange(count) * 2 * np.pi / count
    ring = draw.uniform(3, 30) * np.column_stack([np.cos(turns), np.sin(turns)])
    points = np.concatenate([np.column_stack([ring, np.full(count, z)]) for z in (0.0, draw.uniform(5, 60))])
    points = points[[0, count]] if draw.random() < 0.2 else points
    points = points[:, draw.choice(AXES)]
    if draw.random() < 0.2:
        points = points @ np.linalg.qr(np.array([[draw.gauss(0, 1) for _ in range(3)] for _ in range(3)]))[0].T
    return points + [draw.uniform(-60, 60) for _ in range(3)]


def agrees(a: Hulls, b: Hulls) -> tuple[int, int]:
    """Compare all pairs, by every gap; return how many are near and how many are not."""
    i, j = (np.ravel(grid) for grid in np.meshgrid(range(len(a)), range(len(b)), indexing="ij"))
    truth = distances(a, i, b, j)
    counted = [0, 0]
    for gap in GAPS:
        sure = np.abs(truth - gap) > UNSURE
        hit = near(a, i, b, j, gap)
        assert (hit == (truth < gap))[sure].all()
        boxed = set(zip(*(side.tolist() for side in box_pairs(a.boxes, b.boxes, gap)), strict=True))
        assert boxed >= {(x, y) for x, y, close in zip(i.tolist(), j.tolist(), truth < gap - UNSURE, strict=True) if close}
        counted[0] += int(hit.sum())
        counted[1] += int((~hit).sum())
    return counted[0], counted[1]


@pytest.mark.parametrize("seed", range(6))
def test_sections_say_what_the_general_distance_says(seed: int) -> None:
    draw = Random(seed)
    a, b = (Hulls.of([a_prism(draw) for _ in range(24)], range(24)) for _ in range(2))
    moves = ([0, 0, 40.0], [25.0, 0, 0], [20.0, -30.0, 0], [5.0, 10.0, 20.0])
    close, far = np.sum([agrees(one, b) for one in (a, *(a.swept(np.array(move)) for move in moves))], axis=0)
    assert close > 100 and far > 100


def test_a_swept_prism_stays_one_along_its_move_and_square_to_it() -> None:
    """A cylinder along z: lifted or slid it stays a prism along z; along a slanted move it is none."""
    turns = np.arange(12) * np.pi / 6
    ring = 10 * np.column_stack([np.cos(turns), np.sin(turns)])
    pin = Hulls.of([np.concatenate([np.column_stack([ring, np.full(12, z)]) for z in (0.0, 50.0)])], [0])
    assert pin.straight.tolist() == [[False, False, True]]
    for move, stays in (([0, 0, 9.0], True), ([7.0, 3.0, 0], True), ([7.0, 0, 9.0], False)):
        assert pin.swept(np.array(move)).straight[0].tolist() == [False, False, stays]


def test_a_pyramid_and_a_twisted_block_are_no_prisms() -> None:
    square = np.array(list(product((-1.0, 1.0), repeat=2)))
    low = np.column_stack([square, np.zeros(4)])
    half = np.column_stack([0.5 * square, np.ones(4)])
    twisted = np.column_stack([square @ [[0.8, 0.6], [-0.6, 0.8]], np.ones(4)])
    hulls = Hulls.of([np.concatenate([low, half]), np.concatenate([low, twisted]), np.concatenate([low, half[:1]])], range(3))
    assert not hulls.straight.any()


@pytest.mark.parametrize("seed", range(3))
def test_thousands_of_boxes_past_a_few_bodies(seed: int) -> None:
    """A box within a body tells most of what is near it; the rest is as the general distance says."""
    draw = Random(seed)
    corners = np.array(list(product((0.0, 1.0), repeat=3)))
    boxes = Hulls.of(
        [corners * draw.uniform(2, 40) + [draw.uniform(-70, 70) for _ in range(3)] for _ in range(1500)], range(1500)
    )
    few = Hulls.of([a_prism(draw) for _ in range(4)], range(4))
    for one, other in ((boxes, few), (few, boxes)):
        close, far = agrees(one, other)
        assert close > 100 and far > 100
