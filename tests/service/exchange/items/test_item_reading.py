"""A file and its marks make an item: frames, names of solids, pads, clamps, mass; every fault at its mark."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.errors import InvalidDocument
from inventory.items import Contact, Slide
from inventory.shapes import PlaneCut
from service.documents import read_item
from service.documents.item_files.marks import EXAMPLE, read_marks
from service.exchange.items.item_reading import ItemReading, marked_item, started_marks
from service.exchange.items.item_reading_document import item_reading_document
from service.exchange.weldments.weldment_reading import WeldmentReading
from solver.sections import Section
from solver.weldment import Part, Pose
from tests.service.exchange.items.drawn_stop import block, marks, pin, reading, stop_file

BASE = ((-20, -15), (20, -15), (20, 15), (-20, 15))


def made(file: WeldmentReading | None = None, **changes: Any) -> ItemReading:
    return marked_item(file or stop_file(), read_marks(marks(**changes)))


def faults(file: WeldmentReading | None = None, **changes: Any) -> list[tuple[str, str]]:
    with pytest.raises(InvalidDocument) as refused:
        made(file, **changes)
    return [(fault.pointer, fault.wrong) for fault in refused.value.faults]


def verdicts(found: ItemReading) -> dict[str, str]:
    return {finding.code: finding.verdict for finding in found.findings if finding.verdict != "good"}


def test_solids_and_pads_lie_where_the_marks_have_the_item() -> None:
    found = made()
    item = found.item
    assert [(solid.prism.outline, solid.prism.start, solid.prism.end, solid.moves) for solid in item.solids] == [
        (BASE, 0, 50, False), (((-15, 15), (15, 15), (15, 25), (-15, 25)), 10, 50, True),
    ]  # fmt: skip
    assert item.contacts == (Contact((0, 25, 30), (0, 1, 0), 30, 40, moves=True),)
    assert item.slide == Slide((0, 1), 0, 25, 0.5)
    assert (item.id, item.kind, item.price_cents, item.lead_days) == ("own-40", "adjustable_stop", 6500, 5)
    assert item.mass_kg == pytest.approx((40 * 30 * 50 + 30 * 10 * 40) * 7850e-9, abs=5e-4)
    assert found.sound and verdicts(found) == {}
    assert read_item(dict(found.document)) == item


def test_the_file_may_be_drawn_lying_on_its_side() -> None:
    """What is up in the item is the file's -x, what is along is the file's y."""
    lying = reading(block("base", (-50, 0, 0), (0, 40, 30)), block("slider", (-50, 5, 30), (-10, 35, 40)))
    found = made(lying, origin=[0, 20, 15], up=[-1, 0, 0], along=[0, 1, 0], left_out=[], pads=[{"solid": "2", "normal": [0, 0, -1]}],
                 slide={"axis": [0, 0, 1], "range": [-25, 0]})  # fmt: skip
    assert found.item.solids[0].prism.outline == BASE
    assert found.item.slide == Slide((0, -1), -25, 0)
    assert verdicts(found) == {"pad.free": "wrong"}, "that face of the slider lies on the base"


def test_a_slanting_solid_keeps_its_frame_and_a_cut_one_its_cuts() -> None:
    slanting = Part("arm", Section("flat_bar", width=10, thickness=10), 50, Pose((0, 0, 20), (1, 0, 1), (0, 1, 0)), name="arm")
    cut = Part("post", Section("flat_bar", width=30, thickness=30), 60, Pose((0, 0, 0), (0, 0, 1), (0, 1, 0)), name="post",
               cuts=(PlaneCut((0, 0, 60), (0, 1, 1)),))  # fmt: skip
    found = made(reading(slanting, cut), origin=[0, 0, 0], kind="stop", slide=None, left_out=[], moves=[],
                 pads=[{"solid": "post", "normal": [0, 1, 1], "width": 10, "height": 10}])  # fmt: skip
    arm, post = (solid.prism for solid in found.item.solids)
    assert arm.frame[2][2] == pytest.approx(0.5**0.5) and arm.cuts == ()
    assert (post.cuts[0].point, post.frame[0][0]) == ((0, 0, 60), 1)
    assert found.item.contacts[0].normal == pytest.approx((0, 0.5**0.5, 0.5**0.5))
    assert found.sound


def test_a_round_solid_has_the_corners_of_circles_and_a_line_for_a_pad() -> None:
    found = made(reading(pin("pin", 20, 0, 60)), id="own-pin", kind="pin", origin=[0, 0, 0], slide=None, left_out=[], moves=[],
                 pads=[{"solid": "pin", "normal": [0, 1, 0]}, {"solid": "pin", "normal": [0, 0, 1], "width": 8, "height": 8}])  # fmt: skip
    assert len(found.item.solids[0].prism.outline) == 48
    assert found.item.contacts[0] == Contact((0, 10, 30), (0, 1, 0), 1, 60)
    assert found.item.contacts[1] == Contact((0, 0, 60), (0, 0, 1), 8, 8)
    assert found.sound


def test_which_of_several_faces_is_meant_is_said_by_a_point() -> None:
    angle = Part("l", Section("angle", leg_a=90, leg_b=90, thickness=30), 60, Pose((0, 0, 0), (0, 0, 1), (0, 1, 0)), name="l")
    asked: dict[str, Any] = {"origin": [0, 0, 0], "kind": "square", "slide": None, "left_out": [], "moves": [], "pitch": None}
    pad = {"solid": "l", "normal": [0, 1, 0]}
    assert faults(reading(angle), **asked, pads=[pad]) == [
        ("/pads/0/at", "2 faces of solid 'l' look along (0, 1, 0): 60 x 60 mm; 30 x 60 mm")
    ]
    found = made(reading(angle), **asked, pads=[{**pad, "at": [60, 30, 10]}])
    assert found.item.contacts == (Contact((60, 30, 30), (0, 1, 0), 60, 60),)
    smaller = made(reading(angle), **asked, pads=[{**pad, "at": [60, 30, 25], "width": 20, "height": 40}])
    assert smaller.item.contacts == (Contact((60, 30, 25), (0, 1, 0), 20, 40),)


def test_a_clamp_has_its_reach_and_its_open_self() -> None:
    post, spindle = block("post", (-14, -14, 0), (14, 14, 100)), block("spindle", (-8, 14, 40), (8, 40, 60))
    opened = block("open", (-14, -14, 0), (14, 14, 130))
    clamp = {"force_n": 900, "reach": [[0, 40, 50], [0, 70, 50]], "close_s": 2, "open_s": 2, "open": ["open"]}
    asked: dict[str, Any] = {
        "kind": "side_clamp", "origin": [0, 0, 0], "slide": None, "left_out": [], "moves": ["spindle"],
        "pads": [{"solid": "spindle", "normal": [0, 1, 0]}],
    }  # fmt: skip
    found = made(reading(post, spindle, opened), **asked, clamp=clamp)
    assert found.item.clamp is not None and found.item.clamp.open_solids is not None
    assert (found.item.clamp.direction, found.item.clamp.reach) == ((0, 1, 0), ((0, 40, 50), (0, 70, 50)))
    assert [solid.end for solid in found.item.clamp.open_solids] == [130] and len(found.item.solids) == 2
    assert found.sound
    off = made(
        reading(post, spindle, opened), **asked, clamp={**clamp, "reach": [[0, 38, 50], [0, 70, 50]], "direction": [1, 5, 0]}
    )
    assert {"reach.tip", "reach.direction"} == {code for code, verdict in verdicts(off).items() if verdict == "wrong"}


def test_what_is_no_prism_takes_up_room_and_is_told() -> None:
    found = made(stop_file(bodies=("base",), off_mm=0.4))
    assert verdicts(found) == {"solid.outer_body": "told", "solid.deviation": "told"}
    told = next(finding for finding in found.findings if finding.code == "solid.outer_body")
    assert told.text == "'stop/base' is no prism and is drawn as its convex outer body: a step, not an end"


def test_what_lies_below_the_table_is_refused_left_out_or_cut_off() -> None:
    assert faults(left_out=[]) == [("/solids/2", "the solid reaches down to z = -20 mm, below the mounting plane")]
    cut = made(origin=[200, 300, 101], cut_below=True)
    assert cut.item.solids[0].prism.cuts == (PlaneCut((0, 0, 0), (0, 0, -1)),)
    assert cut.item.mass_kg == pytest.approx((40 * 30 * 49 + 30 * 10 * 40) * 7850e-9, abs=5e-4)


@pytest.mark.parametrize(
    ("changes", "pointer", "wrong"),
    [
        ({"moves": ["slidr"]}, "/moves/0", "the file has no solid 'slidr'"),
        ({"left_out": ["peg", "base", "slider"], "moves": [], "pads": []}, "/left_out", "no solid is left"),
        ({"moves": ["peg"]}, "/moves", "solid 'stop/peg' moves and is left out"),
        ({"along": [0, 0, -2]}, "/along", "along is parallel to up"),
        ({"pads": [{"solid": "slider", "normal": [1, 1, 0]}]}, "/pads/0/normal", "no flat face of solid 'slider' looks along (1, 1, 0)"),
        ({"pads": [{"normal": [1, 1, 0]}]}, "/pads/0/at", "is missing: no solid is named"),
        ({"pads": [{"solid": "9", "normal": [1, 0, 0]}]}, "/pads/0/solid", "the file has no solid '9'"),
        ({"kind": "vee"}, "/pads", "1 contacts on a vee"),
        ({"clamp": {"force_n": 1, "reach": [[0, 0, 0], [0, 0, 1]], "close_s": 1, "open_s": 1}}, "/clamp", "a adjustable_stop does not clamp"),
    ],
)  # fmt: skip
def test_what_is_wrong_stands_at_its_mark(changes: dict[str, Any], pointer: str, wrong: str) -> None:
    assert (pointer, wrong) in faults(**changes)


def test_a_solid_that_was_not_read_must_be_left_out() -> None:
    lost = stop_file(lost=("stop/spring",))
    assert faults(lost) == [("/left_out", "solid 'stop/spring' cannot be a solid of an item: encloses no volume")]
    assert made(lost, left_out=["peg", "spring"]).sound


def test_a_name_that_several_solids_end_in_must_be_whole() -> None:
    twins = reading(block("a", (0, 0, 0), (9, 9, 9)), block("b", (0, 0, 9), (9, 9, 18)))
    bodies = tuple(type(body)(body.number, f"{body.name}/rod", body.outcome, body.part) for body in twins.bodies)
    named = type(twins)(twins.kind, twins.dialect, twins.units, twins.name, twins.parts, bodies)
    asked: dict[str, Any] = {"origin": [0, 0, 0], "kind": "riser", "slide": None, "moves": [], "pads": []}
    assert faults(named, **asked, left_out=["rod"]) == [("/left_out/0", "'rod' are 2 solids: 'stop/a/rod', 'stop/b/rod'")]
    assert len(made(named, **asked, left_out=["stop/a/rod"]).item.solids) == 1


def test_marks_are_started_for_every_solid() -> None:
    started = started_marks(stop_file(), "own-40")
    assert [pad["solid"] for pad in started["pads"]] == ["stop/base", "stop/slider", "stop/peg"]
    assert read_marks(started).id == "own-40" and read_marks(EXAMPLE).kind == "adjustable_stop"


def test_a_reading_as_a_document_has_what_is_wrong_first() -> None:
    document = item_reading_document(
        made(pads=[{"normal": [0, 1, 0], "at": [200, 324, 130], "width": 30, "height": 40, "moves": True}])
    )
    assert document["sound"] is False and document["item"]["id"] == "own-40"
    assert [finding["code"] for finding in document["findings"] if finding["verdict"] == "wrong"] == ["pad.on_face", "pad.whole"]
    assert document["findings"][0]["value"] == 1.0 and document["findings"][0]["limit"] == 0.05
    assert [solid["name"] for solid in document["solids"]] == ["stop/base", "stop/slider"]
