"""Parts that meet in a closed ring, mitred at every corner: located together, where the rule book lets them."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan, Relaxation
from tests import builders as b
from tests.outside import rings
from tests.outside.corners import corner
from tests.outside.judge import Judge

STOCK = b.shelf((b.stop(), 12), (b.stop("wide", width=60), 2), (b.down_clamp("long", reach=120), 4), (b.side_clamp(), 4))
ASKED = b.request(rings.frame(400, 320), alternatives=1)


def planned(asked: Any = ASKED) -> Plan:
    found = plan(asked, STOCK, deadline=Deadline(lambda: 60.0))
    assert found.work is not None and found.work["dropped"] == 0
    return found


@pytest.fixture(scope="module")
def frame() -> Plan:
    return planned()


@pytest.fixture
def document(frame: Plan) -> dict[str, Any]:
    return copy.deepcopy(plan_document(frame))


def failed(document: dict[str, Any], asked: Any = ASKED) -> set[str]:
    return {finding.rule for finding in check(asked, STOCK, document).failed}


def at_tips(document: dict[str, Any]) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    """Return the pieces that meet a tip, each with that contact."""
    placements = document["alternatives"][0]["placements"]
    return [(piece, contact) for piece in placements for contact in piece["contacts"] if contact["face"].startswith("tip:")]


def test_a_frame_mitred_at_all_corners_is_planned(frame: Plan, document: dict[str, Any]) -> None:
    assert frame.status == "optimal"
    assert failed(document) == set()


def test_exact_meshes_touch_and_are_free_as_the_plan_says(frame: Plan) -> None:
    for alternative in frame.alternatives:
        assert list(Judge(ASKED, alternative).faults()) == []


def test_wide_stops_at_corners_are_the_end_of_the_whole_frame(frame: Plan, document: dict[str, Any]) -> None:
    """They meet the long face of one tube and the tip of another; no other end is asked for."""
    tips = at_tips(document)
    assert tips
    for piece, tip in tips:
        assert any(contact["face"].startswith("side:") for contact in piece["contacts"])
        assert len(tip["patch"]) == 2 and tip["patch"][0][:2] == tip["patch"][1][:2]
    ends = [part for piece in frame.alternatives[0].placements for part, role in piece.locates if role == "end"]
    assert sorted(ends) == sorted(tip["part"] for _, tip in tips)


def test_no_two_stops_face_each_other_across_the_frame(frame: Plan) -> None:
    normals = {c.normal for p in frame.alternatives[0].placements if p.locates for c in p.contacts}
    assert len(normals) == 2
    assert all(sum(x * y for x, y in zip(one, other, strict=True)) > -0.9 for one in normals for other in normals)


def test_side_clamps_press_the_joints(frame: Plan) -> None:
    """The two tubes whose stops stand inside the frame are pushed onto them: with down clamps alone the corners could open."""
    kit = {line.item: line.count for line in frame.alternatives[0].kit}
    assert kit["push"] == 2
    told = {finding.rule: finding for finding in frame.alternatives[0].findings}
    assert told["locate.together"].ok and told["locate.together"].value == 1.0


@pytest.mark.slow
def test_a_frame_without_side_clamps_is_refused_and_one_each_way_would_help() -> None:
    bare = b.shelf((b.stop(), 12), (b.stop("wide", width=60), 2), (b.down_clamp("long", reach=120), 6), (b.side_clamp(), 0))
    found = plan(ASKED, bare, deadline=Deadline(lambda: 60.0))
    assert found.status == "infeasible" and found.refused is not None
    assert "locate.together" in {reason.rule for reason in found.refused.because}


@pytest.mark.slow
def test_the_rule_book_may_refuse_rings_and_the_refusal_says_so() -> None:
    found = planned(b.request(rings.frame(400, 320), alternatives=1, rules={"locate.together": 0}))
    assert found.status == "infeasible" and found.refused is not None
    assert {reason.rule for reason in found.refused.because} == {"locate.together"}
    (help,) = [repair for repair in found.refused.would_help if isinstance(repair, Relaxation)]
    assert (help.rule, help.given, help.value) == ("locate.together", 0.0, 1.0)


@pytest.mark.slow
def test_what_is_no_closed_ring_is_planned_alike_with_the_rule_and_without() -> None:
    """Metamorphic: a mitred corner has ends of its own."""
    shelf = b.shelf((b.stop(), 8), (b.adjustable_stop(), 4), (b.down_clamp(), 4), (b.down_clamp("long", reach=120), 4))
    one, other = (
        plan(b.request(corner(90), alternatives=2, rules={"locate.together": rule}), shelf, deadline=Deadline(lambda: 60.0))
        for rule in (1, 0)
    )
    assert one.alternatives and one.alternatives == other.alternatives


def test_a_plan_without_its_tip_is_seen(document: dict[str, Any]) -> None:
    for piece, tip in at_tips(document):
        piece["contacts"].remove(tip)
        piece["locates"] = [entry for entry in piece["locates"] if entry["part"] != tip["part"] or entry["as"] != "end"]
    assert {"locate.end_points", "clear.body"} <= failed(document)


def test_a_tip_on_the_wrong_side_is_seen(document: dict[str, Any]) -> None:
    _, tip = at_tips(document)[0]
    tip["normal"] = [-value for value in tip["normal"]]
    assert "contacts.normal" in failed(document)


def test_a_tip_at_another_height_is_seen(document: dict[str, Any]) -> None:
    _, tip = at_tips(document)[0]
    for point in tip["patch"]:
        point[2] += 10
    assert failed(document) & {"contacts.patch_in_face", "contacts.patch_in_pad"}


def test_a_ring_without_its_side_clamps_is_not_pressed(document: dict[str, Any]) -> None:
    alternative = document["alternatives"][0]
    gone = {piece["id"] for piece in alternative["placements"] if piece["item"] == "push"}
    alternative["placements"] = [piece for piece in alternative["placements"] if piece["id"] not in gone]
    for step in alternative["load"]:
        step["then_close"] = [id for id in step["then_close"] if id not in gone]
    alternative["unload"]["open"] = [id for id in alternative["unload"]["open"] if id not in gone]
    assert "locate.together" in failed(document)


def test_a_plan_made_where_rings_are_allowed_is_a_fault_where_they_are_not(document: dict[str, Any]) -> None:
    strict = b.request(rings.frame(400, 320), alternatives=1, rules={"locate.together": 0})
    assert {"locate.together", "locate.end_points"} <= failed(document, strict)
