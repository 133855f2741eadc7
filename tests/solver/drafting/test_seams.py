"""The beads that small weldments offer, listed by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest

from inventory.shapes import Array, PlaneCut, Point3
from solver.drafting import Seam, pair_seams, seams, weld_on
from solver.sections import Section
from solver.weldment import Part, Pose, Weld
from tests import builders as b

Told = tuple[str, str, tuple[Point3, Point3]]
"""A seam's words, its kind, and where it runs from and to."""


def told(found: Sequence[Seam]) -> set[Told]:
    return {(seam.words, seam.kind, (seam.path[0], seam.path[-1])) for seam in found}


def pipe(id: str = "pipe", diameter: float = 60.3, wall: float = 4, length: float = 200, pose: Pose | None = None) -> Part:
    section = Section("round_tube", diameter=diameter, wall=wall)
    return Part(id, section, length, pose or Pose((0, 0, 10), (0, 0, 1), (0, 1, 0)))


def rod(id: str, at: Point3, diameter: float = 20, along: Point3 = b.X) -> Part:
    return Part(id, Section("round_bar", diameter=diameter), 200, Pose(at, along, b.Z))


# --- one weldment after the other --------------------------------------------------------------------------------------


def test_a_tab_on_a_tube_is_welded_round_its_three_edges_and_beside_the_tubes_rounded_corner() -> None:
    assert told(seams(b.tab_on_tube().parts)) == {
        ("tab on tube, near side, 100 mm", "fillet", ((200, -15, 50), (300, -15, 50))),
        ("tab on tube, left side, 34 mm", "fillet", ((200, -15, 50), (200, 19, 50))),
        ("tab on tube, right side, 34 mm", "fillet", ((300, -15, 50), (300, 19, 50))),
        ("tab on tube, far side, 100 mm", "flare", ((200, 21.9, 50), (300, 21.9, 50))),
    }


def test_a_hinge_lug_wider_than_the_post_is_welded_across_both_ends_and_beside_both_corners() -> None:
    post = b.tube("post", length=600)
    lug = b.plate("lug", (90, 60), 8, (180, -25, 50))
    assert told(seams([post, lug])) == {
        ("lug on post, left side, 38 mm", "fillet", ((180, -19, 50), (180, 19, 50))),
        ("lug on post, right side, 38 mm", "fillet", ((270, -19, 50), (270, 19, 50))),
        ("lug on post, near side, 90 mm", "flare", ((180, -21.9, 50), (270, -21.9, 50))),
        ("lug on post, far side, 90 mm", "flare", ((180, 21.9, 50), (270, 21.9, 50))),
    }


def test_an_angle_frame_is_welded_along_both_legs_of_the_angle_that_meets_the_other() -> None:
    rail = Part("rail", Section("angle", leg_a=50, leg_b=50, thickness=5), 300, Pose((0, 0, 0), b.X, b.Z))
    cross = replace(rail, id="cross", pose=Pose((100, 0, 0), (0, -1, 0), b.Z))
    assert told(seams([rail, cross])) == {
        ("cross on rail, left side, 50 mm", "fillet", ((100, 0, 0), (100, 0, 50))),
        ("cross on rail, right side, inner, 45 mm", "fillet", ((105, 0, 5), (105, 0, 50))),
        ("cross on rail, top, 45 mm", "fillet", ((105, 0, 5), (150, 0, 5))),
        ("cross on rail, right side, outer, 5 mm", "fillet", ((150, 0, 0), (150, 0, 5))),
        ("cross to rail, underside, 50 mm", "butt", ((100, 0, 0), (150, 0, 0))),
        ("cross to rail, top, 5 mm", "butt", ((100, 0, 50), (105, 0, 50))),
    }


