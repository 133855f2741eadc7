"""Joints pressed or not, counted without friction: blocks between a wall and a clamp."""

from __future__ import annotations

import numpy as np

from solver.statics import ClampForce, Clamps, ContactPoint, Contacts, ContactSystem, PartWeights
from solver.statics.joints.pressing import opening_motion

X, Z = (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
SQUARE = ((-10.0, -10.0), (10.0, -10.0), (10.0, 10.0), (-10.0, 10.0))


def blocks(*clamps: ClampForce) -> ContactSystem:
    """Return two blocks on a table, cubes of 40 mm side by side, the first against a wall; the second against the first."""
    points = [ContactPoint(part, (40.0 * part + u, v, 0.0), Z) for part in (0, 1) for u, v in SQUARE]
    points += [ContactPoint(0, (-20.0, u, 20.0 + v), X) for u, v in SQUARE]
    points += [ContactPoint(1, (20.0, u, 20.0 + v), X, 0) for u, v in SQUARE]
    weights = PartWeights(np.array([[0.0, 0.0, 20.0], [40.0, 0.0, 20.0]]), np.array([10.0, 10.0]))
    return ContactSystem(weights, Contacts.of(points), Clamps.of(clamps), 0.2)


SCALES, JOINT = np.array([16.0, 16.0]), [[12, 13, 14, 15]]


def test_a_clamp_that_pushes_one_against_the_other_presses_the_joint() -> None:
    assert opening_motion(blocks(ClampForce(1, (60.0, 0.0, 20.0), (-1.0, 0.0, 0.0), 500.0)), SCALES, JOINT) is None


def test_without_it_the_second_block_moves_away() -> None:
    system = blocks(ClampForce(0, (0.0, 0.0, 40.0), (0.0, 0.0, -1.0), 500.0))
    opened = opening_motion(system, SCALES, JOINT)
    assert opened is not None
    motion = opened.motion.reshape(2, 6)
    assert motion[1, 0] > 0.5 and np.abs(motion[0]).max() < 1e-9


def test_friction_does_not_count() -> None:
    """Pressed down with a thousand newtons the second block would stay, but not press the joint."""
    assert opening_motion(blocks(ClampForce(1, (40.0, 0.0, 40.0), (0.0, 0.0, -1.0), 1000.0)), SCALES, JOINT) is not None


def test_a_motion_names_what_resists_it_and_what_works_against_it() -> None:
    opened = opening_motion(blocks(), SCALES, JOINT)
    assert opened is not None
    against = Clamps.of(
        [ClampForce(1, (60.0, 0.0, 20.0), (-1.0, 0.0, 0.0), 500.0, 7), ClampForce(0, (0, 0, 40), (0, 0, -1), 500.0, 8)]
    )
    assert opened.work_of(against)[0] < 0 and abs(opened.work_of(against)[1]) < 1e-6
    beyond = Contacts.of(
        [ContactPoint(1, (60.0, 0.0, 20.0), (-1.0, 0.0, 0.0), owner=9), ContactPoint(1, (20.0, 0.0, 20.0), X, owner=10)]
    )
    assert opened.resisted_by(beyond).tolist() == [True, False]
