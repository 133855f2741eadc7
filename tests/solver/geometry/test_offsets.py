"""What stands too near on a lattice, asked by offset: computed once, the same whoever asked first, as comparing bodies says."""

from __future__ import annotations

from functools import partial
from random import Random

import numpy as np
import pytest

from solver.geometry import offsets
from solver.geometry.hulls import Hulls, Index, joined
from solver.geometry.offsets import OffsetTable, Shape
from solver.geometry.proximity import distances

CORNERS = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)


def block(low: tuple[float, float, float], high: tuple[float, float, float]) -> Hulls:
    return Hulls.of([np.array(low) + CORNERS * (np.array(high) - np.array(low))], [0])


def shape(name: str, *bodies: Hulls) -> Shape:
    return Shape(name.encode(), partial(joined, bodies))


POST = shape("post", block((-10, -10, 0), (10, 10, 60)))
BRIDGE = shape("bridge", block((-10, -10, 0), (10, 10, 80)), block((-10, -10, 70), (90, 10, 80)))
SLANTED = shape("slanted", Hulls.of([np.array([[0, 0, 0], [30, 10, 0], [10, 40, 0], [15, 15, 50.0]])], [0]))


def pairs(table: OffsetTable, shapes: list[Shape], which: list[int], holes: list[tuple[int, int]]) -> set[tuple[int, int]]:
    found = table.too_near(shapes, np.array(which, dtype=np.intp), np.array(holes, dtype=np.intp).reshape(-1, 2))
    return set(zip(*(side.tolist() for side in found), strict=True))


def test_posts_are_as_far_apart_as_their_holes_less_their_width() -> None:
    """Hand calculation: posts of 20 at a pitch of 25 leave 5 side by side and 7.07 (5 * sqrt 2) across the corner."""
    row = [(0, 0), (1, 0), (1, 1)]
    for clear, found in ((4.9, set()), (5.1, {(0, 1), (1, 2)}), (7.0, {(0, 1), (1, 2)}), (7.1, {(0, 1), (0, 2), (1, 2)})):
        assert pairs(OffsetTable(25.0, clear), [POST], [0, 0, 0], row) == found


def test_exactly_the_clearance_apart_is_far_enough() -> None:
    assert pairs(OffsetTable(25.0, 5.0), [POST], [0, 0], [(0, 0), (1, 0)]) == set()


def test_a_post_may_stand_under_a_bridge() -> None:
    """Hand calculation: the bridge is 70 up and the post 60 high: 10 mm between them, wherever along it the post stands."""
    row = [(0, 0), (1, 0), (2, 0), (3, 0)]
    assert pairs(OffsetTable(30.0, 9.9), [BRIDGE, POST], [0, 1, 1, 1], row) == set()
    assert pairs(OffsetTable(30.0, 10.1), [BRIDGE, POST], [0, 1, 1, 1], row) >= {(0, 1), (0, 2), (0, 3)}


def test_what_is_known_is_not_computed_again(monkeypatch: pytest.MonkeyPatch) -> None:
    table = OffsetTable(25.0, 6.0)
    first = pairs(table, [POST, BRIDGE], [0, 1, 0], [(0, 0), (1, 0), (2, 0)])
    monkeypatch.setattr(offsets, "near", None)
    assert pairs(table, [BRIDGE, POST], [1, 0, 1], [(7, -3), (8, -3), (9, -3)]) == first


def test_another_shape_of_the_same_place_is_asked_anew() -> None:
    table = OffsetTable(25.0, 6.0)
    assert pairs(table, [POST], [0, 0], [(0, 0), (1, 0)])
    slim = shape("slim post", block((-9, -9, 0), (9, 9, 60)))
    assert not pairs(table, [slim], [0, 0], [(0, 0), (1, 0)])


def test_a_full_table_forgets_and_says_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    table, row = OffsetTable(25.0, 6.0), [(0, 0), (1, 0), (2, 0)]
    first = pairs(table, [POST, BRIDGE], [0, 1, 0], row)
    monkeypatch.setattr(offsets, "MOST_SHAPES", 0)
    assert pairs(table, [POST], [0, 0], row[:2])
    assert len(table.numbers) == len(table.boxes) == 1
    assert pairs(table, [POST, BRIDGE], [0, 1, 0], row) == first


@pytest.mark.parametrize("seed", range(4))
def test_offsets_say_what_distances_say(seed: int) -> None:
    draw, shapes = Random(seed), [POST, BRIDGE, SLANTED]
    table = OffsetTable(13.0, 3.3)
    for _ in range(3):
        which = [draw.randrange(3) for _ in range(40)]
        holes = [(draw.randint(-9, 9), draw.randint(-9, 9)) for _ in which]
        assert pairs(table, shapes, which, holes) == by_distances(shapes, which, holes, 13.0, 3.3)


def by_distances(
    shapes: list[Shape], which: list[int], holes: list[tuple[int, int]], pitch: float, clear: float
) -> set[tuple[int, int]]:
    """Compare every body with every other where it stands."""
    placed = joined([
        shapes[number].bodies().shifted(np.array([7.31 + pitch * x, -3.77 + pitch * y, 0.0])).owned(k)
        for k, (number, (x, y)) in enumerate(zip(which, holes, strict=True))
    ])  # fmt: skip
    i, j = every_pair(len(placed))
    apart = distances(placed, i, placed, j)
    close = (apart < clear) & (placed.owner[i] < placed.owner[j])
    return set(zip(placed.owner[i[close]].tolist(), placed.owner[j[close]].tolist(), strict=True))


def every_pair(count: int) -> tuple[Index, Index]:
    i, j = np.meshgrid(np.arange(count), np.arange(count), indexing="ij")
    return i.reshape(-1), j.reshape(-1)