def test_a_round_tube_on_a_plate_is_welded_all_round() -> None:
    (seam,) = seams([b.plate("base", (200, 200), 10, (-100, -100, 0)), pipe()])
    assert (seam.words, seam.kind, seam.leg, seam.closed) == ("pipe on base, all round, 190 mm", "fillet", 3, True)
    assert len(seam.path) == 49
    assert all(math.hypot(x, y) == pytest.approx(30.15, rel=0.003) and z == 10 for x, y, z in seam.path)
    assert seam.weld("w1").closed


def test_a_square_tube_on_a_plate_is_welded_along_its_four_flats() -> None:
    base, post = b.plate("base", (200, 200), 10, (-100, -100, 0)), b.tube("post", at=(0, 0, 10), along=b.Z)
    assert told(seams([base, post])) == {
        ("post on base, near side, 38 mm", "fillet", ((-19, -25, 10), (19, -25, 10))),
        ("post on base, far side, 38 mm", "fillet", ((-19, 25, 10), (19, 25, 10))),
        ("post on base, left side, 38 mm", "fillet", ((-25, -19, 10), (-25, 19, 10))),
        ("post on base, right side, 38 mm", "fillet", ((25, -19, 10), (25, 19, 10))),
    }


def test_plates_edge_to_edge_are_butted_from_above_and_below_and_at_both_ends() -> None:
    left, right = b.plate("left", (100, 60), 6), b.plate("right", (100, 60), 6, (100, 0, 0))
    assert told(seams([left, right])) == {
        ("right to left, top, 60 mm", "butt", ((100, 0, 6), (100, 60, 6))),
        ("right to left, underside, 60 mm", "butt", ((100, 0, 0), (100, 60, 0))),
        ("right to left, near side, 6 mm", "butt", ((100, 0, 0), (100, 0, 6))),
        ("right to left, far side, 6 mm", "butt", ((100, 60, 0), (100, 60, 6))),
    }


def upright(id: str, at: Point3, size: tuple[float, float] = (60, 60), thickness: float = 6) -> Part:
    """A plate across x, `thickness` to the right of `at`, its width along y."""
    outline = ((0, 0), (size[0], 0), size, (0, size[1]))
    return Part(id, Section("plate", plate_outline=outline), thickness, Pose(at, b.X, b.Z))


def test_two_plates_at_a_corner_are_welded_inside_and_closed_from_outside() -> None:
    """The wall stands on the floor, level with its edge."""
    assert told(seams([b.plate("floor", (100, 60), 6), upright("wall", (94, 0, 6))])) == {
        ("wall on floor, left side, 60 mm", "fillet", ((94, 0, 6), (94, 60, 6))),
        ("wall to floor, right side, 60 mm", "corner", ((100, 0, 6), (100, 60, 6))),
        ("wall to floor, near side, 6 mm", "butt", ((94, 0, 6), (100, 0, 6))),
        ("wall to floor, far side, 6 mm", "butt", ((94, 60, 6), (100, 60, 6))),
    }


def test_an_open_corner_may_be_welded_from_either_side_and_each_bead_says_which() -> None:
    """Only the edges meet."""
    found = seams([b.plate("floor", (100, 60), 6), upright("wall", (100, 0, 6))])
    assert [(seam.path, seam.kind) for seam in found] == [(((100, 0, 6), (100, 60, 6)), "fillet")] * 2
    half = round(math.sqrt(0.5), 3)
    assert {seam.side for seam in found} == {(-half, 0, half), (half, 0, -half)}
    assert all(seam.side == seam.open_side and seam.weld("w").side == pytest.approx(seam.side, abs=1e-3) for seam in found)


def test_plates_that_lie_on_each_other_are_lapped() -> None:
    lower, upper = b.plate("lower", (100, 60), 6), b.plate("upper", (100, 40), 4, (60, 10, 6))
    assert told(seams([lower, upper])) == {
        ("upper on lower, left side, 40 mm", "lap", ((60, 10, 6), (60, 50, 6))),
        ("upper on lower, near side, 40 mm", "lap", ((60, 10, 6), (100, 10, 6))),
        ("upper on lower, far side, 40 mm", "lap", ((60, 50, 6), (100, 50, 6))),
        ("upper on lower, right side, 40 mm", "lap", ((100, 10, 6), (100, 50, 6))),
    }


