"""Seams chosen by rule, pair and id; their sizes; the welds that come of them; which of them are welded already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from inventory.errors import InvalidDocument
from inventory.shapes import PlaneCut
from solver.drafting import AskedBead, ProposedSeam, SeamWishes, chosen_by, proposed_seams, welds_of, wished
from solver.sections import Section
from solver.weldment import Part, Pose, Weld, Weldment
from tests import builders as b


def upright(id: str, x: float, thickness: float = 6) -> Part:
    """A plate across x from x on, standing on z = 6."""
    outline = ((0, 0), (60, 0), (60, 60), (0, 60))
    return Part(id, Section("plate", plate_outline=outline), thickness, Pose((x, 0, 6), b.X, b.Z))


def box_corner() -> Weldment:
    """A wall level with its floor's edge, and a second one in the middle."""
    return Weldment((b.plate("floor", (100, 60), 6), upright("wall", 94), upright("rib", 40)))


def mitre() -> Weldment:
    post = replace(b.tube("post", 60, 3, 590, (0, 0, 30)), cuts=(PlaneCut((0, 0, 560), (1, 0, 1)),))
    arm = replace(b.tube("arm", 60, 3, 400, (560, -30, 30), b.Y), cuts=(PlaneCut((0, 0, 30), (1, 0, -1)),))
    return Weldment((post, arm))


def places(found: Sequence[ProposedSeam]) -> list[str]:
    return [each.seam.place for each in found]


def test_outside_corners_are_where_the_air_is_wider_than_a_plane_or_a_sheets_edge_closes_a_corner() -> None:
    assert places(chosen_by(proposed_seams(mitre()), ["outside_corners"])) == ["arm to post, near right side"]
    assert places(chosen_by(proposed_seams(box_corner()), ["outside_corners"])) == ["wall to floor, right side"]


def test_square_corners_are_those_of_90_degrees_inside() -> None:
    chosen = places(chosen_by(proposed_seams(box_corner()), ["square_corners"]))
    assert sorted(chosen) == [
        "rib on floor, left side", "rib on floor, right side", "wall on floor, left side",
    ]  # fmt: skip
    lean = Part(
        "rib", Section("plate", plate_outline=((0, 0), (8, 0), (18, 60), (10, 60))), 60, Pose((40, 60, 6), (0, -1, 0), b.Z)
    )
    assert not [each for each in proposed_seams(Weldment((b.plate("floor", (100, 60), 6), lean))) if each.seam.square_corner]


def test_seams_are_chosen_by_pair_in_either_order_by_id_and_each_once() -> None:
    found = proposed_seams(box_corner())
    by_pair = chosen_by(found, ["rib+floor", "floor+rib"])
    assert {each.seam.parts for each in by_pair} == {("floor", "rib")}
    assert chosen_by(found, [found[2].id, found[0].id, found[2].id]) == (found[0], found[2])
    assert chosen_by(found, ["all"]) == found


