"""Convex pieces cut by planes: their corners, however many there are."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from inventory.shapes import PlaneCut, Prism
from solver.geometry.cut_solids import moments, piece_left
from solver.geometry.solids import pieces_of


@pytest.mark.parametrize("sides", [5, 500])
def test_a_prism_of_many_sides_keeps_its_whole_section_where_it_is_cut(sides: int) -> None:
    turns = [2 * math.pi * k / sides for k in range(sides)]
    ring = tuple((50 * math.cos(turn), 30 * math.sin(turn)) for turn in turns)
    (whole,) = pieces_of(Prism(ring, 0, 200))
    piece = piece_left(whole, [(np.array([1.0, 0.0, 1.0]), 100.0)])
    on = piece[np.abs(piece @ [1, 0, 1] - 100) < 1e-6]
    assert sides <= len(on) <= 2 * sides, "corners, and what rounding makes corners along a side"
    area = shapely.Polygon(ring).area
    assert shapely.area(shapely.convex_hull(shapely.multipoints(on[:, :2]))) == pytest.approx(area)
    assert moments([np.array(ring)], 0, 200, (PlaneCut((0, 0, 100), (1, 0, 1)),)).volume == pytest.approx(100 * area)


def test_points_that_lie_on_a_line_or_on_each_other_are_cut_like_others() -> None:
    flat = np.array([[x, 0.0, z] for x in (0.0, 0.0, 10.0, 20.0) for z in (0.0, 10.0)])
    left = piece_left(flat, [(np.array([0.0, 0.0, 1.0]), 5.0)])
    assert {tuple(point) for point in left.round(9).tolist()} >= {(0, 0, 0), (20, 0, 0), (0, 0, 5), (20, 0, 5)}
    assert float(left[:, 2].max()) == pytest.approx(5)
