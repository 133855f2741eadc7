"""Cuts: no held choice of candidates is ever cut off, every choice that produced a cut is."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from numpy.random import default_rng

from solver.statics import ClampForce, ContactPoint, cut_coefficients, holding_verdict
from tests.solver.statics.shop import block, push, random_fixture, sampled


@pytest.mark.parametrize("seed", range(6))
def test_cuts_are_valid_for_every_subset_of_candidates(seed: int) -> None:
    rng = default_rng(seed)
    everything, cases, count = random_fixture(rng, parts=1 + seed % 2)
    cases = sampled(cases, rng, 5)
    free = rng.choice(count, size=5, replace=False).tolist()
    fixed = [owner for owner in range(count) if owner not in free]
    subsets = [fixed + [owner for owner, take in zip(free, bits, strict=True) if take] for bits in product((0, 1), repeat=5)]
    verdicts = [holding_verdict(everything.chosen(subset), cases, 3) for subset in subsets]
    sound = [subset for subset, verdict in zip(subsets, verdicts, strict=True) if verdict.ok]
    for subset, verdict in zip(subsets, verdicts, strict=True):
        for failure in verdict.failures:
            assert failure.certificate is not None
            cut = cut_coefficients(failure.certificate, everything, count, subset)
            assert cut is not None and not cut.allows(subset)
            whole = cut.integer()
            assert whole is not None and not whole.allows(subset)
            for other in sound:
                assert cut.allows(other) and whole.allows(other)


def test_the_worked_example_asks_for_the_stop() -> None:
    # The block of the docstring of solver.statics.holding: 10 N, friction 0.2, pushed with 5 N along +x: 3 N short.
    stop = ContactPoint(0, (50, 0, 10), (-1, 0, 0), owner=0, cap_group=0)
    clamp = ClampForce(0, (0, 0, 20), (0, 0, -1), 100, owner=1)
    candidates = block(10, 100, 20, stop, clamps=(clamp,), caps=(4000.0,), mu=0.2)
    cases = push(((0, 0, 0), (5, 0, 0)))
    failure = holding_verdict(candidates.chosen([]), cases).failures[0]
    assert failure.imbalance_n == pytest.approx(3.0)
    proof = failure.certificate
    assert proof is not None and proof.needed_n - proof.available_n == pytest.approx(3.0)
    cut = cut_coefficients(proof, candidates, 2, [])
    assert cut is not None
    # Either candidate alone is enough: the stop takes the push, the clamp brings 40 N of friction.
    assert cut.coefficients == pytest.approx([3.0, 3.0]) and cut.right_side == pytest.approx(3.0)
    assert holding_verdict(candidates.chosen([0]), cases).ok and holding_verdict(candidates.chosen([1]), cases).ok


def test_a_clamp_that_lifts_the_part_keeps_its_negative_coefficient() -> None:
    lift = ClampForce(0, (0, 0, 0), (0, 0, 1), 200, owner=0)
    press = ClampForce(0, (0, 0, 50), (0, 0, -1), 150, owner=1)
    candidates = block(100, 100, 50, clamps=(lift, press), mu=0.15)
    failure = holding_verdict(candidates.chosen([0]), push()).failures[0]
    assert failure.certificate is not None
    cut = cut_coefficients(failure.certificate, candidates, 2, [0])
    assert cut is not None and cut.coefficients[0] < 0 < cut.coefficients[1]
    assert not cut.allows([0]) and cut.allows([]) and cut.allows([0, 1])


def test_a_cut_refuses_every_clamp_that_tips_the_part_as_much() -> None:
    # A block of 100 N, 100 wide, pressed 20, 30 and 10 mm beyond its edge with 300 N: 100 x 50 mm against 300 x 20 mm.
    beyond = [ClampForce(0, (50 + out, 0, 20), (0, 0, -1), 300, owner=owner) for owner, out in enumerate((20, 30, 10))]
    rest = ContactPoint(0, (90, 0, 0), (0, 0, 1), owner=3, cap_group=0)
    candidates = block(100, 100, 20, rest, clamps=tuple(beyond), caps=(4000.0,), mu=0.0)
    failure = holding_verdict(candidates.chosen([0]), push()).failures[0]
    assert failure.certificate is not None
    cut = cut_coefficients(failure.certificate, candidates, 4, [0])
    assert cut is not None and (cut.worst, cut.like) == (0, (1,))
    assert not cut.allows([0]) and not cut.allows([1]) and not cut.allows([0, 1])
    for sound in ([], [2], [0, 3], [1, 3]):
        assert holding_verdict(candidates.chosen(sound), push()).ok and cut.allows(sound)


def test_round_off_in_a_motion_does_not_change_its_cut() -> None:
    rng = default_rng(11)
    compared = 0
    for _ in range(10):
        everything, cases, count = random_fixture(rng)
        chosen = [owner for owner in range(count) if rng.random() < 0.7]
        for failure in holding_verdict(everything.chosen(chosen), cases).failures:
            assert failure.certificate is not None
            twist = failure.certificate.twist
            shaken = replace(failure.certificate, twist=twist + 1e-14 * np.abs(twist).max() * rng.normal(size=twist.shape))
            cuts = [cut_coefficients(proof, everything, count, chosen) for proof in (failure.certificate, shaken)]
            clean, noisy = (cut.integer() if cut is not None else None for cut in cuts)
            assert clean is not None and noisy is not None
            assert clean.coefficients.tolist() == noisy.coefficients.tolist() and clean.right_side == noisy.right_side
            compared += 1
    assert compared > 10
