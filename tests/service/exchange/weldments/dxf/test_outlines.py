"""Closed outlines of every sort of line become plates where they are drawn; the metal drawn holds all the metal there is."""

from __future__ import annotations

import itertools
import math

import pytest

from inventory.errors import InvalidDocument
from tests.service.exchange.weldments.dxf.drawings import area, box, codes, drawing, metal, only_body, only_part, reading

SQUARE = [(0, 0), (100, 0), (100, 60), (0, 60)]


def test_a_closed_polyline_is_a_plate_at_the_place_where_it_is_drawn() -> None:
    made, space = drawing()
    space.add_lwpolyline([(10, 20), (110, 20), (110, 80), (10, 80)], close=True)
    found = reading(made)
    (part,), (body,) = found.parts, found.bodies
    assert part.section.outline == ((0, 0), (100, 0), (100, 60), (0, 60))
    assert part.pose.at == (10, 20, 0) and part.pose.along == (0, 0, 1) and part.pose.up == (0, 1, 0)
    assert (part.id, part.length, body.words, found.units) == ("plate-1", 5, "plate 100 x 60, 5 mm thick", "mm")
    assert found.weldment is not None and found.remarks == ()


@pytest.mark.parametrize("order", list(itertools.permutations(range(4)))[::5])
@pytest.mark.parametrize("turned", [(), (1,), (0, 2), (0, 1, 2, 3)])
def test_lines_and_arcs_in_any_order_and_direction_make_the_same_plate(order: tuple[int, ...], turned: tuple[int, ...]) -> None:
    made, space = drawing()
    lines = {0: ((0, 0), (100, 0)), 2: ((100, 40), (0, 40))}
    for k in order:
        if k in lines:
            start, end = lines[k] if k not in turned else lines[k][::-1]
            space.add_line(start, end)
        else:
            space.add_arc((100 if k == 1 else 0, 20), 20, -90 if k == 1 else 90, 90 if k == 1 else 270)
    part = only_part(made)
    assert box(part) == pytest.approx((-20, 0, 120, 40))
    assert len(part.section.outline) == 2 * 26 and area(part.section.outline) > 0
    assert metal(part) == pytest.approx(4000 + math.pi * 400, rel=2e-3)


@pytest.mark.parametrize("radius", [3.0, 40.0, 500.0])
def test_outlines_go_round_their_circles_and_cut_outs_stay_inside_theirs(radius: float) -> None:
    made, space = drawing()
    space.add_circle((0, 0), radius)
    space.add_circle((0, 0), radius / 2)
    part = only_part(made)
    outer = [math.dist(point, (radius, radius)) for point in part.section.outline]
    (hole,) = part.section.cutouts
    inner = [math.dist(point, (radius, radius)) for point in hole]
    assert min(len(outer), len(inner)) >= 48 and max(len(outer), len(inner)) <= 1000
    assert radius <= min(outer) and max(outer) <= min(radius * 1.003, radius + 0.1001)
    assert max(inner) <= radius / 2 + 1e-6
    assert box(part) == pytest.approx((-radius, -radius, radius, radius))
    assert metal(part) >= math.pi * radius**2 * 0.75


def test_a_bite_keeps_all_the_metal_and_a_tongue_too() -> None:
    """Hand calculation: 100 x 60 less a half disc of radius 20, and with one more."""
    made, space = drawing()
    space.add_lwpolyline([(0, 0, 0), (30, 0, -1), (70, 0, 0), (100, 0, 0), (100, 60, 0), (0, 60, 0)], format="xyb", close=True)
    bite = only_part(made)
    made, space = drawing()
    space.add_lwpolyline([(0, 0, 0), (30, 0, 1), (70, 0, 0), (100, 0, 0), (100, 60, 0), (0, 60, 0)], format="xyb", close=True)
    tongue = only_part(made)
    half = math.pi * 200
    assert 0 <= metal(bite) - (6000 - half) < 0.003 * half
    assert 0 <= metal(tongue) - (6000 + half) < 0.003 * half
    assert box(tongue) == pytest.approx((0, -20, 100, 60))


