"""What cuts leave of a part's faces, and the faces they make."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from inventory.shapes import PlaneCut
from solver.geometry.cut_faces import left_of, part_faces
from solver.geometry.faces import facing, pad_axes, tangent_face
from solver.geometry.pads import pad_patches
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.outside import meshes
from tests.outside.corners import TUBE, corner
from tests.outside.cut_prisms import MITRE, a_cut_part, mitred_tube

SHARP = Section("square_tube", width=50, wall=3, corner_radius=0.0)


def test_faces_close_round_what_is_left() -> None:
    """The flat faces of a sharp-edged part enclose it: by the divergence theorem their areas give its volume."""
    for seed in range(120):
        part = a_cut_part(Random(seed))
        if part.section.round or part.section.hollow:
            continue
        body = meshes.solid(part.drawn)
        faces = part_faces(0, part, part.pose.frame())
        share = sum(face.shape.area * face.height for face in faces) / 3
        area = sum(face.shape.area for face in faces)
        assert area == pytest.approx(body.surface_area(), rel=2e-2), seed
        assert share == pytest.approx(body.volume(), rel=2e-2, abs=0.02 * area), seed


def test_faces_of_a_mitred_tube() -> None:
    faces = {face.label: face for face in part_faces(0, mitred_tube(section=SHARP), np.eye(4))}
    assert set(faces) == {"start", "side:0", "side:1", "side:2", "side:3", "cut:0"}
    assert faces["side:0"].rectangle == pytest.approx((400, 50)) and faces["side:2"].rectangle == pytest.approx((350, 50))
    assert faces["side:1"].rectangle is None and faces["side:1"].shape.area == pytest.approx(375 * 50)
    mitre = faces["cut:0"]
    assert mitre.shape.area == pytest.approx((50**2 - 44**2) * math.sqrt(2))
    assert mitre.whole.area == pytest.approx(50**2 * math.sqrt(2))
    assert mitre.hollow and mitre.wall == 3 and mitre.normal == pytest.approx(MITRE.normal)


def test_a_part_without_cuts_has_no_cut_faces() -> None:
    assert {face.label for face in part_faces(0, b.tube(), np.eye(4))} == {"start", "end", "side:0", "side:1", "side:2", "side:3"}


def test_a_square_cut_makes_an_end_like_any_other() -> None:
    cut, plain = (
        {face.label: face for face in part_faces(0, part, np.eye(4))}
        for part in (mitred_tube(cuts=(PlaneCut((0, 0, 300), (0, 0, 1)),)), b.tube(length=300))
    )
    assert cut["cut:0"].shape.area == pytest.approx(plain["end"].shape.area)
    assert cut["side:0"].rectangle == pytest.approx(plain["side:0"].rectangle)
    assert "end" not in cut


def test_an_end_cut_through_its_hollow_keeps_what_is_left_of_its_rim() -> None:
    """Hand calculation: a plane that meets the end at its middle line leaves half of the rim there."""
    cut = PlaneCut((0.0, 0.0, 400.0), (-1.0, 0.0, 1.0))
    faces = {face.label: face for face in part_faces(0, mitred_tube(section=SHARP, cuts=(cut,)), np.eye(4))}
    assert faces["end"].shape.area == pytest.approx((50**2 - 44**2) / 2)
    assert faces["end"].whole.area == pytest.approx(50 * 25)
    assert faces["cut:0"].whole.area == pytest.approx(50 * 25 * math.sqrt(2))


def test_a_mitred_round_tube_is_touched_as_far_as_it_goes() -> None:
    part = Part("rod", Section("round_bar", diameter=40), 200, Pose((0, 0, 0), (1, 0, 0), (0, 0, 1)),
                cuts=(PlaneCut((0, 0, 150), (0, 1, 1)),))  # fmt: skip
    frame = part.pose.frame()
    for normal, length in ((b.Z, 130.0), ((0.0, 0.0, -1.0), 170.0)):
        line = tangent_face(0, part, frame, np.array(normal))
        assert line is not None
        assert left_of([line], part, frame)[0].shape.length == pytest.approx(length)


@pytest.mark.parametrize("degrees", [60.0, 90.0, 120.0, 151.5])
def test_mitred_tubes_touch_with_their_whole_cuts(degrees: float) -> None:
    """Hand calculation: the cut is as wide as the tube is high, and as long as it is wide over the sine of half the angle."""
    one, two = corner(degrees, TUBE).parts
    faces = [next(f for f in part_faces(k, p, p.pose.frame()) if f.label == "cut:0") for k, p in enumerate((one, two))]
    patch = facing(*faces)
    assert patch is not None
    size = np.ptp(faces[0].flat(patch), axis=0)
    assert size == pytest.approx([50, 50 / math.sin(math.radians(degrees / 2))], abs=0.01)


def test_pads_on_a_shortened_face_are_as_on_its_polygon() -> None:
    face = next(face for face in part_faces(0, mitred_tube(), mitred_tube().pose.frame()) if face.label == "side:1")
    assert face.sides is not None and face.rectangle is None
    draw = Random(1)
    centres = np.array([[draw.uniform(320, 420), draw.uniform(-40, 40), 50.0] for _ in range(300)])
    quick = pad_patches(face, centres, pad_axes(-face.normal), (30, 20), 3.0)
    slow = pad_patches(replace(face, sides=None), centres, pad_axes(-face.normal), (30, 20), 3.0)
    order, other = np.argsort(quick.pads), np.argsort(slow.pads)
    assert quick.pads[order].tolist() == slow.pads[other].tolist() and 50 < len(quick.pads) < 250
    assert quick.points[order] == pytest.approx(slow.points[other])