def test_a_mitre_is_butted_on_top_and_below_filled_inside_and_cornered_outside() -> None:
    post = replace(b.tube("post", 60, 3, 590, (0, 0, 30)), cuts=(PlaneCut((0, 0, 560), (1, 0, 1)),))
    arm = replace(b.tube("arm", 60, 3, 400, (560, -30, 30), b.Y), cuts=(PlaneCut((0, 0, 30), (1, 0, -1)),))
    assert told(seams([post, arm])) == {
        ("arm to post, top, 68 mm", "butt", ((536, 24, 60), (584, -24, 60))),
        ("arm to post, underside, 68 mm", "butt", ((536, 24, 0), (584, -24, 0))),
        ("arm on post, far left side, 48 mm", "fillet", ((530, 30, 6), (530, 30, 54))),
        ("arm to post, near right side, 48 mm", "corner", ((590, -30, 6), (590, -30, 54))),
    }


def test_a_tube_as_wide_as_the_rail_it_meets_is_flared_where_the_rails_corner_falls_away() -> None:
    """The bead begins at the wall of the tube, not over its hollow."""
    rail, cross = b.tube("rail", at=(0, 25, 25)), b.tube("cross", at=(250, 50, 25), along=b.Y)
    assert told(seams([rail, cross])) == {
        ("cross on rail, left side, 38 mm", "fillet", ((225, 50, 6), (225, 50, 44))),
        ("cross on rail, right side, 38 mm", "fillet", ((275, 50, 6), (275, 50, 44))),
        ("cross on rail, top, 38 mm", "flare", ((231, 50, 47), (269, 50, 47))),
        ("cross on rail, underside, 38 mm", "flare", ((231, 50, 3), (269, 50, 3))),
    }


# --- round parts -------------------------------------------------------------------------------------------------------


def test_a_rod_on_a_plate_is_flared_on_both_sides() -> None:
    found = seams([b.plate("base", (300, 100), 10, (0, -50, 0)), rod("rod", (50, 0, 20))])
    assert told(found) == {
        ("rod on base, near side, 200 mm", "flare", ((50, -3.9, 10), (250, -3.9, 10))),
        ("rod on base, far side, 200 mm", "flare", ((50, 3.9, 10), (250, 3.9, 10))),
    }


def test_two_rods_along_each_other_are_flared_on_both_sides() -> None:
    found = seams([rod("one", (0, 0, 10)), rod("two", (30, 20, 10))])
    assert told(found) == {
        ("two on one, top, 170 mm", "flare", ((30, 10, 13.9), (200, 10, 13.9))),
        ("two on one, underside, 170 mm", "flare", ((30, 10, 6.1), (200, 10, 6.1))),
    }


def test_a_lug_edge_on_to_a_pipe_is_welded_along_its_own_edges() -> None:
    """The pipe falls away behind them by a third of a millimetre."""
    rail = pipe("rail", 48.3, 3, 500, Pose((0, 0, 54), b.X, b.Z))
    lug = b.plate("lug", (80, 60), 8, (210, 24.15, 50))
    assert {seam.path for seam in seams([rail, lug]) if seam.length > 8} == {
        ((210, 24.15, 50), (290, 24.15, 50)), ((210, 24.15, 58), (290, 24.15, 58)),
    }  # fmt: skip


