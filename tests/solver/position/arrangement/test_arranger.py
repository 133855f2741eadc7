"""Where copies of one choice stand beside each other, against trying every two seats of a table: all bodies of the job are boxes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations_with_replacement, product

import numpy as np
import pytest

from inventory.shapes import Array
from inventory.tables import Table
from solver.deadline import Deadline
from solver.position.arrangement.room import Room
from solver.position.problem import Problem
from solver.position.seats import Seat, usable_holes
from solver.request import Without
from solver.search.lattice_position import Found
from solver.search.search import Search
from tests import builders as b
from tests.solver.stations.jobs import bars, shelf

EDGE, CLEAR, LIFT = 30.0, 1.0, 150.0
TURNS = {False: ((0.0, 0),), True: ((0.0, 0), (180.0, 2))}


@cache
def one_bar() -> Found:
    """One bar's cheapest fixture on a table with room."""
    search = Search(bars(1), shelf(), (), Deadline(lambda: 600.0))
    search.open()
    found, _, _ = search.cheapest(())
    assert found is not None
    return found


@dataclass(frozen=True)
class Copy:
    """One copy of the fixture on a table: boxes of its pieces, shut and open, and of its bar; what the bar sweeps; its holes."""

    boxes: Array
    way: Array
    holes: frozenset[tuple[int, int]]

    def beside(self, other: Copy) -> bool:
        return (
            not self.holes & other.holes
            and apart(self.boxes, other.boxes)
            and apart(self.way, other.boxes)
            and apart(other.way, self.boxes)
        )


def apart(one: Array, other: Array) -> bool:
    """Whether all boxes of one keep their distance from all of the other."""
    between = np.maximum(one[:, None, 0] - other[None, :, 1], other[None, :, 0] - one[:, None, 1])
    return bool((np.linalg.norm(np.maximum(between, 0.0), axis=2) >= CLEAR - 1e-6).all())


def copies(problem: Problem, chosen: tuple[int, ...], table: Table, half: bool) -> Iterator[Copy]:
    """Yield the fixture at every seat of a table, whole on the slab."""
    own = [hulls.take(np.isin(hulls.owner, chosen)) for hulls in (problem.shut, problem.opened)]
    boxes = np.concatenate([problem.laid.hulls.boxes, *(hulls.boxes for hulls in own)])
    assert all(hulls.box_shaped.all() for hulls in (problem.laid.hulls, *own))
    bar, phase = problem.laid.bounds, np.array([*problem.lattice.phase, 0.0])
    bases = np.array(
        [
            np.array([c.stack.still.points.min(axis=0), c.stack.still.points.max(axis=0)]) + c.origin
            for c in map(problem.candidates.__getitem__, chosen)
        ]
    )
    for sign, across, along in product((1, -1) if half else (1,), range(-30, 60), range(-30, 60)):
        at = np.array([*table.first, 0.0]) + table.pitch * np.array([across, along, 0.0])

        def placed(some: Array, sign: int = sign, at: Array = at) -> Array:
            ends = (some - phase) * np.array([sign, sign, 1.0]) + at
            return np.stack([ends.min(axis=-2), ends.max(axis=-2)], axis=-2)

        holes = frozenset((sign * x + across, sign * y + along) for index in chosen for x, y in problem.candidates[index].holes)
        if not all(0 <= x < table.columns and 0 <= y < table.rows and (x, y) not in table.blocked_holes for x, y in holes):
            continue
        feet, lying, size = placed(bases), placed(bar), np.array(table.size)
        if (feet[:, 0, :2] < -EDGE).any() or (feet[:, 1, :2] > size + EDGE).any():
            continue
        if (lying[0, :2] < -1e-6).any() or (lying[1, :2] > size + 1e-6).any():
            continue
        yield Copy(placed(boxes), np.array([[lying[0], lying[1] + np.array([0.0, 0.0, LIFT])]]), holes)


def room_for(table: Table, stations: int, half: bool) -> bool:
    """Whether the arranger finds seats for so many copies."""
    problem, chosen = one_bar().model.problem, one_bar().choice.candidates
    homes = [(s, q) for (_, q), s in product(TURNS[half], product(range(60), range(60)))]
    for shift, quarter in homes:
        room = Room(table, stations, Seat(table, 0.0, shift, quarter), TURNS[half], usable_holes(table, Without()), EDGE)
        places = room.places(problem.laid, problem.lattice, [problem.candidates[index] for index in chosen])
        bears_all = len(places) and whole(problem, table, shift, quarter)
        if bears_all:
            arranger = replace(problem, room=room).arranger
            assert arranger is not None
            found = arranger.arranged(chosen, frozenset())
            assert found.sure
            assert len(found.seats) in (0, stations)
            return bool(found.seats)
    return False


def whole(problem: Problem, table: Table, shift: tuple[int, int], quarter: int) -> bool:
    """Whether the bar lies whole on the slab at a seat."""
    sign = -1 if quarter else 1
    ends = (
        sign * (problem.laid.bounds[:, :2] - np.array(problem.lattice.phase))
        + np.array(table.first)
        + table.pitch * np.array(shift)
    )
    return bool((ends.min(axis=0) >= -1e-6).all() and (ends.max(axis=0) <= np.array(table.size) + 1e-6).all())


BLOCKED = frozenset({(1, 2), (4, 1), (5, 5), (7, 3)})


@pytest.mark.parametrize("half", [False, True])
@pytest.mark.parametrize("blocked", [frozenset(), BLOCKED])
@pytest.mark.parametrize("columns", [5, 6, 7, 9, 11])
def test_two_copies_against_every_two_seats(columns: int, blocked: frozenset[tuple[int, int]], half: bool) -> None:
    problem, chosen = one_bar().model.problem, one_bar().choice.candidates
    for rows in (4, 5, 7, 9):
        table = b.table(
            columns=columns, rows=rows, blocked_holes=frozenset(hole for hole in blocked if hole[0] < columns and hole[1] < rows)
        )
        every = list(copies(problem, chosen, table, half))
        expected = any(one.beside(other) for one, other in combinations_with_replacement(every, 2))
        assert room_for(table, 2, half) == expected, (columns, rows)


def test_three_copies_against_every_three_seats() -> None:
    problem, chosen = one_bar().model.problem, one_bar().choice.candidates
    seen = set()
    for columns, rows in ((6, 6), (6, 8), (7, 9), (10, 6), (12, 5)):
        table = b.table(columns=columns, rows=rows)
        every = list(copies(problem, chosen, table, True))
        pairs = {(i, j) for i, j in combinations_with_replacement(range(len(every)), 2) if every[i].beside(every[j])}
        expected = any((i, k) in pairs and (j, k) in pairs for i, j in pairs for k in range(j + 1, len(every)))
        assert room_for(table, 3, True) == expected, (columns, rows)
        seen.add(expected)
    assert seen == {True, False}