def test_a_bulge_makes_the_arc_of_its_tangent() -> None:
    """Bulge = tan(angle / 4): a quarter circle is tan(22.5 degrees) (DXF reference, LWPOLYLINE)."""
    made, space = drawing()
    space.add_lwpolyline([(0, 0, 0), (50, 0, math.tan(math.pi / 8)), (0, 50, 0)], format="xyb", close=True)
    part = only_part(made)
    assert metal(part) == pytest.approx(math.pi * 2500 / 4, rel=2e-3) and metal(part) > math.pi * 2500 / 4


def test_ellipses_and_their_arcs() -> None:
    made, space = drawing()
    space.add_ellipse((0, 0), (40, 0), 0.5)
    space.add_ellipse((200, 0), (0, 40), 0.5, 0, math.pi)
    space.add_line((200, 40), (200, -40))
    whole, half = reading(made).parts
    assert box(whole) == pytest.approx((-40, -20, 40, 20), abs=1e-6)
    assert metal(whole) == pytest.approx(math.pi * 800, rel=2e-3) and metal(whole) > math.pi * 800
    assert metal(half) == pytest.approx(math.pi * 400, rel=2e-3)
    assert box(half) == pytest.approx((180, -40, 200, 40), abs=0.1)


def test_splines_are_followed_within_a_twentieth_of_a_millimetre() -> None:
    """A cubic from (0, 0) by (0, 60), (100, 60) to (100, 0): by hand, the area under it is 3600 mm2 and its top is at 45."""
    made, space = drawing()
    space.add_open_spline([(0, 0), (0, 60), (100, 60), (100, 0)], degree=3)
    space.add_line((100, 0), (0, 0))
    part = only_part(made)
    left, bottom, right, top = box(part)
    assert (left, bottom, right) == pytest.approx((0, 0, 100), abs=1e-6) and 45 - 0.05 <= top <= 45
    assert metal(part) == pytest.approx(3600, abs=0.05 * 200)
    assert 10 < len(part.section.outline) < 100


def test_rational_and_fitted_splines() -> None:
    """A quarter circle as a rational quadratic, weights 1, cos 45 degrees, 1 (Piegl and Tiller, The NURBS Book, 7.3; source not
    checked)."""
    made, space = drawing()
    space.add_rational_spline([(50, 0), (50, 50), (0, 50)], [1, math.sqrt(0.5), 1], degree=2)
    space.add_lwpolyline([(0, 50), (0, 0), (50, 0)])
    space.add_spline([(200, 0), (250, 20), (300, 0)])
    space.add_line((300, 0), (200, 0))
    quarter, fitted = reading(made).parts
    assert metal(quarter) == pytest.approx(math.pi * 2500 / 4, abs=0.05 * 80)
    assert box(fitted)[:3] == pytest.approx((200, 0, 300), abs=1e-6) and box(fitted)[3] >= 20 - 0.05


def test_what_lies_inside_is_cut_out_and_what_lies_in_that_is_a_plate_again() -> None:
    made, space = drawing()
    for size in (10, 30, 50, 70):
        space.add_lwpolyline([(-size, -size), (size, -size), (size, size), (-size, size)], close=True)
    parts = {part.id: part for part in reading(made).parts}
    assert {id: metal(part) for id, part in parts.items()} == {"plate-1": 60**2 - 20**2, "plate-2": 140**2 - 100**2}


def test_corners_between_lines_that_go_straight_on_are_none() -> None:
    made, space = drawing()
    space.add_lwpolyline([(0, 0), (30, 0), (100, 0), (100, 60), (40, 60), (0, 60), (0, 0)], close=True)
    assert only_part(made).section.outline == tuple(map(tuple, SQUARE))


