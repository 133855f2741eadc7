"""What segments come near to, by closed form: as hand calculation says, and as the general distance says."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest

from inventory.shapes import Array
from solver.geometry.hulls import Hulls
from solver.geometry.proximity import distances, near
from solver.geometry.segments import segments_near_boxes
from tests.solver.geometry.test_proximity import GAPS, UNSURE, a_prism, agrees

BOX = np.array([[[0.0, 0.0, 0.0], [40.0, 20.0, 10.0]]])


@pytest.mark.parametrize(
    ("start", "end", "apart"),
    [
        ((-9, 5, 5), (-3, 5, 5), 3.0),
        ((43, 24, 5), (43, 24, 5), 5.0),
        ((43, 24, 22), (43, 24, 90), 13.0),
        ((-10, 10, 5), (50, 10, 5), 0.0),
        ((50, 20, 20), (40, 30, 20), math.sqrt(5**2 + 5**2 + 10**2)),
        ((-7, -3, 14), (47, -3, 14), 5.0),
        ((60, -20, 5), (40, 0, 5), 0.0),
    ],
    ids=[
        "ahead of it",
        "beside a corner",
        "above a corner",
        "through it",
        "slanted past an edge",
        "along an edge",
        "to its edge",
    ],
)
def test_how_near_a_segment_comes(start: tuple[float, ...], end: tuple[float, ...], apart: float) -> None:
    """Hand calculation: Pythagoras over what it lies beside, behind and above the box."""
    ends = np.array([start], dtype=float), np.array([end], dtype=float)
    for one, other in (ends, ends[::-1]):
        assert segments_near_boxes(one, other, BOX, np.array([apart + 1e-9]))[0]
        if apart:
            assert not segments_near_boxes(one, other, BOX, np.array([apart - 1e-9]))[0]


def a_segment(draw: Random) -> Array:
    """Return two points anywhere; some lie along an axis, some are one point."""
    start, way = (np.array([draw.uniform(-60, 60) for _ in range(3)]) for _ in range(2))
    return np.array([start, start + draw.choice((way, way, way * [0, 0, 1], way * [0, 1, 0], way * 0))])


@pytest.mark.parametrize("seed", range(4))
def test_segments_say_what_the_general_distance_says(seed: int) -> None:
    """Both ways round, past boxes and past whatever else."""
    draw = Random(seed)
    segments = Hulls.of([a_segment(draw) for _ in range(40)], range(40))
    bodies = Hulls.of([a_prism(draw) for _ in range(30)], range(30))
    bounds = Hulls.of([np.array(np.meshgrid(*box.T)).reshape(3, -1).T for box in bodies.boxes], range(30))
    assert bounds.box_shaped[np.diff(bounds.boxes, axis=1).min(axis=(1, 2)) > 0].all()
    for others in (bodies, bounds):
        counted = np.sum([agrees(segments, others), agrees(others, segments)], axis=0)
        assert (counted > 100).all()


def test_many_at_once_say_what_each_says_alone() -> None:
    draw = Random(7)
    count = 9000
    segments = Hulls.of([a_segment(draw) for _ in range(count)], range(count))
    box = Hulls.of([np.array(np.meshgrid(*BOX[0].T)).reshape(3, -1).T], [0])
    rows, zero = np.arange(count), np.zeros(count, dtype=np.intp)
    truth = distances(segments, rows, box, zero)
    for gap in GAPS:
        sure = np.abs(truth - gap) > UNSURE
        assert (near(segments, rows, box, zero, gap) == (truth < gap))[sure].all()