@pytest.mark.parametrize("word", ["s99", "wall+rib", "corners", ""])
def test_a_word_that_chooses_nothing_is_refused(word: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        chosen_by(proposed_seams(box_corner()), ["all", word])
    assert [fault.pointer for fault in refused.value.faults] == ["/choose/1"]


def test_a_rule_that_chooses_none_is_refused_and_so_is_choosing_where_nothing_touches() -> None:
    apart = Weldment((b.tube("one"), b.tube("two", at=(0, 300, 25))))
    for weldment, word in ((b.tab_on_tube(), "outside_corners"), (apart, "all")):
        with pytest.raises(InvalidDocument):
            chosen_by(proposed_seams(weldment), [word])


def test_ids_of_parts_may_have_a_plus() -> None:
    tube, tab = b.tab_on_tube().parts
    found = proposed_seams(Weldment((replace(tube, id="a+b"), replace(tab, id="c"))))
    assert chosen_by(found, ["c+a+b"]) == found


def test_sizes_are_of_the_seam_then_of_its_kind_then_of_all_then_of_the_rule_of_thumb() -> None:
    found = proposed_seams(mitre())
    by_place = {each.seam.place: each for each in found}
    inside, outside = by_place["arm on post, far left side"], by_place["arm to post, near right side"]
    top = by_place["arm to post, top"]

    def sizes(wishes: SeamWishes) -> dict[str, tuple[float | None, float | None]]:
        return {each.proposed.id: (each.leg, each.throat) for each in wished(found, wishes)}

    plain = sizes(SeamWishes())
    assert plain == {each.id: (each.seam.leg, each.seam.throat) for each in found}
    assert sizes(SeamWishes(leg=5)) == plain | {inside.id: (5, None)}
    by_kind = SeamWishes(5, 2, {"butt": AskedBead(throat=2.5), "fillet": AskedBead(throat=3.5)}, {top.id: AskedBead(throat=4)})
    assert sizes(by_kind)[inside.id] == (None, 3.5) and sizes(by_kind)[outside.id] == (None, 2)
    assert sizes(by_kind)[top.id] == (None, 4)
    with pytest.raises(InvalidDocument) as refused:
        wished([inside], SeamWishes(by_seam={top.id: AskedBead(throat=4)}))
    assert refused.value.faults[0].pointer == f"/sizes/by_seam/{top.id}"


def test_a_seam_has_the_same_weld_whatever_else_is_chosen_and_ids_never_clash() -> None:
    found = proposed_seams(box_corner())
    every = {weld.id: weld for weld in welds_of(wished(found, SeamWishes(in_fixture="tack", process="135")), [])}
    alone = welds_of(wished(found[3:4], SeamWishes(in_fixture="tack", process="135")), [])
    assert alone == (every["s4"],) and alone[0].in_fixture == "tack" and alone[0].process == "135"
    taken = welds_of(wished(found[3:4], SeamWishes()), ["s4", "s4.2"])
    assert [weld.id for weld in taken] == ["s4.3"]
    with pytest.raises(InvalidDocument) as refused:
        welds_of([replace(each, leg=4.0, throat=None) for each in wished(found, SeamWishes()) if each.kind == "corner"], [])
    assert {fault.pointer for fault in refused.value.faults} == {"/leg"}


def test_what_is_welded_is_not_welded_twice() -> None:
    weldment = b.tab_on_tube()
    found = proposed_seams(weldment)
    assert {each.seam.place: each.weld for each in found if each.weld} == {
        "tab on tube, left side": "w1",
        "tab on tube, right side": "w2",
    }
    new = welds_of(wished(found, SeamWishes()), [weld.id for weld in weldment.welds])
    both = replace(weldment, welds=(*weldment.welds, *new))
    assert len(new) == 2 and all(each.weld for each in proposed_seams(both))
    assert welds_of(wished(proposed_seams(both), SeamWishes()), []) == ()


def welded(parts: Sequence[Part], *welds: Weld) -> dict[str, str]:
    return {each.seam.place: each.weld for each in proposed_seams(Weldment(tuple(parts), welds)) if each.weld}


def test_a_weld_that_somebody_has_drawn_longer_shorter_or_round_a_corner_counts_for_the_seams_it_lies_on() -> None:
    tube, tab = b.tab_on_tube().parts
    longer = b.fillet("w", ("tab", "tube"), (200, -18, 50), (200, 21, 50))
    assert welded((tube, tab), longer) == {"tab on tube, left side": "w"}
    stitch = b.fillet("w", ("tube", "tab"), (230, -15, 50), (236, -15, 50))
    assert welded((tube, tab), stitch) == {"tab on tube, near side": "w"}
    around = b.fillet("w", ("tube", "tab"), (200, 10, 50), (200, -15, 50), (290, -15, 50))
    assert welded((tube, tab), around) == {"tab on tube, left side": "w", "tab on tube, near side": "w"}


def test_the_other_side_of_a_thin_sheet_is_not_taken_for_welded() -> None:
    left, right = b.plate("left", (100, 60), 1.5), b.plate("right", (100, 60), 1.5, (100, 0, 0))
    top = Weld("w", ("left", "right"), ((100, 0, 1.5), (100, 60, 1.5)), "butt")
    assert welded((left, right), top) == {"right to left, top": "w"}


def test_of_two_beads_on_one_line_a_weld_is_the_one_on_its_side() -> None:
    """A weld that says no side lies on the first open one by +z, then +y, then +x."""
    parts = (b.plate("floor", (100, 60), 6), replace(upright("wall", 100), pose=Pose((100, 0, 6), b.X, b.Z)))
    line = ((100, 0, 6), (100, 60, 6))
    upper, lower = sorted(proposed_seams(Weldment(parts)), key=lambda each: -each.seam.open_side[2])
    for side, on in ((None, upper), (upper.seam.side, upper), (lower.seam.side, lower)):
        weld = Weld("w", ("floor", "wall"), line, "fillet", leg=3, side=side)
        assert [each.id for each in proposed_seams(Weldment(parts, (weld,))) if each.weld] == [on.id]
