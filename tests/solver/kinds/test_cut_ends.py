"""Mitred and sloped ends: corners, gables, struts, stops against a slant."""

from __future__ import annotations

import math

import numpy as np
import pytest

from inventory.shapes import PlaneCut
from solver.hardware.matching import LEAST_PATCH
from solver.laying.fit import fit_faults
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import drawn_samples, lay_out
from solver.plans import PlacedContact
from solver.rule_book.book import RuleBook
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests import builders as b
from tests.outside.corners import TUBE, corner, mitred
from tests.solver.kinds.shop import pieces, planned, swivel, vee

EIGHTHS = tuple(45.0 * k for k in range(8))
TURNING = b.adjustable_stop("turning", step=0, travel=40, turns="any")


def laid_out(weldment: Weldment) -> LaidWeldment:
    assert list(fit_faults(weldment.parts, weldment.welds, 0.1)) == []
    samples, shut = drawn_samples(weldment, RuleBook({}))
    assert not shut
    return lay_out(weldment, RuleBook({}), np.eye(3), 0.0, samples)


def shelf(turning: int = 6) -> object:
    return b.shelf((b.stop(), 8), (TURNING, turning), (b.down_clamp(), 4), (b.down_clamp("long-clamp", reach=120), 4))


def contacts(found: object, part: str) -> list[PlacedContact]:
    alternative = found.alternatives[0]  # type: ignore[attr-defined]
    return [contact for piece in alternative.placements if piece.locates for contact in piece.contacts if contact.part == part]


@pytest.mark.parametrize("alternatives", [1, pytest.param(3, marks=pytest.mark.slow)])
def test_a_tube_sawn_off_square_is_held_like_one_of_that_length(alternatives: int) -> None:
    """Metamorphic: the cut end is `cut:0` in place of `end`, and nothing else changes."""
    sawn = Part("tube", TUBE, 600, b.tube().pose, cuts=(PlaneCut((0, 0, 500), (0, 0, 1)),))
    one, other = (planned(b.weldment(part), b.plain_shelf(), alternatives=alternatives) for part in (sawn, b.tube(length=500)))
    assert [a.cost for a in one.alternatives] == [a.cost for a in other.alternatives]
    assert one.status == other.status == "optimal"


def test_a_mitred_corner_is_held_by_its_long_faces_and_its_mitre() -> None:
    """The second tube gets its end point from the first: their cuts touch, square to the mitre."""
    found = planned(corner(90), shelf())  # type: ignore[arg-type]
    (mate,) = found.alternatives[0].part_contacts
    assert sorted(abs(value) for value in mate.normal) == pytest.approx([0, math.sqrt(0.5), math.sqrt(0.5)])
    later = [role for piece in found.alternatives[0].placements for part, role in piece.locates if part == mate.part]
    assert later == ["side", "side"]


def test_the_seam_of_a_mitre_is_welded_from_above() -> None:
    """The bead on top of two level tubes lies in a wedge of 180 degrees; the torch comes down within its work angle."""
    laid = laid_out(corner(90))
    assert laid.samples and all(sample.wedge.bisector == pytest.approx([0, 0, 1]) for sample in laid.samples)
    assert all(math.degrees(sample.wedge.opening) == pytest.approx(180, abs=1) for sample in laid.samples)


@pytest.mark.parametrize("degrees", [120.0, pytest.param(60.0, marks=pytest.mark.slow)])
def test_corners_at_other_angles_need_pieces_that_turn(degrees: float) -> None:
    found = planned(corner(degrees), shelf())  # type: ignore[arg-type]
    assert "turning" in pieces(found)


@pytest.mark.slow
def test_bars_and_rectangular_tubes_are_mitred_too() -> None:
    for section, height in (
        (Section("flat_bar", width=60, thickness=20), 20),
        (Section("rect_tube", width=60, height=40, wall=4), 40),
    ):
        assert planned(corner(90, section, height), shelf()).status == "optimal"  # type: ignore[arg-type]


@pytest.mark.slow
def test_mitred_round_tubes_lie_in_v_blocks() -> None:
    tubes = corner(90, Section("round_tube", diameter=60, wall=3), 60)
    stock = b.shelf((vee(turns="any"), 6), (b.stop(height=80), 6), (swivel(), 4), (TURNING, 4), (b.down_clamp(high=120), 4))
    assert pieces(planned(tubes, stock)).count("vee") == 4


def trapezium() -> Part:
    """A tube mitred at 45 degrees at both ends, both slants to one side."""
    ends = (PlaneCut((25, 0, 400), (-1, 0, 1)), PlaneCut((25, 0, 0), (-1, 0, -1)))
    return Part("bar", TUBE, 400, b.tube().pose, cuts=ends)


