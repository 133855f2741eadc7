"""Drawn solids become parts: which shape, which way, and what is no prism says which face is in the way."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from solver.recognition import NoPrism, RecognisedPrism, SolidBoundary, outer_prism, recognise
from solver.weldment import Pose
from tests.solver.recognition.boundaries import polygon_prism, rectangle, round_prism

LYING = Pose((100.0, 50.0, 25.0), (1, 0, 0), (0, 0, 1)).frame()
CROOKED = Pose((-500.0, 20.0, 300.0), (1, 2, 3), (0.3, 1, 0)).frame()


def recognised(boundary: SolidBoundary) -> RecognisedPrism:
    found = recognise(boundary)
    assert isinstance(found, RecognisedPrism), found
    assert abs(found.deviation.volume_share) < 2e-5
    assert found.deviation.largest_mm < 0.01
    return found


@pytest.mark.parametrize("frame", [LYING, CROOKED], ids=["lying", "crooked"])
def test_sharp_box_tube_is_a_square_tube_along_its_own_axis(frame: np.ndarray) -> None:
    hollow = rectangle(44, 44, (-22, -22))[::-1]
    found = recognised(polygon_prism(rectangle(50, 50, (-25, -25)), 600, frame, [hollow]))
    assert found.section.shape == "square_tube"
    assert found.section.sizes == pytest.approx({"width": 50, "wall": 3, "corner_radius": 0})
    assert found.length == pytest.approx(600)
    assert np.abs(np.array(found.pose.along) @ frame[:3, 2]) == pytest.approx(1)
    assert np.array(found.pose.at) == pytest.approx(frame[:3, 3], abs=1e-5)


def test_width_of_a_rect_tube_lies_level_and_its_height_upright() -> None:
    hollow = rectangle(54, 34, (-27, -17))[::-1]
    found = recognised(polygon_prism(rectangle(60, 40, (-30, -20)), 600, LYING, [hollow]))
    assert (found.section.width, found.section.height) == (60, 40)
    on_edge = Pose((0, 0, 0), (1, 0, 0), (0, 1, 0)).frame()
    found = recognised(polygon_prism(rectangle(60, 40, (-30, -20)), 600, on_edge, [hollow]))
    assert (found.section.width, found.section.height) == (40, 60)
    assert found.pose.up == pytest.approx((0, 0, 1))


def test_tube_of_unequal_walls_keeps_its_outline() -> None:
    hollow = rectangle(54, 30, (-27, -17))[::-1]
    found = recognised(polygon_prism(rectangle(60, 40, (-30, -20)), 600, LYING, [hollow]))
    assert found.section.shape == "plate"
    assert len(found.section.plate_cutouts) == 1
    assert found.length == 600


@pytest.mark.parametrize(("bore", "shape"), [(54.3, "round_tube"), (0.0, "round_bar")])
def test_rounds_are_known_by_their_cylinders(bore: float, shape: str) -> None:
    found = recognised(round_prism(60.3, 500, CROOKED, bore))
    assert found.section.shape == shape
    assert found.section.diameter == pytest.approx(60.3)
    assert found.length == pytest.approx(500)


def test_round_thinner_than_its_radius_is_a_round_plate_that_holds_the_circle() -> None:
    found = recognise(round_prism(100, 10))
    assert isinstance(found, RecognisedPrism)
    assert found.section.shape == "plate"
    middle = np.mean(found.section.plate_outline, axis=0)
    corners = np.hypot(*(np.array(found.section.plate_outline) - middle).T)
    assert corners.min() >= 50
    assert corners.max() < 50.15


def test_angle_has_its_heel_as_origin_and_leg_a_along_u() -> None:
    outline = [(0.0, 0.0), (60.0, 0.0), (60.0, 5.0), (5.0, 5.0), (5.0, 40.0), (0.0, 40.0)]
    found = recognised(polygon_prism(outline, 400, LYING))
    assert found.section.sizes == pytest.approx({"leg_a": 60, "leg_b": 40, "thickness": 5})
    assert found.pose.at == pytest.approx((100, 50, 25))
    assert found.pose.up == pytest.approx((0, 0, 1))
    against = Pose((100.0, 50.0, 25.0), (-1, 0, 0), (0, 0, 1)).frame()
    found = recognised(polygon_prism(outline, 400, against))
    assert found.pose.along == pytest.approx((1, 0, 0))
    assert (found.section.leg_a, found.section.leg_b) == pytest.approx((40, 60))
    assert found.pose.at == pytest.approx((-300, 50, 25))


def test_l_shaped_plate_is_no_angle() -> None:
    outline = [(0.0, 0.0), (100.0, 0.0), (100.0, 20.0), (20.0, 20.0), (20.0, 100.0), (0.0, 100.0)]
    assert recognised(polygon_prism(outline, 8)).section.shape == "plate"
    assert recognised(polygon_prism(outline, 20)).section.shape == "angle"


def test_channel_has_its_web_s_back_as_origin() -> None:
    outline = [(0.0, -40.0), (50.0, -40.0), (50.0, -33.0), (4.0, -33.0), (4.0, 33.0), (50.0, 33.0), (50.0, 40.0), (0.0, 40.0)]
    found = recognised(polygon_prism(outline, 300, LYING))
    assert found.section.sizes == pytest.approx({"height": 80, "flange": 50, "web": 4, "flange_thickness": 7})
    assert found.pose.at == pytest.approx((100, 50, 25))
    assert found.pose.up == pytest.approx((0, 0, 1))


@pytest.mark.parametrize(
    ("length", "width", "thickness", "shape"),
    [
        (301, 100, 8, "flat_bar"),
        (300, 100, 8, "plate"),
        (130, 50, 50, "flat_bar"),
        (90, 60, 30, "plate"),
        (90, 60, 31, "flat_bar"),
    ],
)
def test_long_or_thick_blocks_are_flat_bars_the_rest_plates(length: float, width: float, thickness: float, shape: str) -> None:
    found = recognised(polygon_prism(rectangle(width, thickness), length, LYING))
    assert found.section.shape == shape
    assert found.length == (length if shape == "flat_bar" else thickness)


def test_triangle_is_a_plate_along_its_legs() -> None:
    found = recognised(polygon_prism([(0.0, 0.0), (90.0, 0.0), (0.0, 60.0)], 8, LYING))
    assert found.section.plate_outline == ((0, 0), (90, 0), (0, 60))
    assert found.length == 8


def test_hexagonal_bar_keeps_its_axis_though_its_flats_are_wide() -> None:
    outline = [(20 * math.cos(k * math.pi / 3), 20 * math.sin(k * math.pi / 3)) for k in range(6)]
    found = recognised(polygon_prism(outline, 300, LYING))
    assert (found.section.shape, found.length, found.cuts) == ("plate", 300, ())
    assert len(found.section.plate_outline) == 6


def test_facets_that_stand_for_a_circle_are_a_round_tube() -> None:
    outer = [
        (
            30.15 / math.cos(math.pi / 48) * math.cos((k + 0.5) * math.pi / 24),
            30.15 / math.cos(math.pi / 48) * math.sin((k + 0.5) * math.pi / 24),
        )
        for k in range(48)
    ]
    bore = [(27.15 * math.cos(k * math.pi / 24), -27.15 * math.sin(k * math.pi / 24)) for k in range(48)]
    found = recognise(polygon_prism(outer, 500, CROOKED, [bore]))
    assert isinstance(found, RecognisedPrism)
    assert found.section.sizes == pytest.approx({"diameter": 60.3, "wall": 3})
    assert [sighting.code for sighting in found.sightings] == ["section.facets"]
    hexagon = [(30 * math.cos(k * math.pi / 3), 30 * math.sin(k * math.pi / 3)) for k in range(6)]
    assert recognised(polygon_prism(hexagon, 500)).section.shape == "plate"


def test_step_is_named_by_its_face() -> None:
    outline = [(0.0, 0.0), (60.0, 0.0), (60.0, 5.0), (5.0, 5.0), (5.0, 40.0), (0.0, 40.0)]
    boundary = polygon_prism(outline, 40)
    *walls, _, floor = polygon_prism(rectangle(2, 2, (10, 1)), 3).faces
    pocket = [replace(face, number=95 + k) for k, face in enumerate((*walls, floor))]
    stepped = SolidBoundary((*boundary.faces, *pocket), boundary.volume)
    found = recognise(stepped)
    assert isinstance(found, NoPrism)
    assert ("face.inner_step", 99) in [(reason.code, reason.face) for reason in found.reasons]


def test_places_that_are_no_numbers_and_faces_without_size_are_told() -> None:
    bar = round_prism(20, 100)
    skin, *ends = bar.faces

    def code(changed: SolidBoundary) -> str:
        found = recognise(changed)
        assert isinstance(found, NoPrism)
        return found.reasons[0].code

    assert isinstance(recognise(bar), RecognisedPrism)
    assert code(replace(bar, volume=0.0)) == "solid.no_volume"
    assert code(replace(bar, faces=(replace(skin, loops=()), *ends))) == "solid.unreadable"
    for spoilt, wanted in (
        ({"radius": 0.0}, "solid.unreadable"),
        ({"axis": (math.nan, 0, 1)}, "solid.too_far"),
        ({"first": 1e9}, "solid.too_far"),
    ):
        assert code(replace(bar, faces=(replace(skin, surface=replace(skin.surface, **spoilt)), *ends))) == wanted


def test_a_round_face_does_not_widen_an_outer_prism_along_its_axis() -> None:
    """A pin with a flange: what its circles may stray beyond their points, they stray square to its axis."""
    pin, flange = round_prism(20, 60), round_prism(200, 10)
    prism = outer_prism(replace(pin, faces=(*pin.faces, *(replace(face, number=face.number + 3) for face in flange.faces))))
    corners = np.array([(u, v, w) for u, v in prism.outline for w in (0.0, prism.length)])
    frame = prism.pose.frame()
    wide, deep, high = np.ptp(corners @ frame[:3, :3].T, axis=0)
    assert high == pytest.approx(60, abs=0.01)
    assert max(wide, deep) == pytest.approx(200, abs=200 * (1 - math.cos(math.radians(2.5))) + 0.01)


def test_outer_prism_holds_every_point_of_what_is_no_prism() -> None:
    boundary = polygon_prism([(0.0, 0.0), (100.0, 0.0), (80.0, 60.0), (30.0, 10.0), (0.0, 60.0)], 40, CROOKED)
    prism = outer_prism(boundary)
    part = prism.part("knob")
    frame = part.pose.frame()
    seen = (boundary.points - frame[:3, 3]) @ frame[:3, :3]
    assert seen[:, 2].min() >= -1e-6
    assert seen[:, 2].max() <= part.length + 1e-6
    ring = np.array(part.section.outline)
    edges = np.roll(ring, -1, axis=0) - ring
    for corner, edge in zip(ring, edges, strict=True):
        assert (edge[0] * (seen[:, 1] - corner[1]) - edge[1] * (seen[:, 0] - corner[0])).min() >= -1e-6
    for cut in part.cuts:
        assert (seen @ np.array(cut.normal)).max() <= cut.offset + 1e-6
