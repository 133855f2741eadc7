"""Conflicts found by offsets are those found by comparing all bodies where they stand, clamps shut and open, and shared holes."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from solver.access.conflicts import conflicts, conflicts_at_ends, kept_table
from solver.geometry.hulls import Hulls, joined
from solver.geometry.offsets import OffsetTable
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import ROUNDING
from solver.hardware.candidates import Candidate, Lattice, bodies
from solver.hardware.stacks import Stack, single, stacked_on
from tests import builders as b
from tests.properties.shops import square, vee
from tests.solver.model.small import bar, tab

PITCH = 40.0


def some_stacks() -> list[Stack]:
    """Return stops, slides, pins, rests, V-blocks and clamps, at every turn, on the table, on a riser and on an arm."""
    items = (b.stop(), b.adjustable_stop(), b.rest(), square(), vee(), b.down_clamp(), b.side_clamp())
    found = [single(item, turn) for item in items for turn in b.SQUARE_TURNS]
    found += [single(b.pin(), turn) for turn in (0.0, 30.0, 45.0)]
    for under in (single(b.riser(), 0.0), single(b.arm(), 90.0)):
        found += [stack for item in (b.stop(), b.down_clamp()) for stack in stacked_on(item, 90.0, under, PITCH)]
    return found


def drawn(draw: Random, stacks: list[Stack], lattice: Lattice, count: int) -> list[Candidate]:
    """Return candidates anywhere within a few holes, slides and clamps at any setting."""
    found = []
    for _ in range(count):
        stack, hole = draw.choice(stacks), (draw.randint(0, 7), draw.randint(0, 7))
        setting = None if stack.travel is None else round(draw.uniform(stack.travel.low, stack.travel.high), draw.choice((0, 6)))
        found.append(Candidate(stack, hole, lattice.at(np.array([hole]))[0], setting, ()))
    return found


def opened(candidates: list[Candidate]) -> Hulls:
    return joined([c.stack.opened.shifted(c.origin).owned(index) for index, c in enumerate(candidates)])


def by_bodies(candidates: list[Candidate], clear: float) -> set[tuple[int, int]]:
    """Compare every body with every other where it stands, and every peg."""
    both = joined([bodies(candidates), opened(candidates)])
    i, j = box_pairs(both.boxes, both.boxes, clear)
    i, j = i[both.owner[i] < both.owner[j]], j[both.owner[i] < both.owner[j]]
    hit = near(both, i, both, j, clear + ROUNDING)
    sharing = {
        (one, other)
        for one in range(len(candidates))
        for other in range(one + 1, len(candidates))
        if set(candidates[one].holes) & set(candidates[other].holes)
    }
    return sharing | set(zip(both.owner[i[hit]].tolist(), both.owner[j[hit]].tolist(), strict=True))


@pytest.mark.parametrize("seed", range(8))
def test_offsets_find_what_comparing_bodies_finds(seed: int) -> None:
    draw, stacks = Random(seed), some_stacks()
    clear = draw.choice((0.37, 1.13, 6.29))
    table = OffsetTable(PITCH, clear)
    for _ in range(4):
        lattice = Lattice((draw.uniform(0, PITCH), draw.uniform(0, PITCH)), PITCH)
        candidates = drawn(draw, stacks, lattice, 60)
        assert conflicts(candidates, table) == by_bodies(candidates, clear)


@pytest.mark.parametrize("problem", [bar, tab])
def test_at_a_lattice_position_too(problem) -> None:  # type: ignore[no-untyped-def]
    candidates, clear = list(problem().candidates), problem().laid.rules["clear.body"]
    assert problem().conflicts == by_bodies(candidates, clear)


def test_pegs_in_one_hole_are_a_conflict_bodies_apart_or_not() -> None:
    """A clamp whose second peg stands far behind a block's back takes that hole; one hole on, the block stands free."""
    push = replace(single(b.side_clamp(), 0.0), pegs=((0, 0), (0, 5)))
    lattice = Lattice((0.0, 0.0), PITCH)
    holes = ((0, 0), (0, 5), (1, 5))
    stop = single(b.rest(), 0.0)
    found = [Candidate(stack, hole, lattice.at(np.array([hole]))[0], 25.0 if stack is push else None, ())
             for stack, hole in zip((push, stop, stop), holes, strict=True)]  # fmt: skip
    assert conflicts(found, OffsetTable(PITCH, 1.0)) == {(0, 1)}


def test_an_item_that_changed_its_bodies_but_not_its_name_is_asked_anew() -> None:
    """Stops 28 wide at a pitch of 40 leave 12 mm; 38 wide they leave 2."""
    table, lattice = OffsetTable(PITCH, 5.0), Lattice((0.0, 0.0), PITCH)

    def side_by_side(width: float) -> set[tuple[int, int]]:
        stack = single(b.stop(width=width), 0.0)
        return conflicts([Candidate(stack, (x, 0), lattice.at(np.array([[x, 0]]))[0], None, ()) for x in (0, 1)], table)

    assert [side_by_side(width) for width in (28, 38, 28)] == [set(), {(0, 1)}, set()]


def test_one_table_serves_all_lattice_positions_of_a_pitch_and_a_clearance() -> None:
    assert kept_table(PITCH, 1.0) is kept_table(PITCH, 1.0)
    assert kept_table(PITCH, 1.0) is not kept_table(PITCH, 2.0)


def test_candidates_that_meet_only_at_an_end_of_an_open_dimension() -> None:
    """Blocks 30 wide, 50 apart: 20 mm between them as set, 5 mm where the second has followed by 15."""
    block = single(b.rest(), 0.0).still
    first, second, followed = (block.shifted(np.array([x, 0.0, 0.0])) for x in (0.0, 50.0, 35.0))
    standing, ends = joined([first.owned(0), second.owned(1)]), joined([first.owned(0), followed.owned(1)])
    assert conflicts_at_ends(ends, joined([standing, ends]), 4.9) == set()
    assert conflicts_at_ends(ends, joined([standing, ends]), 5.1) == {(0, 1)}
    assert conflicts_at_ends(standing, standing, 5.1) == set()
