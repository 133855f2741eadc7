"""Edits of a weldment in the making: what they do, what follows, what they refuse at the field."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.weldments.drafted_weldment import DraftedWeldment, drafted_weldment
from service.weldments.edited import Edited
from service.weldments.following.extents import extents
from service.weldments.parts import add_part, change_part, copy_part, remove_part
from service.weldments.placings import move_part, place_part, placing_of, put_on_top, turn_part
from service.weldments.requirements import (
    add_open_dimension,
    add_tolerance,
    change_open_dimension,
    change_tolerance,
    remove_requirement,
)
from service.weldments.starts import blank
from service.weldments.welds import add_welds, change_weld, proposed, remove_weld
from service.weldments.whole import change_units, name_weldment
from solver.drafting import Offset

Document = dict[str, Any]


def tab_on_tube(units: str = "mm") -> Document:
    tube = add_part(blank(units).document, {"shape": "square_tube"})
    return add_part(tube.document, {"shape": "plate", "on": "tube"}).document


def welded() -> Document:
    return add_welds(tab_on_tube()).document


def of(edited: Edited | Document) -> DraftedWeldment:
    return drafted_weldment(edited.document if isinstance(edited, Edited) else edited)


def faults(act: Callable[[], object]) -> dict[str, str]:
    with pytest.raises(InvalidDocument) as refused:
        act()
    return {fault.pointer: fault.wrong for fault in refused.value.faults}


def test_two_parts_and_their_seams_make_a_weldment_without_a_typed_number() -> None:
    drafted = of(welded())
    assert drafted.faults == () and proposed(drafted) == ()
    assert [part.id for part in drafted.sound_parts] == ["tube", "plate"]
    tube, plate = drafted.sound_parts
    assert tube.pose.at == (0, 0, 25) and plate.pose.at == (200, -40, 50), "the plate lies on the tube, in its middle"
    assert len(drafted.welds) == 4 and {weld.parts for weld in drafted.welds if weld} == {("tube", "plate")}


def test_the_same_in_inches_has_figures_of_the_trade() -> None:
    edited = add_welds(tab_on_tube("inch"))
    drafted = of(edited)
    assert drafted.faults == () and drafted.units == "inch"
    sizes = {weld.get("leg") or weld.get("throat") for weld in drafted.entries("welds")}
    assert all((16 * size).is_integer() for size in sizes if size is not None), "beads are whole sixteenths"
    assert drafted.entries("parts")[1]["pose"]["at"][2] == 2


def test_what_is_placed_on_a_part_follows_it_with_welds_and_tolerances() -> None:
    document = add_tolerance(welded(), {"part": "plate", "face": "side:0", "relative_to": "tube"}).document
    higher = of(change_part(document, 0, {"size": "80 x 80 x 4"}))
    assert higher.faults == () and proposed(higher) == ()
    plate = higher.part("plate")
    assert plate is not None and plate.pose.at == (200, -40, 80)
    longer = of(change_part(document, 1, {"long": "120"}))
    assert longer.faults == () and {point[0] for weld in longer.welds if weld for point in weld.path} == {200, 320}
    assert longer.tolerances[0] is not None and longer.tolerances[0].point == (260, -40, 54), "still the middle of that edge"
    moved = of(move_part(document, 0, {"x": "10", "z": "-5"}))
    assert moved.faults == () and moved.part("plate").pose.at == (210, -40, 45)  # type: ignore[union-attr]
    turned = of(turn_part(document, 0, {"degrees": "90", "axis": "z"}))
    assert turned.faults == () and len(turned.welds) == 4
    assert turned.tolerances[0] is not None and turned.tolerances[0].direction == (1, 0, 0)
    alone = of(move_part(document, 0, {"x": "10", "alone": "yes"}))
    assert alone.part("plate").pose.at == (200, -40, 50)  # type: ignore[union-attr]


def test_a_part_is_placed_by_its_faces_and_offsets() -> None:
    document = tab_on_tube()
    off = place_part(document, 1, {"on": "tube", "across_by": "12,5", "along_edge": "low", "along_to": "low", "along_by": "30"})
    assert of(off).part("plate").pose.at == (30, -27.5, 50)  # type: ignore[union-attr]
    assert off.words == "placed plate on tube, top (+z)"
    drafted = of(off)
    tube, plate = drafted.sound_parts
    again = placing_of(plate, tube)
    assert (again.part_face, again.on_face, again.along) == ("start", "side:1", Offset("low", "low", 30))
    upright = place_part(document, 1, {"on": "tube", "face": "side:0", "on_face": "side:1"})
    low = of(upright).part("plate")
    assert low is not None and extents(low)[0][2] == pytest.approx(50)


def test_offsets_beside_other_faces_than_before_are_not_taken_for_the_new_ones() -> None:
    document = place_part(tab_on_tube(), 1, {"on": "tube", "along_by": "30"}).document
    form = {
        "on": "tube",
        "face": "start",
        "on_face": "end",
        "was_on": "tube",
        "was_face": "start",
        "was_on_face": "side:1",
        "along_by": "30",
    }
    moved = of(place_part(document, 1, form)).part("plate")
    assert moved is not None and moved.pose.at == (500, -50, -15), "against the end, in its middle"
    assert of(put_on_top(document, 1, {"on": "tube"})).part("plate").pose.at == (200, -40, 50)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("act", "pointers"),
    [
        (lambda d: add_part(d, {"shape": "wheel"}), {"/shape"}),
        (lambda d: add_part(d, {"shape": "round_bar", "diameter": "x", "length": "1,250"}), {"/diameter"}),
        (lambda d: add_part(d, {"shape": "round_bar", "length": "1,250"}), {"/length"}),
        (lambda d: add_part(d, {"shape": "round_bar", "material": "wood"}), {"/material"}),
        (lambda d: change_part(d, 1, {"long": "abc", "wide": ""}), {"/long", "/wide"}),
        (lambda d: change_part(d, 7, {"length": "5"}), {"/parts/7"}),
        (lambda d: change_part(d, 1, {"corners": "0 0\n1\n5 y"}), {"/corners"}),
        (lambda d: place_part(d, 1, {"on": "nobody"}), {"/on"}),
        (lambda d: place_part(d, 1, {"on": "plate"}), {"/on"}),
        (lambda d: place_part(d, 1, {"on": "tube", "face": "side:99", "on_face": "nose"}), {"/face", "/on_face"}),
        (lambda d: place_part(d, 1, {"on": "tube", "along_by": "x", "turn": "y", "gap": "z"}), {"/along_by", "/turn", "/gap"}),
        (lambda d: place_part(d, 1, {"on": "tube", "along_by": "1000000000"}), {"/along_by"}),
        (lambda d: place_part(d, 1, {"on": "tube", "across_to": "nowhere"}), {"/across_to"}),
        (lambda d: move_part(d, 1, {"x": "1000000000", "y": "q"}), {"/y"}),
        (lambda d: move_part(d, 1, {"x": "1000000000"}), {"/x"}),
        (lambda d: turn_part(d, 1, {"degrees": "round", "axis": "z"}), {"/degrees"}),
        (lambda d: turn_part(d, 1, {"degrees": "90", "axis": "w"}), {"/axis"}),
        (lambda d: add_welds(d, [99]), {"/seam"}),
        (lambda d: add_welds(d, between=("tube", "nobody")), {"/seam"}),
        (lambda d: change_weld(d, 0, {"size": "5"}), {"/welds/0"}),
        (lambda d: change_weld(add_welds(d).document, 0, {"size": "five", "kind": "glue", "in_fixture": "maybe"}),
         {"/size", "/kind", "/in_fixture"}),
        (lambda d: add_tolerance(d, {"part": "nobody", "face": "end"}), {"/part"}),
        (lambda d: add_tolerance(d, {"part": "tube", "face": "end", "plus_minus": "?"}), {"/plus_minus"}),
        (lambda d: add_open_dimension(d, {"part": "tube", "face": "end", "low": "a", "high": "b"}), {"/low", "/high"}),
        (lambda d: change_units(d, "cubit"), {"/units"}),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_at_its_field(act: Callable[[Document], object], pointers: set[str]) -> None:
    assert set(faults(lambda: act(tab_on_tube()))) == pointers


def test_a_draft_may_be_faulty_and_says_where() -> None:
    thin = of(change_part(tab_on_tube(), 0, {"size": "", "wall": "30"}))
    assert [fault.pointer for fault in thin.faults] == ["/parts/0/section/wall"]
    assert thin.parts[0] is None and thin.parts[1] is not None, "the sound part is still there to be drawn"
    sunk = of(move_part(tab_on_tube(), 1, {"z": "-20"}))
    assert sunk.faults[0].pointer == "/parts/1" and None not in sunk.parts
    huge = of(add_part(tab_on_tube(), {"shape": "round_bar", "length": "1000000000"}))
    assert huge.faults[0].pointer == "/parts/2/length"
    twice = of(change_part(tab_on_tube(), 1, {"id": "tube"}))
    assert any(fault.pointer == "/parts/1/id" for fault in twice.faults)
    nameless = of(change_part(tab_on_tube(), 1, {"id": ""}))
    assert nameless.faults[0].pointer == "/parts/1/id"


def test_a_part_is_called_otherwise_wherever_it_is_named() -> None:
    document = add_tolerance(welded(), {"part": "plate", "face": "end", "relative_to": "tube"}).document
    document = add_open_dimension(document, {"part": "plate", "face": "side:0"}).document
    document["pins"] = [{"item": "square-60", "part": "plate"}]
    edited = change_part(document, 1, {"id": "lug"})
    drafted = of(edited)
    assert drafted.faults == () and edited.words == "changed plate: now called lug"
    assert {weld.parts for weld in drafted.welds if weld} == {("tube", "lug")}
    assert edited.document["pins"] == [{"item": "square-60", "part": "lug"}]
    gone = remove_part(edited.document, 1)
    assert gone.words == "removed lug with 4 welds and 1 tolerance and 1 open dimension"
    assert of(gone).faults == () and gone.document["pins"] == []


def test_a_copy_is_out_of_the_way_and_has_a_name_of_its_own() -> None:
    edited = copy_part(copy_part(tab_on_tube(), 0).document, 0)
    drafted = of(edited)
    assert [part.id for part in drafted.sound_parts] == ["tube", "plate", "tube-2", "tube-3"]
    assert drafted.faults == () and edited.chosen == ("parts", 3)


def test_welds_are_changed_one_by_one_or_all_at_once() -> None:
    document = welded()
    one = change_weld(document, 2, {"size": "5"}).document["weldment"]["welds"]
    assert [weld.get("leg") for weld in one] == [None, None, 5, 3]
    tacked = change_weld(document, 0, {"in_fixture": "tack", "process": "135", "which": "all"})
    assert {(weld["in_fixture"], weld["process"]) for weld in tacked.document["weldment"]["welds"]} == {("tack", "135")}
    assert tacked.words == "changed w1 and 3 more"
    butt = change_weld(document, 2, {"kind": "butt", "measure": "leg", "size": "5"})
    assert of(butt).faults == () and butt.document["weldment"]["welds"][2]["throat"] == 3.5
    fewer = remove_weld(document, 3)
    assert fewer.words == "removed w4" and len(proposed(of(fewer))) == 1, "its seam is offered again"
    assert add_welds(fewer.document).document["weldment"]["welds"][-1]["id"] == "w4"
    assert of(remove_weld(document, 0, "joint")).welds == ()
    assert change_weld(document, 0, {"kind": "flare"}).words == ""


def test_seams_are_welded_by_kind() -> None:
    fillets = add_welds(tab_on_tube(), kind="fillet")
    assert [weld.kind for weld in of(fillets).welds if weld] == ["fillet", "fillet"] and fillets.words == "welded 2 seams"
    assert faults(lambda: add_welds(tab_on_tube(), kind="glue")) == {"/seam": "no seam is left to weld"}


def test_tolerances_and_open_dimensions_stand_at_faces() -> None:
    added = add_tolerance(tab_on_tube(), {"part": "plate", "face": "side:1", "plus_minus": "1/2", "relative_to": "tube"})
    (tolerance,) = of(added).tolerances
    assert tolerance is not None and (tolerance.plus_minus, tolerance.relative_to, tolerance.direction) == (
        0.5,
        "tube",
        (1, 0, 0),
    )
    by_class = change_tolerance(added.document, 0, {"part": "plate", "face": "side:1", "iso13920": "B", "length": "100"})
    (tolerance,) = of(by_class).tolerances
    assert of(by_class).faults == () and tolerance is not None and tolerance.plus_minus == 2.0, "ISO 13920 B, 30 to 120 mm"
    elsewhere = change_tolerance(by_class.document, 0, {"part": "tube", "face": "end", "relative_to": ""})
    assert of(elsewhere).tolerances[0].part == "tube"  # type: ignore[union-attr]
    opened = add_open_dimension(elsewhere.document, {"part": "plate", "face": "side:1", "low": "-2"})
    changed = change_open_dimension(opened.document, 0, {"high": "7,5"})
    assert of(changed).faults == () and changed.document["weldment"]["open_dimensions"][0]["range"] == [-2, 7.5]
    upside = of(change_open_dimension(opened.document, 0, {"high": "-9"}))
    assert upside.faults[0].pointer == "/open_dimensions/0/range"
    assert of(remove_requirement(changed.document, "open_dimensions", 0)).open_dimensions == ()


def test_units_are_changed_without_changing_the_weldment() -> None:
    document = add_tolerance(welded(), {"part": "plate", "face": "side:1"}).document
    inches = change_units(document, "inch")
    back = change_units(inches.document, "mm")
    assert of(inches).faults == () and of(inches).units == "inch"
    for one, other in zip(of(document).sound_parts, of(back).sound_parts, strict=True):
        assert one.pose.at == pytest.approx(other.pose.at, abs=1e-5) and one.length == pytest.approx(other.length, abs=1e-5)
    assert change_units(document, "mm").words == ""


def test_a_name_is_kept_as_it_is_typed() -> None:
    script = "<script>alert(1)</script>"
    assert of(name_weldment(tab_on_tube(), f" {script} ")).name == script
    assert [fault.pointer for fault in of(name_weldment(tab_on_tube(), "x" * 201)).faults] == ["/name"]


def test_an_edit_leaves_the_document_it_was_given_alone() -> None:
    document = welded()
    before = repr(document)
    for edited in (
        change_part(document, 0, {"length": "400"}),
        remove_part(document, 0),
        remove_weld(document, 0),
        copy_part(document, 1),
    ):
        assert edited.document != document
    assert repr(document) == before


def with_a_casting() -> Document:
    document = welded()
    outline = [[0, 0], [60, 0], [80, 30], [60, 60], [0, 60]]
    document["weldment"]["parts"].append(
        {"id": "casting", "section": {"shape": "body", "outline": outline}, "length": 50,
         "pose": {"at": [40, 30, 0], "along": [0, 0, 1], "up": [0, 1, 0]}}
    )  # fmt: skip
    return document


def test_an_outer_body_is_kept_changed_moved_and_turned() -> None:
    document = with_a_casting()
    assert of(document).faults == () and len(proposed(of(document))) == 0, "it offers no seams"
    longer = change_part(document, 2, {"length": "70", "material": "aluminium"})
    assert of(longer).faults == () and longer.document["weldment"]["parts"][2]["section"]["outline"][2] == [80, 30]
    cornered = change_part(document, 2, {"corners": "0 0\n60 0\n0 60"})
    assert of(cornered).part("casting").section.plate_outline == ((0, 0), (60, 0), (0, 60))  # type: ignore[union-attr]
    dented = change_part(document, 2, {"corners": "0 0\n60 0\n20 20\n0 60"})
    assert [fault.pointer for fault in of(dented).faults] == ["/parts/2/section/outline"]
    turned = of(turn_part(document, 2, {"axis": "z", "degrees": "90"})).part("casting")
    assert turned is not None and [sum(ends) / 2 for ends in zip(*extents(turned), strict=True)] == pytest.approx([80, 60, 25])
    moved = move_part(document, 0, {"z": "10"})
    assert of(moved).part("casting").pose.at == (40, 30, 0), "it lies on nothing"  # type: ignore[union-attr]


def test_nothing_is_placed_on_an_outer_body_or_measured_at_it() -> None:
    document = with_a_casting()
    assert "no faces" in faults(lambda: place_part(document, 2, {"on": "tube"}))["/on"]
    assert "no faces" in faults(lambda: put_on_top(document, 2, {"on": "tube"}))["/on"]
    for act in (place_part, put_on_top):
        assert set(faults(lambda act=act: act(document, 1, {"on": "casting"}))) == {"/on"}  # type: ignore[misc]
    assert set(faults(lambda: add_tolerance(document, {"part": "casting", "plus_minus": "1"}))) == {"/part"}
    assert set(faults(lambda: add_open_dimension(document, {"part": "casting"}))) == {"/part"}
    assert set(faults(lambda: add_part(document, {"shape": "body"}))) == {"/shape"}
    assert set(faults(lambda: change_part(document, 0, {"shape": "body"}))) == {"/corners"}
