"""The beads of joints that every shop welds, listed by hand: where each runs, its kind, and which rule chooses it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from inventory.shapes import PlaneCut, Point3
from solver.drafting import Seam, seams
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b

Listed = tuple[str, str, Point3, Point3]
"""A bead's kind, the rule that chooses it (its first letter, or nothing), and its ends, the lesser first."""
SLANT = math.sqrt(0.5)


def listed(found: Sequence[Seam]) -> set[Listed]:
    return {(seam.kind, rule(seam), *sorted((seam.path[0], seam.path[-1]))) for seam in found}  # type: ignore[misc]


def rule(seam: Seam) -> str:
    return "o" if seam.outside_corner else "s" if seam.square_corner else ""


def channel(length: float = 300) -> Part:
    """A channel along x, its web's back on y = 0, its flanges to +y, 100 high about z = 0."""
    return Part(
        "channel", Section("channel", height=100, flange=50, web=6, flange_thickness=8), length, Pose((0, 0, 0), b.X, b.Z)
    )


def flat(id: str, length: float, pose: Pose) -> Part:
    return Part(id, Section("flat_bar", width=40, thickness=8), length, pose)


def test_flat_bars_that_cross_are_lapped_along_four_edges() -> None:
    one, two = flat("one", 300, Pose((0, 0, 4), b.X, b.Z)), flat("two", 300, Pose((150, -150, 12), b.Y, b.Z))
    assert listed(seams([one, two])) == {
        ("lap", "s", (130, -20, 8), (170, -20, 8)), ("lap", "s", (130, 20, 8), (170, 20, 8)),
        ("lap", "s", (130, -20, 8), (130, 20, 8)), ("lap", "s", (170, -20, 8), (170, 20, 8)),
    }  # fmt: skip


def test_a_flat_bar_butted_against_the_edge_of_another_has_two_butts_and_two_short_fillets() -> None:
    one, two = flat("one", 300, Pose((0, 0, 4), b.X, b.Z)), flat("two", 150, Pose((150, 20, 4), b.Y, b.Z))
    assert listed(seams([one, two])) == {
        ("butt", "", (130, 20, 8), (170, 20, 8)), ("butt", "", (130, 20, 0), (170, 20, 0)),
        ("fillet", "s", (130, 20, 0), (130, 20, 8)), ("fillet", "s", (170, 20, 0), (170, 20, 8)),
    }  # fmt: skip


def test_a_gusset_in_a_corner_has_a_fillet_on_either_side_on_both_plates_and_parts_the_bead_it_stands_on() -> None:
    base = b.plate("base", (200, 100), 10)
    wall = Part("wall", Section("plate", plate_outline=((0, 0), (100, 0), (100, 80), (0, 80))), 8, Pose((100, 0, 10), b.X, b.Z))
    gusset = Part("gusset", Section("plate", plate_outline=((0, 0), (40, 0), (0, 40))), 10, Pose((108, 55, 10), (0, -1, 0), b.Z))
    assert listed(seams([base, wall, gusset])) == {
        ("fillet", "s", (100, 0, 10), (100, 100, 10)),
        ("fillet", "s", (108, 0, 10), (108, 45, 10)), ("fillet", "s", (108, 55, 10), (108, 100, 10)),
        ("butt", "", (100, 0, 10), (108, 0, 10)), ("butt", "", (100, 100, 10), (108, 100, 10)),
        ("fillet", "s", (108, 45, 10), (148, 45, 10)), ("fillet", "s", (108, 55, 10), (148, 55, 10)),
        ("fillet", "s", (108, 45, 10), (108, 45, 50)), ("fillet", "s", (108, 55, 10), (108, 55, 50)),
        ("fillet", "", (148, 45, 10), (148, 55, 10)), ("fillet", "", (108, 45, 50), (108, 55, 50)),
    }  # fmt: skip


def test_an_angle_leg_on_a_channels_web_is_lapped_all_round() -> None:
    angle = Part("angle", Section("angle", leg_a=40, leg_b=40, thickness=4), 80, Pose((150, 0, -40), b.Z, (0, -1, 0)))
    assert listed(seams([channel(), angle])) == {
        ("lap", "s", (110, 0, -40), (110, 0, 40)), ("lap", "s", (150, 0, -40), (150, 0, 40)),
        ("lap", "s", (110, 0, -40), (150, 0, -40)), ("lap", "s", (110, 0, 40), (150, 0, 40)),
    }  # fmt: skip


def test_a_stiffener_in_a_channel_is_welded_on_web_and_flanges_from_both_sides() -> None:
    rib = Part("rib", Section("plate", plate_outline=((0, 0), (44, 0), (44, 84), (0, 84))), 6, Pose((150, 6, -42), b.X, b.Z))
    assert listed(seams([channel(), rib])) == {
        *(("fillet", "s", (x, 6, -42), (x, 6, 42)) for x in (150, 156)),
        *(("fillet", "s", (x, 6, z), (x, 50, z)) for x in (150, 156) for z in (-42, 42)),
        *(("butt", "", (150, 50, z), (156, 50, z)) for z in (-42, 42)),
    }  # fmt: skip


