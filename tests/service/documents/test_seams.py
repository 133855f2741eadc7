"""Seams as a document: what is proposed, what may be changed in it, and the weldment that comes of choosing."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import read_weldment, weldment_document
from service.documents.seams.choosing import answered_seams, read_seams
from service.documents.seams.proposals import parts_fingerprint
from solver.drafting.touching.kinds import LEG_BY
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests import builders as b
from tests.service.documents.test_published import complaints
from tests.solver.drafting.test_seams import pose_in


def post() -> dict[str, Any]:
    return weldment_document(b.tab_on_tube())


def refused(body: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(InvalidDocument) as refusal:
        answered_seams(body)
    return {fault.pointer: fault.wrong for fault in refusal.value.faults}


def test_a_weldment_is_answered_with_its_seams_and_nothing_is_chosen() -> None:
    document = answered_seams(post())
    assert document == answered_seams({"weldment": post()}) and complaints("seams", document) == []
    assert [seam["id"] for seam in document["seams"]] == ["s1", "s2", "s3", "s4"]
    assert not any(seam["chosen"] for seam in document["seams"])
    left = next(seam for seam in document["seams"] if seam["place"] == "tab on tube, left side")
    assert left == {
        "id": left["id"], "parts": ["tube", "tab"], "place": "tab on tube, left side", "path": [[200, -15, 50], [200, 19, 50]],
        "side": None, "open_side": [-0.707, 0, 0.707], "opening_deg": 90, "openings_deg": [90, 90], "length_mm": 34, "outside_corner": False,
        "square_corner": True, "kind": "fillet", "leg": 3, "throat": None, "sized_by": LEG_BY, "weld": "w1", "chosen": False,
        "in_fixture": "full", "process": "",
    }  # fmt: skip
    read_seams(json.dumps(document))


def test_choosing_adds_welds_and_leaves_all_else_as_it_was_written() -> None:
    weldment = post()
    made = answered_seams({"weldment": weldment, "choose": ["all"], "sizes": {"leg": 4}, "in_fixture": "tack", "process": "135"})
    assert {key: value for key, value in made.items() if key != "welds"} == {k: v for k, v in weldment.items() if k != "welds"}
    assert made["welds"][:2] == weldment["welds"]
    assert made["welds"][2:] == [
        {"id": "s1", "parts": ["tube", "tab"], "path": [[200, -15, 50], [300, -15, 50]], "kind": "fillet", "leg": 4,
         "in_fixture": "tack", "process": "135"},
        {"id": "s2", "parts": ["tube", "tab"], "path": [[200, 21.9, 50], [300, 21.9, 50]], "kind": "flare", "throat": 3,
         "in_fixture": "tack", "process": "135"},
    ]  # fmt: skip
    read_weldment(made)
    assert answered_seams({"weldment": made, "choose": ["all"]}) == made


def test_a_weldment_in_inches_gets_its_welds_in_inches_and_sizes_go_by_the_units_beside_them() -> None:
    weldment = {
        "format": "holdwright.weldment/1", "units": "inch",
        "parts": [
            {"id": name, "section": {"shape": "flat_bar", "width": 2, "thickness": 0.25}, "length": 4, "pose": pose}
            for name, pose in (
                ("base", {"at": [0, 0, 0.125], "along": [1, 0, 0], "up": [0, 0, 1]}),
                ("rib", {"at": [2, 0, 0.25], "along": [0, 0, 1], "up": [1, 0, 0]}),
            )
        ],
    }  # fmt: skip
    made = answered_seams({"weldment": weldment, "units": "inch", "choose": ["square_corners"], "sizes": {"leg": 0.1875}})
    in_mm = answered_seams({"weldment": weldment, "choose": ["square_corners"], "sizes": {"leg": 4.7625}})
    assert made == in_mm and made["units"] == "inch" and len(made["welds"]) == 2
    for weld, x in zip(sorted(made["welds"], key=lambda weld: weld["path"]), (1.875, 2.125), strict=True):
        assert weld["leg"] == 0.1875 and weld["path"] == [[x, -1, 0.25], [x, 1, 0.25]]


def test_an_edited_seams_document_is_the_choice() -> None:
    seams = answered_seams(post())
    seams["seams"][0] |= {"chosen": True, "leg": 5, "in_fixture": "none", "process": "111"}
    seams["seams"][1] |= {"chosen": True, "kind": "fillet", "throat": None}
    seams["seams"][2]["chosen"] = True  # has w2 already
    made = answered_seams({"weldment": post(), "seams": seams})
    assert [(weld["id"], weld["kind"], weld.get("leg"), weld.get("throat")) for weld in made["welds"]] == [
        ("w1", "fillet", 4, None), ("w2", "fillet", 4, None), ("s1", "fillet", 5, None), ("s2", "fillet", None, 3),
    ]  # fmt: skip
    assert made["welds"][2]["in_fixture"] == "none" and made["welds"][2]["process"] == "111"


def test_what_is_left_out_of_a_seams_document_is_as_proposed() -> None:
    seams = {"format": "holdwright.seams/1", "parts_fingerprint": parts_fingerprint(b.tab_on_tube())}
    made = answered_seams({"weldment": post(), "seams": {**seams, "seams": [{"id": "s1", "chosen": True}]}})
    assert made["welds"][2]["leg"] == 3 and len(made["welds"]) == 3


def test_a_seams_document_of_other_parts_is_refused_and_one_of_other_welds_is_not() -> None:
    seams = answered_seams(post())
    seams["seams"][0]["chosen"] = True
    longer, renamed, bare = post(), post(), post()
    longer["parts"][0]["length"] = 510
    renamed["parts"][1] |= {"name": "a tab", "material": "stainless"}
    bare["welds"] = []
    assert list(refused({"weldment": longer, "seams": seams})) == ["/seams/parts_fingerprint"]
    assert len(answered_seams({"weldment": renamed, "seams": seams})["welds"]) == 3
    assert len(answered_seams({"weldment": bare, "seams": seams})["welds"]) == 1


@pytest.mark.parametrize(
    ("field", "value"),
    [("path", [[200, -15, 50], [290, -15, 50]]), ("path", [[200, -15, 50], [200, -15, 50]]), ("length_mm", 90), ("parts", ["tab", "tube"]), ("square_corner", False),
     ("place", "elsewhere"), ("opening_deg", 120), ("side", [0, 0, 1])],
)  # fmt: skip
def test_what_was_found_of_a_seam_is_not_for_anybody_to_change(field: str, value: Any) -> None:
    seams = answered_seams(post())
    seams["seams"][0] |= {"chosen": True, field: value}
    assert list(refused({"weldment": post(), "seams": seams})) == [f"/seams/seams/0/{field}"]


def test_every_fault_of_a_choice_has_its_place() -> None:
    seams = answered_seams(post())
    none, unknown, twice = copy.deepcopy(seams), copy.deepcopy(seams), copy.deepcopy(seams)
    unknown["seams"][3] |= {"id": "s77", "chosen": True}
    twice["seams"].append(twice["seams"][0])
    ask = {"weldment": post()}
    assert list(refused(ask | {"seams": none})) == ["/seams/seams"]
    assert list(refused(ask | {"seams": unknown})) == ["/seams/seams/3/id"]
    assert list(refused(ask | {"seams": twice})) == ["/seams/seams/4/id"]
    assert list(refused(ask | {"seams": seams, "choose": ["all"]})) == ["/seams"]
    assert list(refused(ask | {"choose": []})) == ["/choose"]
    assert list(refused(ask | {"choose": ["all"], "sizes": {"by_seam": {"s9": {"leg": 4}}}})) == ["/sizes/by_seam/s9"]
    assert list(refused(ask | {"choose": ["all"], "sizes": {"by_kind": {"flare": {"leg": 4}}}})) == ["/sizes/by_kind/flare/leg"]
    legged = copy.deepcopy(seams)
    legged["seams"][1] |= {"chosen": True, "leg": 3}
    assert list(refused(ask | {"seams": legged})) == ["/seams/seams/1/leg"]
    assert list(refused(ask | {"choose": ["all"], "sizes": {"leg": -1}, "more": 1})) == ["/more", "/sizes/leg"]
    overlapping = post()
    overlapping["parts"][1]["pose"]["at"][2] = 40
    assert "/weldment/parts/1" in refused({"weldment": overlapping, "choose": ["all"]})
    assert list(refused({"format": "holdwright.weldment/1"})) == ["/parts"]


def test_seams_keep_their_ids_and_their_document_when_a_weldment_is_written_and_read_again() -> None:
    """Lying askew, so that rounding leaves its traces in every number: seams of one length, and a closed one."""
    askew = Pose((300, -40, 25), (0.48, 0.6, 0.64), (0.8, -0.6, 0)).frame()
    ring = Part("ring", Section("round_tube", diameter=30, wall=3), 50, Pose((60, 60, 8), b.Z, b.Y))
    parts = (b.plate("base", (120, 120)), b.plate("tab", (40, 40), 6, (0, 0, 8)), ring)
    weldment = Weldment(tuple(replace(part, pose=pose_in(askew, part.pose)) for part in parts))
    document = weldment_document(weldment)
    for _ in range(4):
        seams = answered_seams(document)
        for seam in seams["seams"]:
            seam["chosen"] = True
        document = weldment_document(read_weldment(document))
        made = answered_seams({"weldment": document, "seams": seams})
        assert [weld["id"] for weld in made["welds"]] == [seam["id"] for seam in seams["seams"]]
        assert {seam["id"]: seam["weld"] for seam in answered_seams(made)["seams"]} == {
            weld["id"]: weld["id"] for weld in made["welds"]
        }
