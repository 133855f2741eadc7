"""Solids seen from above show the outline a draughtsman would draw."""

from __future__ import annotations

import math

import pytest

from inventory.shapes import PlaneCut, Prism
from service.drawings.projection import Silhouette, hull, silhouette

ALONG_X = ((0, 0, 1, 100), (1, 0, 0, 50), (0, 1, 0, 25), (0, 0, 0, 1))
SQUARE = ((0, 0), (40, 0), (40, 40), (0, 40))


def block(x0: float, x1: float, y1: float, low: float, high: float) -> Silhouette:
    """An upright block from y = 0."""
    return silhouette(Prism(((x0, 0), (x1, 0), (x1, y1), (x0, y1)), low, high))


def test_an_upright_block_shows_its_outline_and_its_cut_out() -> None:
    ring = silhouette(Prism(SQUARE, 0, 20, (((10, 10), (30, 10), (30, 30), (10, 30)),)))
    assert ring.rings[0] == ((0, 0), (40, 0), (40, 40), (0, 40))
    assert (ring.low, ring.high) == (0, 20)
    assert ring.covers(5, 5) and not ring.covers(20, 20) and not ring.covers(50, 5)


def test_a_tube_lying_along_x_shows_a_rectangle() -> None:
    shown = silhouette(Prism(((-25, -25), (25, -25), (25, 25), (-25, 25)), 0, 600, frame=ALONG_X))
    assert sorted(shown.rings[0]) == [(100, 25), (100, 75), (700, 25), (700, 75)]
    assert (shown.low, shown.high) == (0, 50)


def test_an_angle_lying_on_its_back_shows_its_full_width() -> None:
    outline = ((0, 0), (60, 0), (60, 6), (6, 6), (6, 60), (0, 60))
    x0, y0, x1, y1 = silhouette(Prism(outline, 0, 400, frame=ALONG_X)).box
    assert (x0, y0, x1, y1) == (100, 50, 500, 110)


def test_a_slanted_round_shows_its_hull() -> None:
    c = math.sqrt(0.5)
    frame = ((c, 0, c, 0), (0, 1, 0, 0), (-c, 0, c, 0), (0, 0, 0, 1))
    shown = silhouette(Prism(((-10, -10), (10, -10), (10, 10), (-10, 10)), 0, 100, frame=frame))
    assert shown.box == pytest.approx((-10 * c, -10, 110 * c, 10))


def test_the_hull_leaves_out_inner_and_edge_points() -> None:
    assert hull([(0, 0), (4, 0), (2, 0), (4, 4), (0, 4), (2, 2)]) == ((0, 0), (4, 0), (4, 4), (0, 4))


def test_only_what_is_lower_and_overlaps_is_hidden() -> None:
    part, rest = block(0, 100, 50, 40, 50), block(80, 110, 30, 0, 40)
    stop, beside = block(100, 130, 30, 0, 60), block(100, 130, 30, 0, 25)
    assert rest.reaches_under(part)
    assert not stop.reaches_under(part)
    assert not beside.reaches_under(part)


def test_a_mitred_tube_shows_its_slant() -> None:
    """Cut at 45 degrees through its edge at 600: that edge, u = 25, keeps its length."""
    tube = Prism(
        ((-25, -25), (25, -25), (25, 25), (-25, 25)), 0, 600, (((-22, -22), (22, -22), (22, 22), (-22, 22)),), ALONG_X,
        (PlaneCut((25, 0, 600), (-1, 0, 1)),),
    )  # fmt: skip
    shown = silhouette(tube)
    (ring,) = shown.rings
    assert sorted(ring) == [pytest.approx(place) for place in ((100, 25), (100, 75), (650, 25), (700, 75))]
    assert shown.covers(640, 30) and not shown.covers(690, 30) and shown.covers(690, 70)
    assert (shown.low, shown.high) == pytest.approx((0, 50))


def test_a_mitred_angle_shows_the_leg_behind_its_slant() -> None:
    """Cut down from its heel an angle's upright leg ends where the plane meets it; its level leg reaches on."""
    outline = ((0, 0), (60, 0), (60, 6), (6, 6), (6, 60), (0, 60))
    shown = silhouette(Prism(outline, 0, 400, frame=ALONG_X, cuts=(PlaneCut((0, 6, 400), (0, 1, 1)),)))
    assert shown.box == pytest.approx((100, 50, 500, 110))
    assert shown.covers(499, 109) and shown.high == pytest.approx(85)


def test_an_upright_post_with_a_slanting_side_shows_what_is_left() -> None:
    plate = Prism(SQUARE, 0, 20, (((10, 10), (30, 10), (30, 30), (10, 30)),), cuts=(PlaneCut((0, 20, 0), (0, 1, 0)),))
    shown = silhouette(plate)
    assert shown.covers(5, 15) and not shown.covers(20, 15) and not shown.covers(5, 25)
    assert len(shown.rings) == 1
