"""Held or not: textbook blocks, and agreement with a plain program by another solver."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.random import default_rng

from solver.statics import ClampForce, Clamps, ContactPoint, Contacts, ContactSystem, PartWeights, holding_verdict, patch_points
from tests.solver.statics.oracle import Oracle
from tests.solver.statics.shop import UP, block, push, random_fixture, rectangle, sampled


def test_a_block_lies_on_the_table_by_itself() -> None:
    assert holding_verdict(block(100, 100, 200, mu=0.2), push()).ok


def test_a_block_beside_the_table_falls() -> None:
    lies = block(100, 100, 200, mu=0.2)
    lies.part_weights.centres[0, 0] = 51.0  # centre of gravity 1 mm beyond the edge of its base
    verdict = holding_verdict(lies, push())
    assert not verdict.ok and verdict.failures[0].case.kind == "gravity"
    lies.part_weights.centres[0, 0] = 49.0
    assert holding_verdict(lies, push()).ok


def test_a_stop_pushes_but_does_not_pull() -> None:
    stop = ContactPoint(0, (-50, 0, 10), (1, 0, 0))
    held_back = block(100, 100, 50, stop, mu=0.0)
    assert holding_verdict(held_back, push(((50, 0, 10), (-500, 0, 0)))).ok
    assert not holding_verdict(held_back, push(((50, 0, 10), (5, 0, 0)))).ok


@pytest.mark.parametrize(("push_n", "ok"), [(1799, True), (1801, False)])
def test_a_clamp_presses_its_rated_force_and_no_more(push_n: float, ok: bool) -> None:
    # A push straight up against a clamp of 1700 N on a block of 100 N: lifts off beyond 1800 N.
    pressed = block(100, 100, 50, clamps=(ClampForce(0, (0, 0, 50), (0, 0, -1), 1700),), mu=0.2)
    assert holding_verdict(pressed, push(((0, 0, 50), (0, 0, push_n)))).ok is ok


@pytest.mark.parametrize(("cap", "ok"), [(499, False), (501, True)])
def test_a_soft_locator_carries_only_its_cap(cap: float, ok: bool) -> None:
    corners = [ContactPoint(0, (-50, y, 10), (1, 0, 0), cap_group=0) for y in (-10, 10)]
    soft = block(100, 100, 50, *corners, caps=(cap,), mu=0.0)
    assert holding_verdict(soft, push(((50, 0, 10), (-500, 0, 0)))).ok is ok


def test_clamping_outside_the_supports_lifts_the_part() -> None:
    # A frictionless bar of 40 N on rests at x = -50 and 50, clamped 20 mm beyond the outer one: hand calculation,
    # 40 N x 50 mm against 20 mm balances a clamp of up to 100 N.
    rests = [ContactPoint(0, (x, y, 0), UP) for x in (-50, 50) for y in (-5, 5)]
    part_weights = PartWeights(np.array([[0.0, 0, 10]]), np.array([40.0]))
    for force, ok in ((99, True), (101, False)):
        clamp = ClampForce(0, (70, 0, 20), (0, 0, -1), force)
        assert holding_verdict(ContactSystem(part_weights, Contacts.of(rests), Clamps.of([clamp]), 0.0), push()).ok is ok


def test_two_parts_that_fail_for_reasons_of_their_own_give_two_certificates() -> None:
    # Two blocks, each half off its own support: one case (gravity alone), one certificate each, moving one block each.
    part_weights = PartWeights(np.array([[60.0, 0, 10], [560.0, 0, 10]]), np.array([20.0, 30.0]))
    points = [p for part, x in ((0, 0), (1, 500)) for p in patch_points(part, rectangle((x - 50, x + 50), (-50, 50), 0), UP)]
    verdict = holding_verdict(ContactSystem(part_weights, Contacts.of(points), Clamps.of([]), 0.15), push())
    moving = [np.flatnonzero(f.certificate.twist.any(axis=1)).tolist() for f in verdict.failures if f.certificate]
    assert sorted(moving) == [[0], [1]]


def test_answers_do_not_depend_on_how_many_failures_are_asked_for() -> None:
    rng = default_rng(5)
    for _ in range(10):
        fixture, cases, _ = random_fixture(rng)
        assert holding_verdict(fixture, cases, 1).ok is holding_verdict(fixture, cases, 1000).ok


@pytest.mark.parametrize("chunk", [0, 1, *(pytest.param(chunk, marks=pytest.mark.slow) for chunk in range(2, 10))])
def test_agrees_with_another_solver_on_random_fixtures(chunk: int) -> None:
    """500 fixtures in all, 100 in a plain run; the reference is scipy's HiGHS on rows written independently from the law."""
    rng = default_rng(1000 + chunk)
    verdicts = []
    for number in range(50):
        fixture, cases, count = random_fixture(rng)
        fixture = fixture.chosen([owner for owner in range(count) if rng.random() < 0.9])
        cases = sampled(cases, rng, 1)
        verdict = holding_verdict(fixture, cases, most_failures=len(cases))
        missing = Oracle(fixture).imbalances(cases)
        assert verdict.ok is all(left < 1e-6 for left in missing), (chunk, number, missing)
        assert all(missing[failure.index] > 1e-6 for failure in verdict.failures)
        verdicts.append(verdict.ok)
    assert 5 < sum(verdicts) < 45  # both answers occur often, so the agreement means something