@pytest.mark.parametrize(("size", "layers"), [(0.04, ("0", "0")), (0.04, ("CUT", "EDGE")), (0.3, ("0", "0"))])
def test_gaps_are_closed_up_to_the_tolerance_and_told(size: float, layers: tuple[str, str]) -> None:
    made, space = drawing()
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60)], dxfattribs={"layer": layers[0]})
    space.add_lwpolyline([(100 + size, 60), (0, 60), (0, 0)], dxfattribs={"layer": layers[1]})
    body = only_body(made, gap_mm=0.5)
    (remark,) = body.remarks
    assert remark.code == "outline.gap_closed" and f"{size:g} mm" in remark.text
    assert remark.at == pytest.approx((100, 60, 0), abs=1.01 * size)
    if size > 0.05:
        with pytest.raises(InvalidDocument) as caught:
            reading(made)
        assert "0.3 mm apart; ends up to 0.05 mm apart are joined" in caught.value.faults[1].wrong


def test_what_does_not_close_is_told_with_its_place_and_the_rest_is_read() -> None:
    made, space = drawing()
    space.add_lwpolyline(SQUARE, close=True)
    space.add_lwpolyline([(200, 0), (300, 0), (300, 60), (200, 2)], dxfattribs={"layer": "CUT"})
    space.add_line((100, 30), (150, 30))
    found = reading(made)
    assert len(found.parts) == 1 and codes(found.remarks) == ["outline.open", "outline.open"]
    bent, leader = found.remarks
    assert bent.where == "layer CUT, lwpolyline and 2 more" and bent.at == (200, 0, 0) and "2 mm apart" in bent.text
    assert leader.at == (100, 30, 0)


def test_a_line_that_ends_at_a_corner_is_told_and_the_outline_is_read() -> None:
    made, space = drawing()
    for a, b in zip(SQUARE, [*SQUARE[1:], SQUARE[0]], strict=True):
        space.add_line(a, b)
    space.add_line((100, 60), (150, 90))
    found = reading(made)
    assert [part.section.outline for part in found.parts] == [tuple(map(tuple, SQUARE))]
    assert codes(found.remarks) == ["outline.open"]


def test_a_line_across_leaves_open_which_outline_is_meant() -> None:
    made, space = drawing()
    for a, b in [*zip(SQUARE, [*SQUARE[1:], SQUARE[0]], strict=True), ((0, 0), (100, 60))]:
        space.add_line(a, b)
    with pytest.raises(InvalidDocument) as caught:
        reading(made)
    assert "more than two lines meet at (0, 0), (100, 60)" in caught.value.faults[1].wrong


def test_lines_drawn_twice_are_taken_once_and_told() -> None:
    made, space = drawing()
    for a, b in [*zip(SQUARE, [*SQUARE[1:], SQUARE[0]], strict=True), ((100, 0), (0, 0)), ((0, 60), (0, 0.0004))]:
        space.add_line(a, b)
    space.add_circle((50, 30), 10)
    space.add_arc((50, 30), 10, 0, 180)
    space.add_arc((50, 30), 10, 180, 360)
    found = reading(made)
    (part,) = found.parts
    assert metal(part) == pytest.approx(6000 - math.pi * 100, rel=2e-3)
    assert codes(found.remarks) == ["outline.doubled"] * 3
    assert [remark.at for remark in found.remarks[:2]] == [(50, 0, 0), pytest.approx((0, 30, 0), abs=0.01)]


def test_a_line_on_a_part_of_another_is_told_and_left_out() -> None:
    made, space = drawing()
    space.add_lwpolyline(SQUARE, close=True)
    space.add_line((20, 60), (60, 60))
    found = reading(made)
    (remark,) = found.remarks
    assert (remark.code, remark.at, len(found.parts)) == ("outline.doubled", (40, 60, 0), 1) and "for 40 mm" in remark.text


def test_outlines_that_cross_themselves_or_each_other_are_told_with_the_place() -> None:
    made, space = drawing()
    space.add_lwpolyline([(0, 0), (100, 100), (100, 0), (0, 100)], close=True)
    space.add_lwpolyline([(200, 0), (300, 0), (300, 60), (200, 60)], close=True)
    space.add_lwpolyline([(280, 20), (400, 20), (400, 40), (280, 40)], close=True)
    found = reading(made)
    assert [(body.name, body.outcome) for body in found.bodies] == [(f"outline-{k}", "not_recognised") for k in (1, 2, 3)]
    own, one, other = (body.remarks[0] for body in found.bodies)
    assert own.code == one.code == other.code == "outline.crossing"
    assert own.at == (50, 50, 0) and "crosses or touches itself at (50, 50)" in own.text
    assert one.at == other.at == (300, 20, 0) and found.weldment is None and len(found.undecided) == 3


