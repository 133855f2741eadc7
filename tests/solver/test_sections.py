"""Sections: faces by the documents' numbers, circles by polygons that never lie about metal, sizes that make no sense."""

from __future__ import annotations

import math

import pytest

from inventory.errors import InvalidDocument
from solver.sections import Section, signed_area


def pointers(**sizes: object) -> list[str]:
    with pytest.raises(InvalidDocument) as refusal:
        Section(**sizes)  # type: ignore[arg-type]
    return [fault.pointer for fault in refusal.value.faults]


def test_four_sided_sections_count_their_faces_from_plus_u() -> None:
    tube = Section("rect_tube", width=80, height=40, wall=3)
    assert [edge.label for edge in tube.edges] == ["side:0", "side:1", "side:2", "side:3"]
    assert [edge.normal for edge in tube.edges] == [(1, 0), (0, 1), (-1, 0), (0, -1)]
    assert {abs(edge.a[0]) for edge in (tube.edges[0], tube.edges[2])} == {40}


def test_a_tubes_flat_ends_where_its_corner_begins() -> None:
    flat = Section("square_tube", width=60, wall=4).edges[1]
    assert sorted((flat.a[0], flat.b[0])) == [-22, 22]
    sharp = Section("square_tube", width=60, wall=4, corner_radius=0).edges[1]
    assert sorted((sharp.a[0], sharp.b[0])) == [-30, 30]


def test_a_tube_rounded_all_the_way_has_no_flat_there() -> None:
    oval = Section("rect_tube", width=80, height=40, wall=3, corner_radius=20)
    assert [edge.label for edge in oval.edges] == ["side:1", "side:3"]
    assert len(set(oval.outline)) == len(oval.outline)


def test_an_angles_faces_run_counter_clockwise_from_the_heel() -> None:
    angle = Section("angle", leg_a=60, leg_b=40, thickness=5)
    assert angle.edges[0].normal == (0, -1)
    assert angle.edges[-1].normal == (-1, 0)
    assert (angle.edges[0].a, angle.edges[0].b) == ((0, 0), (60, 0))
    assert len(angle.edges) == 6


def test_a_channels_faces_run_from_the_lower_end_of_the_webs_back() -> None:
    channel = Section("channel", height=100, flange=50, web=5, flange_thickness=8)
    assert channel.edges[0].normal == (0, -1)
    assert channel.edges[0].a == (0, -50)
    assert channel.edges[7].normal == (-1, 0)
    assert len(channel.edges) == 8


@pytest.mark.parametrize("sense", [1, -1])
def test_a_plates_faces_follow_its_own_outline_whichever_way_it_winds(sense: int) -> None:
    outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0))[::sense]
    hole = ((20.0, 20.0), (40.0, 20.0), (40.0, 40.0), (20.0, 40.0))
    plate = Section("plate", plate_outline=outline, plate_cutouts=(hole,))
    for k in range(4):
        edge = plate.edges[k]
        assert (edge.label, edge.a, edge.b) == (f"side:{k}", outline[k], outline[(k + 1) % 4])
        middle = ((edge.a[0] + edge.b[0]) / 2 - 50, (edge.a[1] + edge.b[1]) / 2 - 30)
        assert middle[0] * edge.normal[0] + middle[1] * edge.normal[1] > 0
    inner = next(edge for edge in plate.edges if edge.label == "cutout:0:0")
    assert inner.normal == (0, 1)  # the lower edge of the hole is met from inside the hole, above it


def test_outer_circles_circumscribe_and_holes_inscribe() -> None:
    tube = Section("round_tube", diameter=60, wall=5)
    assert len(tube.outline) >= 48
    assert min(math.dist((0, 0), middle) for middle in middles(tube.outline)) == pytest.approx(30)
    assert max(math.dist((0, 0), point) for point in tube.cutouts[0]) == pytest.approx(25)


def middles(ring: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    return [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)]


@pytest.mark.parametrize(
    ("sizes", "area"),
    [
        ({"shape": "angle", "leg_a": 60, "leg_b": 40, "thickness": 5}, 60 * 5 + 35 * 5),
        ({"shape": "channel", "height": 100, "flange": 50, "web": 5, "flange_thickness": 8}, 2 * 50 * 8 + 84 * 5),
        ({"shape": "flat_bar", "width": 50, "thickness": 10}, 500),
        ({"shape": "round_bar", "diameter": 20}, 100 * math.pi),
        ({"shape": "square_tube", "width": 50, "wall": 3, "corner_radius": 0}, 50**2 - 44**2),
    ],
)
def test_areas_by_hand(sizes: dict[str, object], area: float) -> None:
    assert Section(**sizes).properties.area == pytest.approx(area, rel=1e-4)  # type: ignore[arg-type]


def test_a_plates_winding_does_not_change_its_properties() -> None:
    outline = ((0.0, 0.0), (100.0, 0.0), (60.0, 60.0), (0.0, 40.0))
    assert signed_area(outline) > 0 > signed_area(outline[::-1])
    one = Section("plate", plate_outline=outline).properties
    two = Section("plate", plate_outline=outline[::-1]).properties
    assert (two.area, *two.centroid, two.i_uu, two.i_vv) == pytest.approx((one.area, *one.centroid, one.i_uu, one.i_vv))


def test_sizes_that_leave_no_metal_or_no_opening_are_refused() -> None:
    assert pointers(shape="square_tube", width=50, wall=25) == ["/wall"]
    assert pointers(shape="round_tube", diameter=20, wall=10) == ["/wall"]
    assert pointers(shape="angle", leg_a=60, leg_b=20, thickness=20) == ["/thickness"]
    assert pointers(shape="channel", height=100, flange=50, web=50, flange_thickness=50) == ["/web", "/flange_thickness"]
    Section("square_tube", width=50, wall=24.9, corner_radius=0)
    Section("round_tube", diameter=20, wall=9.9)


def test_a_corner_radius_may_be_half_the_least_side_and_no_more() -> None:
    assert pointers(shape="rect_tube", width=80, height=40, wall=3, corner_radius=20.1) == ["/corner_radius"]
    assert pointers(shape="square_tube", width=20, wall=5.5) == ["/corner_radius"]
    Section("square_tube", width=20, wall=5)
    Section("square_tube", width=20, wall=5.5, corner_radius=0)


def test_every_missing_or_foreign_size_is_named() -> None:
    assert pointers(shape="rect_tube", width=50, diameter=20) == ["/wall", "/height", "/diameter"]
    assert pointers(shape="round_bar", diameter=20, corner_radius=2) == ["/corner_radius"]
    assert pointers(shape="flat_bar", width=float("nan"), thickness=True) == ["/width", "/thickness"]
    assert pointers(shape="hexagon") == ["/shape"]
