"""Clamped: a clamp for every part, over supports, pushing onto stops."""

from __future__ import annotations

from solver.model.families.from_start import clamped
from tests import builders as b
from tests.solver.model.positions import Fixing, position, those
from tests.solver.model.small import BAR, across, bar, clamps, tab


def test_every_part_wants_a_clamp() -> None:
    rows = Fixing.of(bar(), clamped)
    assert not rows.allows(across(bar()))
    assert rows.allows([clamps(bar())[0]])


def test_a_clamp_presses_over_a_support_never_over_air() -> None:
    """Beside the tube the tab has air under it: a clamp there bears on nothing unless a rest stands under it."""
    rows = Fixing.of(tab(), clamped)
    assert tab().over
    for clamp, needed in tab().over.items():
        for rests in needed:
            assert rests
            assert not rows.allows([clamp], others=True, without=rests)
            assert rows.allows([clamp], others=True, without=rests - {min(rests)})


def test_a_side_clamp_pushes_against_a_stop_and_never_off_one() -> None:
    stock = b.shelf((b.stop(), 6), (b.side_clamp("push", height=10), 2), (b.down_clamp(), 2))
    problem = position(b.request(BAR), stock, (15, 0))
    rows = Fixing.of(problem, clamped)
    down = those(problem, lambda c: c.clamp and c.stack.top.kind == "down_clamp")[0]
    push, against = next((k, entry) for k, entry in problem.against.items() if entry.stops and entry.away)
    stop, away = min(against.stops), min(against.away)
    assert not rows.allows([down, push])
    assert rows.allows([down, push, stop])
    assert not rows.allows([down, push, stop, away])
