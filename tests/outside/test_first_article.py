"""The first-article check against hand calculations: Pythagoras, and a plate on a plain 3-2-1."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from inventory.shapes import Point3
from solver.first_article import ArticleMeasure, first_article
from solver.plans import PlacedContact, Placement, Role
from solver.weldment import Tolerance
from tests import builders as b
from tests.solver.first_article.fixtures_by_hand import alternative, frame, lying, measures, of_kind

ERROR = 0.1
STOCK = b.shelf((b.stop(repeatability_mm=ERROR), 3))
CORNER: Point3 = (300, 125, 8)


def stop(id: str, hole: str, turn: float, role: Role, face: str, at: Point3, normal: Point3) -> Placement:
    """A stop whose pad touches the plate's edge at one point."""
    contact = PlacedContact("plate", face, at, normal, (at, at))
    return Placement(id, "stop", hole, turn, None, None, (("plate", role),), (), None, (contact,))


def plate_on_three_stops() -> tuple[ArticleMeasure, ...]:
    """A plate 320 x 130 at (135, 135): stops under its near edge 65 and 265 mm from its left edge, at that one 65 mm up."""
    weldment = b.weldment(
        b.plate("plate", (320, 130), 8),
        tolerances=tuple(Tolerance("plate", CORNER, way, 1.0) for way in (b.X, b.Y, b.Z)),
    )
    stops = (
        stop("s1", "E3", 0, "side", "side:0", (200, 135, 4), b.Y),
        stop("s2", "J3", 0, "side", "side:0", (400, 135, 4), b.Y),
        stop("e1", "C5", 270, "end", "side:3", (135, 200, 4), b.X),
    )
    answer = alternative(weldment, lying(at=(135, 135, 0)), stops)
    return first_article(b.request(weldment), STOCK, answer)


def test_a_point_of_a_plate_on_two_side_stops_and_an_end_stop() -> None:
    # Hand calculation: the plate turns by (s2 - s1) / 200. At (300, 125), x follows e1 + (125 - 65) (s1 - s2) / 200 = e1 + 0.3 s1
    # - 0.3 s2, and y follows s1 + (300 - 65) (s2 - s1) / 200 = -0.175 s1 + 1.175 s2. The table alone holds z.
    x, y, z = plate_on_three_stops()
    assert (x.worst_mm, x.rss_mm) == pytest.approx((1.6 * ERROR, sqrt(1.18) * ERROR), abs=1e-9)
    assert (y.worst_mm, y.rss_mm) == pytest.approx((1.35 * ERROR, hypot(0.175, 1.175) * ERROR), abs=1e-9)
    assert (z.worst_mm, z.rss_mm) == pytest.approx((0, 0), abs=1e-9)


def test_a_point_is_measured_where_it_lies_on_the_table() -> None:
    assert [one.nominal_mm for one in plate_on_three_stops()] == [435, 260, 8]


@pytest.mark.parametrize(("width", "depth", "diagonal"), [(800, 600, 1000), (1200, 500, 1300)])
def test_diagonals_of_a_frame_by_pythagoras(width: float, depth: float, diagonal: float) -> None:
    found = of_kind("diagonal", measures(frame(width, depth), lying(at=(100, 60, 0))))
    assert [one.nominal_mm for one in found] == [diagonal, diagonal]