def test_a_bush_through_a_plate_is_welded_all_round_from_both_sides() -> None:
    ring = tuple((40 * math.cos(k * math.pi / 24) / 2, 40 * math.sin(k * math.pi / 24) / 2) for k in range(48))
    flange = Part(
        "flange", Section("plate", plate_outline=((-50, -50), (50, -50), (50, 50), (-50, 50)), plate_cutouts=(ring,)), 10,
        Pose((0, 0, 0), b.Z, b.Y),
    )  # fmt: skip
    bush = pipe("bush", 40, 6, 60, Pose((0, 0, -20), b.Z, b.Y))
    found = seams([flange, bush])
    assert [(seam.closed, seam.kind, {z for _, _, z in seam.path}) for seam in found] == [
        (True, "fillet", {0.0}), (True, "fillet", {10.0}),
    ]  # fmt: skip


def test_a_tube_pushed_over_another_is_welded_round_its_ends() -> None:
    """Four flats at either end, told apart by where they are."""
    inner, outer = b.tube("inner", 40, 3, 400), b.tube("outer", 50, 5, 100, (150, 0, 25))
    found = seams([inner, outer])
    assert {seam.words for seam in found} == {
        f"outer on inner, {end} side, {where}, 28 mm" for end in ("left", "right") for where in ("near", "far", "upper", "lower")
    }
    assert {x for seam in found for x, _, _ in seam.path} == {150, 250}


# --- where there is none -----------------------------------------------------------------------------------------------


def test_a_corner_that_is_too_narrow_for_a_wire_is_left_out() -> None:
    """A plate leaning over at 25 degrees: no bead under it; at 35 degrees there is one."""
    for slope, beads in ((25, 1), (35, 2)):
        lean = 60 / math.tan(math.radians(slope))
        outline = ((0, 0), (20, 0), (20 + lean, 60), (lean, 60))
        rib = Part("rib", Section("plate", plate_outline=outline), 8, Pose((20, 40, 10), (0, -1, 0), b.Z))
        found = seams([b.plate("base", (300, 100), 10), rib])
        assert len([seam for seam in found if seam.path[0][0] == seam.path[-1][0]]) == beads


def test_a_bead_ends_where_another_part_stands_in_its_corner() -> None:
    base, wall = b.plate("base", (200, 100), 10), upright("wall", (100, 0, 10), (100, 80), 8)
    gusset = Part("gusset", Section("plate", plate_outline=((0, 0), (40, 0), (0, 40))), 10, Pose((108, 55, 10), (0, -1, 0), b.Z))
    found = [seam for seam in seams([base, wall, gusset]) if seam.parts == ("base", "wall")]
    right = sorted(seam.path for seam in found if seam.path[0][0] == 108 == seam.path[-1][0])
    assert right == [((108, 0, 10), (108, 45, 10)), ((108, 55, 10), (108, 100, 10))]
    assert ((108, 0, 10), (108, 100, 10)) in {seam.path for seam in pair_seams(base, wall)}


def test_a_bead_on_which_another_part_lies_is_left_out() -> None:
    left, right = b.plate("left", (100, 60), 6), b.plate("right", (100, 60), 6, (100, 0, 0))
    cover = b.plate("cover", (100, 100), 6, (50, -20, 6))
    words = {seam.place for seam in seams([left, right, cover]) if seam.parts == ("left", "right")}
    assert words == {"right to left, underside", "right to left, near side", "right to left, far side"}


def test_parts_that_do_not_touch_offer_nothing() -> None:
    assert seams([b.tube("one"), b.tube("two", at=(0, 50.2, 25))]) == []
    assert seams([b.tube("one")]) == [] == seams([])
    assert seams([pipe("one"), pipe("two", pose=Pose((0, 0, 300), b.X, b.Z))]) == []


def test_nothing_is_offered_inside_a_hollow_or_round_a_tubes_corner() -> None:
    for seam in seams([b.plate("base", (200, 200), 10, (-100, -100, 0)), b.tube("post", at=(0, 0, 10), along=b.Z)]):
        assert max(abs(value) for value in seam.path[0][:2]) == 25


