"""Cuts as values: directions of length one, at most eight, something left; what bounds a cut prism above its outline."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from inventory.cuts import Bounds, PlaneCut, area, clipped, lowest
from inventory.errors import InvalidDocument
from inventory.shapes import Prism, as_matrix, turned

SQUARE = ((-10.0, -10.0), (10.0, -10.0), (10.0, 10.0), (-10.0, 10.0))
MITRE = PlaneCut((0, 0, 80), (3, 0, 3))


def pointers(make: Callable[[], Any]) -> list[str]:
    with pytest.raises(InvalidDocument) as refusal:
        make()
    return [fault.pointer for fault in refusal.value.faults]


def test_a_cut_keeps_its_normal_at_length_one() -> None:
    assert MITRE.normal == pytest.approx((math.sqrt(0.5), 0, math.sqrt(0.5)))
    assert MITRE.offset == pytest.approx(80 * math.sqrt(0.5))
    assert PlaneCut((0, 0, 5), (0, 0, -7)).normal == (0, 0, -1)


def test_a_cut_needs_a_finite_point_and_a_normal() -> None:
    assert pointers(lambda: PlaneCut((0, 0, math.inf), (0, 0, 0))) == ["/point/2", "/normal"]
    assert pointers(lambda: PlaneCut((0, 0, 0), (0, math.nan, 1))) == ["/normal"]


def test_a_prism_keeps_its_cuts_where_it_is_placed() -> None:
    prism = Prism(SQUARE, 0, 100, cuts=(MITRE,))
    placed = prism.placed(turned(90, (1, 2, 3)))
    assert placed == Prism(SQUARE, 0, 100, (), as_matrix(turned(90, (1, 2, 3))), (MITRE,))


def test_something_of_a_prism_is_left() -> None:
    away = PlaneCut((0, 0, 0), (0, 0, 1))
    assert pointers(lambda: Prism(SQUARE, 0, 100, cuts=(away,))) == ["/cuts"]
    assert pointers(lambda: Prism(SQUARE, 0, 100, cuts=(MITRE, PlaneCut((0, 0, 91), (0, 0, -1))))) == ["/cuts"]
    assert pointers(lambda: Prism(SQUARE, 0, 100, cuts=(MITRE,) * 9)) == ["/cuts"]
    assert Prism(SQUARE, 0, 100, cuts=(MITRE, PlaneCut((0, 0, 89), (0, 0, -1)))).cuts


def test_a_frame_of_which_a_cut_leaves_only_the_hole_is_nothing() -> None:
    hole = tuple((0.9 * u, 0.9 * v) for u, v in SQUARE)
    walls = (PlaneCut((8, 0, 0), (1, 0, 0)), PlaneCut((-8, 0, 0), (-1, 0, 0)))
    ends = (PlaneCut((0, 8, 0), (0, 1, 0)), PlaneCut((0, -8, 0), (0, -1, 0)))
    assert Prism(SQUARE, 0, 100, (hole,), cuts=walls).cuts
    assert pointers(lambda: Prism(SQUARE, 0, 100, (hole,), cuts=walls + ends)) == ["/cuts"]


def test_bounds_tell_what_is_left_above_the_outline() -> None:
    """Hand calculation: w is at most 80 - u, so that nothing is left above 85 where u is more than -5."""
    bounds = Bounds.of(85, 100, (MITRE,))
    left = clipped(np.array(SQUARE), bounds.half_planes())
    assert left.max(axis=0) == pytest.approx([-5, 10], abs=2e-3) and area(left) == pytest.approx(5 * 20, abs=0.05)
    assert len(list(bounds.cells())) == 2


def test_the_lowest_place_of_what_is_left() -> None:
    assert lowest(SQUARE, (0, 100), (MITRE,), (0, 0, -1)) == pytest.approx(-90)
    assert lowest(SQUARE, (0, 100), (MITRE,), (0, 0, 1)) == pytest.approx(0)
    assert lowest(SQUARE, (0, 100), (MITRE,), (-1, 0, -1)) == pytest.approx(-80)