def test_cut_outs_that_cross_stay_undecided_and_the_plate_says_so() -> None:
    made, space = drawing()
    space.add_lwpolyline(SQUARE, close=True)
    space.add_circle((40, 30), 10)
    space.add_circle((50, 30), 10)
    plate, *crossing = reading(made).bodies
    assert plate.outcome == "part" and codes(plate.remarks) == ["cutout.left_out"] * 2
    assert [body.outcome for body in crossing] == ["not_recognised"] * 2
    left_out = reading(made, left_out=("outline-2", "outline-3"))
    assert left_out.undecided == () and len(left_out.parts) == 1


def test_what_is_too_small_is_told_and_left_out() -> None:
    made, space = drawing()
    space.add_lwpolyline(SQUARE, close=True)
    space.add_circle((50, 30), 0.02)
    found = reading(made)
    assert codes(found.remarks) == ["outline.small"] and found.parts[0].section.cutouts == ()


def test_a_long_spline_is_drawn_with_no_more_corners_than_documents_take() -> None:
    made, space = drawing()
    points = [(k, 30 + 29 * math.sin(k)) for k in range(401)]
    space.add_open_spline(points, degree=3)
    space.add_lwpolyline([(400, points[-1][1]), (400, -10), (0, -10), (0, 30)])
    found = reading(made)
    (body,), (part,) = found.bodies, found.parts
    assert codes(body.remarks) == ["outline.coarse"] and 300 < len(part.section.outline) <= 1000


def test_an_outline_of_thousands_of_short_lines_is_drawn_with_fewer() -> None:
    made, space = drawing()
    points = [(500 * math.cos(k / 1500 * math.pi), 500 * math.sin(k / 1500 * math.pi)) for k in range(3000)]
    space.add_lwpolyline(points, close=True)
    found = reading(made)
    assert codes(found.bodies[0].remarks) == ["outline.coarse"] and 60 < len(found.parts[0].section.outline) <= 1000
    assert metal(found.parts[0]) == pytest.approx(math.pi * 500**2, rel=1e-3)


def test_what_is_no_plate_takes_up_room_by_the_users_word() -> None:
    made, space = drawing()
    space.add_lwpolyline([(10, 0), (110, 100), (110, 0), (10, 100)], close=True)
    found = reading(made, as_bodies=("outline-1",))
    (part,), (body,) = found.parts, found.bodies
    assert (part.section.shape, part.length, body.outcome) == ("body", 5, "body") and body.words.startswith(
        "outer body 100 x 100 x 5"
    )
    assert sorted(part.section.outline) == [(0, 0), (0, 100), (100, 0), (100, 100)] and part.pose.at == (10, 0, 0)
    assert reading(made, as_bodies=("*",)).undecided == ()
    assert [body.outcome for body in reading(made, as_bodies=("*",), thickness_mm=None).bodies] == ["not_recognised"]


def test_layers_and_plates_are_left_out_by_the_users_word() -> None:
    made, space = drawing()
    space.add_lwpolyline([(-50, -50), (400, -50), (400, 300), (-50, 300)], close=True, dxfattribs={"layer": "Frame"})
    space.add_lwpolyline(SQUARE, close=True)
    (framed,) = reading(made).parts
    assert len(framed.section.cutouts) == 1
    found = reading(made, left_out=("layer:FRAME",))
    assert [part.section.outline for part in found.parts] == [tuple(map(tuple, SQUARE))]
    assert found.remarks[0].text.startswith("entities left out as asked: 1")
    assert reading(made, left_out=("plate-1",)).bodies[0].outcome == "left_out"
