"""What contacts, friction and clamps can hold: hand calculations, and the quick certificate against a linear programme a load."""

from __future__ import annotations

import numpy as np
import pytest

from solver.checks.arithmetic.equilibrium import ENOUGH, Body, System, _solve, resisted

UP = np.array([0.0, 0, 1])
SQUARE = np.array([[-50.0, -50, 0], [50, -50, 0], [50, 50, 0], [-50, 50, 0]])


def held_block(clamp_n: float, friction: float, grip: bool = True) -> tuple[System, np.ndarray]:
    """A weightless cube of 100 mm on a table, clamped down at its middle."""
    body = Body(0, np.array([0.0, 0, 50]), 50.0)
    system = System([body], [], [])
    system.contact(body, None, SQUARE, UP, friction, None)
    top = np.array([0.0, 0, 100])
    if grip:
        system.grip(body, top, -UP, friction * clamp_n)
    return system, system.wrench(body, -clamp_n * UP, top)[0]


def holds(system: System, still: np.ndarray, force: tuple[float, float, float], z: float) -> bool:
    load = system.wrench(system.bodies[0], np.array(force), np.array([0.0, 0, z]))
    return resisted(system, still, load, [None], ["push"]) == [True]


@pytest.mark.parametrize(("push", "held"), [(799.0, True), (801.0, False)])
def test_two_friction_faces_resist_twice_mu_times_the_clamp(push: float, held: bool) -> None:
    # Hand calculation: 2000 N, mu 0.20, two faces: 2 x 0.2 x 2000 = 800 N; pushed at mid-height so that nothing tips.
    system, still = held_block(2000, 0.2)
    assert holds(system, still, (push, 0, 0), 50) is held


@pytest.mark.parametrize(("push", "held"), [(399.0, True), (401.0, False)])
def test_without_grip_at_the_tip_only_the_table_rubs(push: float, held: bool) -> None:
    system, still = held_block(2000, 0.2, grip=False)
    assert holds(system, still, (push, 0, 0), 0) is held


@pytest.mark.parametrize(("lift", "held"), [(1999.0, True), (2001.0, False)])
def test_a_clamp_holds_down_what_it_presses(lift: float, held: bool) -> None:
    system, still = held_block(2000, 0.2)
    assert holds(system, still, (0, 0, lift), 50) is held


def test_a_capped_locator_holds_no_more_than_its_cap() -> None:
    body = Body(0, np.zeros(3), 50.0)
    for cap, held in ((501.0, True), (499.0, False)):
        system = System([body], [], [])
        system.contact(body, None, SQUARE, UP, 0.1, None)
        system.contact(body, None, np.array([[-50.0, 0, 0]]), np.array([1.0, 0, 0]), 0.0, cap)
        load = system.wrench(body, np.array([-500.0, 0, 0]), np.zeros(3))
        assert resisted(system, np.zeros(6), load, [None], ["push"]) == [held]


def test_free_forces_between_two_bodies_take_what_suits_them() -> None:
    # Two cubes pulled together with 5 kN at the height of a weld root that may carry any force: nothing is left for friction.
    one, other = Body(0, np.array([-50.0, 0, 50]), 50.0), Body(1, np.array([50.0, 0, 50]), 50.0)
    system = System([one, other], [], [])
    for body, x in ((one, -50.0), (other, 50.0)):
        system.contact(body, None, SQUARE + np.array([x, 0, 0]), UP, 0.1, None)
    root = np.array([[0.0, 0, 50]])
    still = system.wrench(one, -100 * UP, one.centre)[0] + system.wrench(other, -100 * UP, other.centre)[0]
    pull = system.wrench(one, np.array([5000.0, 0, 0]), root)[0] - system.wrench(other, np.array([5000.0, 0, 0]), root)[0]
    joint = system.wrench(one, np.eye(3), np.tile(root, (3, 1))) - system.wrench(other, np.eye(3), np.tile(root, (3, 1)))
    assert resisted(system, still, pull[None], [joint], ["pull"]) == [True]
    assert resisted(system, still, pull[None], [None], ["pull"]) == [False]


def test_the_quick_certificate_never_differs_from_a_programme_a_load() -> None:
    chance = np.random.default_rng(8)
    verdicts = []
    for _ in range(6):
        body = Body(0, chance.uniform(-10, 10, 3) + np.array([0, 0, 50]), 60.0)
        system = System([body], [], [])
        system.contact(body, None, SQUARE, UP, 0.15, None)
        system.contact(body, None, np.array([[-50.0, -20, 30], [-50, 20, 30]]), np.array([1.0, 0, 0]), 0.15, 2000.0)
        system.contact(body, None, np.array([[0.0, -50, 40]]), np.array([0.0, 1, 0]), 0.15, None)
        system.grip(body, np.array([10.0, 5, 100]), -UP, 0.15 * 1500)
        still = system.wrench(body, -1500 * UP, np.array([10.0, 5, 100]))[0]
        loads = system.wrench(body, chance.normal(size=(40, 3)) * 500, chance.uniform(-50, 50, (40, 3)) + np.array([0, 0, 50]))
        quick = resisted(system, still, loads, [None] * 40, ["push"] * 40)
        matrix, sides = system.matrix(), system.right_side(still + loads)
        slow = [_solve(matrix, side, None) for side in sides]
        assert [verdict for verdict in quick if verdict is not None] == [
            b for a, b in zip(quick, slow, strict=True) if a is not None
        ]
        assert None not in quick or quick.count(False) == ENOUGH
        verdicts += slow
    assert 0.1 < np.mean(verdicts) < 0.9