def test_a_stop_turned_by_45_degrees_gives_a_mitred_end_its_end_point() -> None:
    fixed = b.stop("stop-45", face=25, width=24, turns=EIGHTHS)
    found = planned(b.weldment(trapezium()), b.shelf((fixed, 6), (b.down_clamp(), 2)))
    faces = {contact.face: contact.normal for contact in contacts(found, "bar")}
    slants = [normal for face, normal in faces.items() if face.startswith("cut:")]
    assert len(slants) == 1 and [abs(value) for value in slants[0]] == pytest.approx([math.sqrt(0.5), math.sqrt(0.5), 0])


def test_stops_along_the_lattice_alone_give_a_part_mitred_at_both_ends_no_end_point() -> None:
    found = planned(b.weldment(trapezium()), b.shelf((b.stop(), 8), (b.down_clamp(), 2)))
    assert found.status == "infeasible"


def gable() -> Weldment:
    """Two rafters at 30 degrees, 300 long on their middle lines, cut plumb at the ridge and level at their feet."""
    slope = math.radians(30)
    ridge, foot = np.array([300 * math.cos(slope), 300 * math.sin(slope), 25.0]), np.array([0.0, 0.0, 25.0])
    other = np.array([2 * ridge[0], 0.0, 25.0])
    plumb, level = np.array([1.0, 0.0, 0.0]), np.array([0.0, -1.0, 0.0])
    left = mitred("left", TUBE, foot, ridge, [(ridge, plumb), (foot, level)], 60)
    right = mitred("right", TUBE, ridge, other, [(ridge, -plumb), (other, level)], 60)
    return b.weldment(left, right, name="gable")


@pytest.mark.slow
def test_the_ridge_and_the_feet_of_a_gable() -> None:
    """Hand calculation: the ridge's cut is 50 / cos 30 long, its top 25 / cos 30 above the middle lines; a foot's is 50 / sin 30."""
    laid = laid_out(gable())
    cuts = {(face.part, face.label): face for part in laid.parts for face in part.faces if face.label.startswith("cut:")}
    for part in (0, 1):
        ridge, foot = cuts[part, "cut:0"].corners(), cuts[part, "cut:1"].corners()
        assert ridge[:, 1].max() == pytest.approx(150 + 25 / math.cos(math.radians(30)), abs=0.01)
        assert np.ptp(ridge[:, 1]) == pytest.approx(50 / math.cos(math.radians(30)), abs=0.01)
        assert np.ptp(foot[:, 0]) == pytest.approx(100, abs=0.01) and np.abs(foot[:, 1]).max() < 1e-9
    between = [touch for touch in laid.touches if not touch.on_table]
    assert [touch.normal.tolist() for touch in between] == [pytest.approx([-1, 0, 0]), pytest.approx([1, 0, 0])]
    assert planned(gable(), shelf(8)).status == "optimal"  # type: ignore[arg-type]


def test_a_post_with_a_sloped_top_stands_and_is_clamped_from_its_side() -> None:
    """Hand calculation: cut at 30 degrees through its middle line at 170 a bar keeps 170 mm, its middle 60^2 tan 30 / (12 x 170) off."""
    slope = math.tan(math.radians(30))
    post = Part("post", Section("flat_bar", width=60, thickness=60), 200, Pose((0, 0, 0), b.Z, b.Y), cuts=(PlaneCut((0, 0, 170), (slope, 0, 1)),))  # fmt: skip
    (laid,) = laid_out(b.weldment(post)).parts
    assert laid.mass == pytest.approx(7850e-9 * 3600 * 170)
    assert laid.centre[:2] == pytest.approx([-3600 * slope / 12 / 170, 0])
    stops = [(b.stop(f"stop-{face}", face=face, height=150), 3) for face in (10, 15, 20)]
    push = b.side_clamp("push", height=100)
    assert planned(b.weldment(post), b.shelf(*stops, (push, 2))).status == "optimal"


def test_a_leaning_strut_stands_on_its_foot() -> None:
    """Hand calculation: leaning by 30 degrees the foot's patch is 50 wide and 50 / cos 30 long, less the corners' radii."""
    lean = math.radians(30)
    along = np.array([math.sin(lean), 0.0, math.cos(lean)])
    strut = mitred("strut", TUBE, np.zeros(3), 300 * along, [(np.zeros(3), np.array([0.0, 0.0, -1.0]))], 40)
    laid = laid_out(b.weldment(strut))
    (touch,) = laid.touches
    assert touch.on_table
    size = np.ptp(touch.patch, axis=0)
    assert size == pytest.approx([50 / math.cos(lean), 50, 0], abs=0.05) or size == pytest.approx(
        [50, 50 / math.cos(lean), 0], abs=0.05
    )
    assert size[0] > LEAST_PATCH
