"""Twists found elsewhere give valid cuts here."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from numpy.random import default_rng

from inventory.shapes import turned as frame
from solver.statics import ClampForce, ContactPoint, cut_of_twist, holding_verdict, on_like_parts, turned_twist
from solver.statics.power import demand
from tests.solver.statics.shop import block, push, random_fixture, sampled


@pytest.mark.parametrize("seed", range(3))
def test_cuts_of_arbitrary_twists_never_cut_off_a_held_choice(seed: int) -> None:
    rng = default_rng(100 + seed)
    everything, cases, count = random_fixture(rng, parts=2)
    cases = sampled(cases, rng, 5)
    free = rng.choice(count, size=5, replace=False).tolist()
    fixed = [owner for owner in range(count) if owner not in free]
    subsets = [fixed + [owner for owner, take in zip(free, bits, strict=True) if take] for bits in product((0, 1), repeat=5)]
    subsets += [list(rng.choice(count, size=count - 1, replace=False)) for _ in range(5)]
    verdicts = [(subset, holding_verdict(everything.chosen(subset), cases)) for subset in subsets]
    twists = [failure.certificate.twist for _, verdict in verdicts for failure in verdict.failures if failure.certificate]
    twists += [rng.normal(size=(2, 6)) * (1, 1, 1, 0.01, 0.01, 0.01) for _ in range(200)]
    cuts = [cut for twist in twists if (cut := cut_of_twist(twist, everything, cases, count)) is not None]
    assert cuts
    for subset in (subset for subset, verdict in verdicts if verdict.ok):
        for cut in cuts:
            whole = cut.integer()
            assert cut.allows(subset)
            assert whole is None or whole.allows(subset)


def test_sliding_asks_for_a_stop_or_enough_clamping() -> None:
    # 10 N block, friction 0.2, pushed with 5 N along +x; y = (-1, 0, -0.2): hand calculation, 3 N short.
    stop = ContactPoint(0, (50, 0, 10), (-1, 0, 0), owner=0, cap_group=0)
    weak, strong = (ClampForce(0, (0, 0, 20), (0, 0, -1), force, owner=owner) for force, owner in ((5, 1), (100, 2)))
    lies = block(10, 100, 20, stop, clamps=(weak, strong), caps=(4000.0,), mu=0.2)
    cut = cut_of_twist(np.array([[-1.0, 0, -0.2, 0, 0, 0]]), lies, push(((0, 0, 0), (5, 0, 0))), 3)
    assert cut is not None and cut.right_side == pytest.approx(3.0)
    # The weak clamp gives 5 x 0.2 downwards plus 5 x 0.2 of friction at its tip: 2 of the 3 N.
    assert cut.coefficients == pytest.approx([3.0, 2.0, 3.0])
    assert cut.allows([0]) and not cut.allows([1]) and cut.allows([2])
    assert cut_of_twist(np.array([[1.0, 0, 0, 0, 0, 0]]), lies, push(), 3) is None


def test_a_lone_twist_is_given_to_like_parts_only() -> None:
    twist = np.zeros((4, 6))
    twist[1] = range(6)
    (other,) = on_like_parts(twist, {1, 3})
    assert np.flatnonzero(other.any(axis=1)).tolist() == [3] and other[3].tolist() == twist[1].tolist()
    twist[0, 0] = 1.0
    assert on_like_parts(twist, {1, 3}) == []


def test_turning_weldment_and_twist_together_changes_no_demand() -> None:
    rotation = frame(90)[:3, :3]
    lies = block(10, 100, 20, mu=0.2)
    twist = np.array([[0.3, -0.2, 0.1, 0.01, 0.02, -0.03]])
    plain = demand(twist, lies.part_weights, push(((10, 5, 20), (3, 4, 5))))
    lies.part_weights.centres[:] = lies.part_weights.centres @ rotation.T
    moved = push((tuple(rotation @ (10, 5, 20)), tuple(rotation @ (3, 4, 5))))
    assert demand(turned_twist(twist, rotation), lies.part_weights, moved) == pytest.approx(plain)
