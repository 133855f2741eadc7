"""Parts in one place and welds off their parts."""

from __future__ import annotations

import math

import pytest

from solver.laying import fit
from solver.sections import Section
from solver.weldment import Part, Pose, Weld
from tests.builders import bar, fillet, outline_plate, plate, tube

OVERLAP = 0.1


def overlapping(*parts: Part | None) -> list[str]:
    return [fault.pointer for fault in fit.fit_faults(parts, (), OVERLAP)]


def strays(weld: Weld, *parts: Part) -> list[str]:
    return [fault.wrong for fault in fit.fit_faults(parts, (weld,), OVERLAP)]


def test_parts_may_touch_and_overlap_by_the_rule() -> None:
    assert overlapping(tube("a"), tube("b", at=(0, 50, 25))) == []
    assert overlapping(tube("a"), tube("b", at=(0, 49.91, 25))) == []
    assert overlapping(tube("a"), tube("b", at=(0, 49.89, 25))) == ["/parts/1"]


def test_a_part_may_stand_in_the_hollow_of_another() -> None:
    assert overlapping(tube("outer", width=60, wall=4), bar("inner", 40, 10, at=(0, 0, 25))) == []
    assert overlapping(tube("outer", width=60, wall=4), bar("inner", 54, 10, at=(0, 0, 25))) == ["/parts/1"]


def test_a_part_wholly_inside_the_metal_of_another_overlaps() -> None:
    assert overlapping(bar("thick", 100, 50, at=(0, 0, 25)), bar("thin", 20, 5, 100, at=(50, 0, 25))) == ["/parts/1"]


def test_a_thin_sheet_through_a_thick_bar_overlaps_though_thinner_than_twice_the_allowance() -> None:
    sheet = plate("sheet", (400, 200), 0.15, at=(-50, -100, 20))
    assert overlapping(bar("bar", 50, 50, at=(0, 0, 25)), sheet) == ["/parts/1"]


def test_a_bolt_may_stand_in_a_hole_drawn_as_a_polygon() -> None:
    circle = tuple((10 * math.cos(k * math.pi / 24), 10 * math.sin(k * math.pi / 24)) for k in range(48))
    square = ((-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0))
    drilled = Part(
        "drilled", Section("plate", plate_outline=square, plate_cutouts=(circle,)), 8, Pose((0, 0, 0), (0, 0, 1), (0, 1, 0))
    )
    bolt = Part("bolt", Section("round_bar", diameter=20), 60, Pose((0, 0, -20), (0, 0, 1), (0, 1, 0)))
    assert overlapping(drilled, bolt) == []
    thick = Part("bolt", Section("round_bar", diameter=21), 60, bolt.pose)
    assert overlapping(drilled, thick) == ["/parts/1"]


def test_a_notch_is_room_for_another_part() -> None:
    notched = outline_plate("notched", ((0, 0), (100, 0), (100, 100), (70, 100), (70, 50), (30, 50), (30, 100), (0, 100)))
    assert overlapping(notched, plate("filler", (40, 50), 8, at=(30, 50, 0))) == []
    assert overlapping(notched, plate("filler", (42, 50), 8, at=(30, 50, 0))) == ["/parts/1"]


def test_slanted_parts_whose_level_boxes_meet_need_not_overlap() -> None:
    braces = [tube(f"b{k}", at=(0, 0, 100 * k), along=(1, 1, 1)) for k in range(3)]
    assert overlapping(*braces) == []
    assert overlapping(*braces, tube("b3", at=(0, 0, 250), along=(1, 1, 1))) == ["/parts/3"]


def test_parts_at_fault_already_are_left_out_and_counted() -> None:
    assert overlapping(tube("a"), None, tube("b", at=(0, 10, 25))) == ["/parts/2"]


def test_parts_of_one_id_are_not_tried_against_each_other() -> None:
    assert overlapping(tube("a"), tube("a", at=(0, 10, 25))) == []


def test_a_weld_lies_within_its_leg_of_both_parts_all_along() -> None:
    pair = (tube("tube"), plate("tab", (100, 40), 8, at=(200, -15, 50)))
    assert strays(fillet("w", ("tube", "tab"), (200, -15, 50), (200, 19, 50)), *pair) == []
    assert strays(fillet("w", ("tube", "tab"), (196.5, -15, 50), (196.5, 19, 50)), *pair) == []
    (said,) = strays(fillet("w", ("tube", "tab"), (195.5, -15, 50), (195.5, 19, 50)), *pair)
    assert "4.5 mm off part 'tab'" in said


def test_a_path_that_leaves_its_part_between_its_points_is_seen() -> None:
    forked = outline_plate("fork", ((0, 0), (100, 0), (100, 50), (60, 50), (60, 20), (40, 20), (40, 50), (0, 50)), at=(0, 0, 0))
    wall = bar("wall", 10, 100, 100, at=(0, 55, 50))
    (said,) = strays(fillet("w", ("fork", "wall"), (0, 50, 8), (100, 50, 8)), forked, wall)
    assert "10 mm off part 'fork' at (50, 50, 8)" in said


def test_a_weld_far_from_both_parts_is_one_fault_that_names_both() -> None:
    (said,) = strays(fillet("w", ("a", "b"), (0, 0, 500), (10, 0, 500)), tube("a"), tube("b", at=(0, 50, 25)))
    assert "part 'a'" in said
    assert "part 'b'" in said


def test_a_weld_between_parts_that_overlap_is_not_judged() -> None:
    found = fit.fit_faults((tube("a"), tube("b", at=(0, 20, 25))), (fillet("w", ("a", "b"), (0, 0, 500), (10, 0, 500)),), OVERLAP)
    assert [fault.pointer for fault in found] == ["/parts/1"]


@pytest.mark.parametrize("leg", [0.5, 4.0])
def test_the_reach_is_one_millimetre_at_least(leg: float) -> None:
    pair = (tube("tube"), plate("tab", (100, 40), 8, at=(200, -15, 50)))
    reach = max(1.0, leg)
    for x, good in ((200 - 0.9 * reach, True), (200 - 1.1 * reach, False)):
        assert (not strays(fillet("w", ("tube", "tab"), (x, -15, 50), (x, 19, 50), leg=leg), *pair)) is good
