"""Lines through prisms: in and out where they are cut by hand, and as often as points along them are inside."""

from __future__ import annotations

import math

import numpy as np
import pytest

from inventory.shapes import PlaneCut, Prism
from service.exchange.items.rays import stretches
from tests.service.drawings.models.solids import ANGLE, INNER, SQUARE, TILTED

BLOCK = Prism(SQUARE, 0, 20)
HALF = math.sqrt(0.5)


@pytest.mark.parametrize(
    ("prism", "at", "way", "found"),
    [
        (BLOCK, (20, 30, 10), (0, 1, 0), [(-30, 0)]),
        (BLOCK, (20, 15, 50), (0, 0, -1), [(30, 50)]),
        (BLOCK, (20, 35, 10), (1, 0, 0), []),
        (BLOCK, (20, 15, 25), (1, 0, 0), []),
        (BLOCK, (0, 0, 10), (HALF, HALF, 0), [(0, 30 * math.sqrt(2))]),
        (Prism(SQUARE, 0, 20, (INNER,)), (20, 15, 10), (1, 0, 0), [(-20, -10), (10, 20)]),
        (Prism(SQUARE, 0, 20, (INNER,)), (20, 15, 10), (0, 0, 1), []),
        (Prism(ANGLE, 0, 400), (3, 30, 9), (1, 0, 0), [(-3, 3)]),
        (Prism(SQUARE, 0, 20, cuts=(PlaneCut((20, 0, 0), (1, 0, 0)),)), (0, 15, 10), (1, 0, 0), [(0, 20)]),
        (Prism(SQUARE, 0, 100, cuts=(PlaneCut((0, 0, 60), (1, 0, 1)),)), (10, 15, 0), (0, 0, 1), [(0, 50)]),
    ],
)
def test_a_line_is_in_a_prism_between_its_faces(
    prism: Prism, at: tuple[float, ...], way: tuple[float, ...], found: list[float]
) -> None:
    assert stretches(prism, np.array(at), np.array(way)) == [pytest.approx(one) for one in found]


def test_a_tilted_prism_is_met_as_the_level_one_is() -> None:
    frame, generator = np.array(TILTED), np.random.default_rng(7)
    tilted, level = Prism(ANGLE, 0, 400, frame=TILTED), Prism(ANGLE, 0, 400)
    for _ in range(50):
        at, way = generator.uniform(-20, 80, 3), generator.normal(size=3)
        way /= np.linalg.norm(way)
        moved = stretches(tilted, frame[:3, :3] @ at + frame[:3, 3], frame[:3, :3] @ way)
        assert moved == [pytest.approx(one, abs=1e-6) for one in stretches(level, at, way)]