def test_a_cap_as_wide_as_its_tube_is_butted_along_its_flats_and_a_wider_one_filled() -> None:
    tube = b.tube("tube", 60, 3, 300, (0, 0, 0), b.Z)
    for size, kind, chosen in ((60, "butt", ""), (70, "fillet", "s")):
        cap = b.plate("cap", (size, size), 6, (-size / 2, -size / 2, 300))
        assert listed(seams([tube, cap])) == {
            *((kind, chosen, (-24, y, 300), (24, y, 300)) for y in (-30, 30)),
            *((kind, chosen, (x, -24, 300), (x, 24, 300)) for x in (-30, 30)),
        }


@pytest.mark.parametrize("round", [False, True])
def test_tubes_in_line_are_butted_all_round(round: bool) -> None:
    """A round one in one closed bead, a square one along its four flats."""
    section = Section("round_tube", diameter=60, wall=4) if round else Section("square_tube", width=60, wall=4)
    found = seams([Part(id, section, 200, Pose((x, 0, 30), b.X, b.Z)) for id, x in (("one", 0), ("two", 200))])
    assert {(seam.kind, seam.closed, rule(seam)) for seam in found} == {("butt", round, "")}
    assert [round_mm(seam.length) for seam in found] == ([188] if round else [44] * 4)


def round_mm(length: float) -> int:
    """A circle is drawn as a polygon around it: up to 0.2 % longer."""
    return math.floor(length)


def strut(section: Section) -> list[Part]:
    """A tube on a level one, leaning at 45 degrees along it, cut level."""
    pose = Pose((150 - 40 * SLANT, 0, 60 - 40 * SLANT), (SLANT, 0, SLANT), b.Y)
    turn = pose.frame()[:3, :3].T
    cut = PlaneCut(tuple((turn @ [40 * SLANT, 0, 40 * SLANT]).tolist()), tuple((turn @ [0, 0, -1]).tolist()))
    return [b.tube("rail", 60, 4, 400, (0, 0, 30)), Part("strut", section, 260, pose, cuts=(cut,))]


def test_a_square_strut_at_45_degrees_has_square_beads_on_its_sides_and_none_in_toe_and_heel() -> None:
    found = seams(strut(Section("square_tube", width=40, wall=3)))
    assert {(seam.kind, rule(seam), round(seam.length), seam.place) for seam in found} == {
        ("fillet", "s", 40, "strut on rail, near side"), ("fillet", "s", 40, "strut on rail, far side"),
        ("fillet", "", 28, "strut on rail, left side"), ("fillet", "", 28, "strut on rail, right side"),
    }  # fmt: skip
    toe, heel = (next(seam for seam in found if seam.place.endswith(where)) for where in ("left side", "right side"))
    assert toe.opening == pytest.approx(135, abs=1.5) and heel.opening == pytest.approx(45, abs=1.5)


def test_a_round_strut_at_45_degrees_has_one_bead_all_round_that_is_no_square_corner() -> None:
    """An ellipse of 40 by 40 x sqrt(2); its opening goes from 45 to 135 degrees."""
    (seam,) = seams(strut(Section("round_tube", diameter=40, wall=3)))
    major, minor = 20 * math.sqrt(2), 20
    around = math.pi * (3 * (major + minor) - math.sqrt((3 * major + minor) * (major + 3 * minor)))  # Ramanujan 1914
    assert seam.closed and seam.length == pytest.approx(around, rel=0.004) and not seam.square_corner
    assert seam.openings == pytest.approx((45, 135), abs=2)


def test_a_round_mitre_is_cornered_outside_filled_inside_and_butted_between_alike_above_and_below() -> None:
    section = Section("round_tube", diameter=60, wall=4)
    one = Part("one", section, 590, Pose((0, 0, 30), b.X, b.Z), cuts=(PlaneCut((0, 0, 560), (1, 0, 1)),))
    two = Part("two", section, 400, Pose((560, -30, 30), b.Y, b.Z), cuts=(PlaneCut((0, 0, 30), (1, 0, -1)),))
    found = seams([one, two])
    assert {(seam.kind, rule(seam), seam.place) for seam in found} == {
        ("corner", "o", "two to one, near right side"), ("fillet", "", "two on one, far left side"),
        ("butt", "", "two to one, top"), ("butt", "", "two to one, underside"),
    }  # fmt: skip
    points = np.concatenate([np.array(seam.path) for seam in found])
    assert np.abs(points[:, 0] - 560 + points[:, 1]).max() < 1e-6  # all on the plane of the mitre
    top, below = (next(seam for seam in found if seam.place.endswith(where)) for where in ("top", "underside"))
    assert top.length == pytest.approx(below.length, abs=1e-6) and top.openings == pytest.approx(below.openings, abs=1)
