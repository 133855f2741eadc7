"""What a part's contacts resist least, and what every part in condition resists of any motion."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from inventory.shapes import Array
from solver.accuracy import Axis, locating_state, locator_matrix, weakest_motion
from solver.position.locating_errors import MOST_ROWS

CENTRE, GYRATION = np.array([10.0, -5.0, 20.0]), 60.0
SPINS = [None, Axis(CENTRE, np.array([1.0, 0.0, 0.0])), Axis(CENTRE + np.array([0.0, 30.0, 0.0]), np.array([0.6, 0.0, 0.8]))]


def contacts(draw: Random, count: int) -> tuple[Array, Array]:
    at = np.array([[draw.uniform(-100, 100) for _ in range(3)] for _ in range(count)])
    normal = np.array([[draw.gauss(0, 1) for _ in range(3)] for _ in range(count)])
    return at, normal / np.linalg.norm(normal, axis=1)[:, None]


@pytest.mark.parametrize("spin", SPINS, ids=["no spin", "about its middle", "beside its middle"])
def test_a_part_in_condition_resists_every_motion_by_so_much(spin: Axis | None) -> None:
    """No contacts that keep a limit all resist some motion by less than the planner's cut takes for nothing."""
    seen = 0
    for seed in range(300):
        draw = Random(seed)
        at, normal = contacts(draw, draw.randint(6, 9))
        condition = locating_state(at, normal, CENTRE, GYRATION, spin).condition
        if not np.isfinite(condition):
            continue
        seen += 1
        for _ in range(5):
            some = contacts(draw, draw.randint(1, 7))
            motion = weakest_motion(*some, CENTRE, GYRATION, spin)
            resisted = np.abs(locator_matrix(at, normal, CENTRE, GYRATION) @ motion).max()
            assert resisted >= 0.5 / (condition * MOST_ROWS**0.5)
        weakest = weakest_motion(at, normal, CENTRE, GYRATION, spin)
        least = np.linalg.norm(locator_matrix(at, normal, CENTRE, GYRATION) @ weakest)
        assert least <= np.linalg.norm(locator_matrix(at, normal, CENTRE, GYRATION) @ motion) + 1e-9
    assert seen > 100


def test_contacts_that_leave_a_motion_free_do_not_resist_it() -> None:
    """Six normals in one plane let a part move square to it."""
    at, normal = contacts(Random(1), 6)
    normal[:, 2] = 0.0
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    at[:, 2] = CENTRE[2]
    motion = weakest_motion(at, normal, CENTRE, GYRATION)
    assert np.linalg.norm(motion) == pytest.approx(1.0)
    assert np.abs(locator_matrix(at, normal, CENTRE, GYRATION) @ motion).max() < 1e-12