# --- what is proposed --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("thickness", "leg"), [(2, 3), (4, 3), (6, 4), (8, 6), (10, 7), (20, 14)])
def test_a_leg_is_seven_tenths_of_the_thinner_part_at_least_3_in_whole_mm(thickness: float, leg: float) -> None:
    found = seams([b.plate("base", (200, 200), 30), upright("rib", (20, 20, 30), (80, 100), thickness)])
    assert {(seam.leg, seam.throat) for seam in found if seam.kind == "fillet"} == {(leg, None)}


def test_a_sheet_drawn_by_its_end_is_as_thick_as_its_outline() -> None:
    base, strip = b.plate("base", (200, 200), 30), b.plate("strip", (100, 4), 80, (20, 20, 30))
    assert {(seam.kind, seam.leg) for seam in seams([base, strip])} == {("fillet", 3)}
    channel = b.outline_plate("channel", ((0, 0), (80, 0), (80, 40), (72, 40), (72, 8), (8, 8), (8, 40), (0, 40)), 200)
    channel = replace(channel, pose=Pose((20, 0, 30), b.Y, b.Z))
    assert {(seam.kind, seam.leg) for seam in seams([base, channel]) if seam.length > 50} == {("lap", 5)}


@pytest.mark.parametrize(("thickness", "throat"), [(6, 6), (1.5, 1.5), (25, 10)])
def test_a_throat_is_as_thick_as_the_thinner_part_at_most_10(thickness: float, throat: float) -> None:
    found = seams([b.plate("left", thickness=thickness), b.plate("right", thickness=thickness, at=(100, 0, 0))])
    assert {(seam.leg, seam.throat) for seam in found} == {(None, throat)}


def test_a_seam_becomes_a_weld_as_it_is() -> None:
    seam = next(seam for seam in seams(b.tab_on_tube().parts) if seam.kind == "fillet")
    weld = seam.weld("w7", "tack", "135")
    assert weld == Weld("w7", seam.parts, seam.path, seam.kind, leg=seam.leg, in_fixture="tack", process="135")


def test_a_seam_knows_the_weld_that_lies_on_it() -> None:
    model = b.tab_on_tube()
    found = seams(model.parts)
    assert {seam.place: weld.id for seam in found if (weld := weld_on(seam, model.welds))} == {
        "tab on tube, left side": "w1", "tab on tube, right side": "w2",
    }  # fmt: skip
    corner = seams([b.plate("floor", (100, 60), 6), upright("wall", (100, 0, 6))])
    welds = [seam.weld(f"w{number}") for number, seam in enumerate(corner)]
    assert [weld_on(seam, welds) for seam in corner] == welds


def test_names_of_parts_may_be_anything_and_two_of_one_name_offer_nothing() -> None:
    tube, tab = b.tab_on_tube().parts
    assert seams([tube, replace(tab, id="tube")]) == []
    assert len(seams([tube, replace(tab, id="ü <b> 'x'")])) == 4


def test_a_weldment_that_lies_askew_offers_the_same_beads() -> None:
    base, post, rib = b.plate("base", (200, 200), 10, (-100, -100, 0)), pipe("post"), upright("rib", (40, -30, 10), (60, 40), 8)
    level = seams([base, post, rib])
    askew = Pose((300, -40, 25), (0.48, 0.6, 0.64), (0.8, -0.6, 0)).frame()
    turned = [replace(part, pose=pose_in(askew, part.pose)) for part in (base, post, rib)]
    found = seams(turned)
    assert [(seam.parts, seam.kind) for seam in found] == [(seam.parts, seam.kind) for seam in level]
    assert [seam.length for seam in found] == pytest.approx([seam.length for seam in level], abs=1e-5)
    assert len(level) == 5


def pose_in(frame: Array, pose: Pose) -> Pose:
    moved = frame @ pose.frame()
    at, along, up = (tuple(moved[:3, column].tolist()) for column in (3, 2, 1))
    return Pose(at, along, up)
