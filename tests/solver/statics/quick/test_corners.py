"""Corners: what they show to be held is held, by the exact program; and they show nearly all that is."""

from __future__ import annotations

import numpy as np
from numpy.random import default_rng

from solver.statics import ClampForce
from solver.statics.balance import balance
from solver.statics.program import WarmProgram
from solver.statics.questions import Questions
from solver.statics.quick.corners import Corners
from tests.solver.statics.shop import block, push, random_fixture


def pressed(mu: float = 0.2) -> Questions:
    """A block of 100 N under a clamp of 1700 N, pulled straight up with 1 N."""
    clamp = ClampForce(0, (0, 0, 50), (0, 0, -1), 1700)
    return Questions(block(100, 100, 50, clamps=(clamp,), mu=mu), push(((0, 0, 50), (0, 0, 1.0))))


def test_a_pull_is_shown_to_be_held_up_to_weight_and_clamp() -> None:
    # Hand calculation: 1800 N. Without friction rows depend on each other; that changes nothing.
    for mu in (0.0, 0.2):
        assert pressed(mu).shown(1, 1799)
        assert not pressed(mu).shown(1, 1801)
        assert not pressed(mu).held(1, 1801)


def test_what_is_held_enlarged_is_held_as_it_is() -> None:
    asked = pressed()
    assert asked.shown(1, 1799) and asked.shown(1, 1) and not asked.shown(1, 1801) and asked.shown(1, 1799)


def test_corners_never_differ_from_the_program_and_leave_it_little() -> None:
    rng = default_rng(7)
    shown, held = 0, 0
    for _ in range(12):
        fixture, cases, count = random_fixture(rng)
        system = balance(fixture.chosen([owner for owner in range(count) if rng.random() < 0.9]))
        rows, values = system.load_rows(cases)
        corners, program = Corners(system, rows, values), WarmProgram(system)
        for case in np.flatnonzero(np.isnan(cases.root[:, 0])).tolist():
            exact = program.solve(system.loads(rows[case : case + 1], values[case : case + 1])[0]).held
            quick = corners.held(case)
            assert exact or not quick
            shown, held = shown + quick, held + exact
    assert held > 100 and shown > 0.98 * held
