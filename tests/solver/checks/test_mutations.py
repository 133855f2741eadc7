"""A valid plan, spoilt in one way at a time: the check meant to see it does."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from inventory.stock import StockSnapshot
from solver.checks import check
from solver.request import Request, Without
from solver.rule_book.book import RuleBook
from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Document, move, placement

Change = Callable[[Document], None]


def rules_failed(document: Document, request: Request | None = None, stock: StockSnapshot | None = None) -> set[str]:
    """Return the rules that a plan breaks."""
    return {finding.rule for finding in check(request or job.request(), stock or job.stock(), document).failed}


def test_the_plan_is_valid() -> None:
    assert check(job.request(), job.stock(), job.plan()).failed == ()


def shifted(entry: Any, by: tuple[float, float, float]) -> None:
    """Move a placement's solids and contacts, but not its hole."""
    for name in ("solids", "open_solids"):
        for solid in entry[name] or ():
            for k in range(3):
                solid["frame"][k][3] += by[k]
    for contact in entry["contacts"]:
        for point in (contact["at"], *contact["patch"]):
            for k in range(3):
                point[k] += by[k]


def rebuilt(id: str, **changes: Any) -> Change:
    """Put a placement elsewhere by the catalogue: solids follow hole, turn and setting, contacts stay."""

    def change(alternative: Document) -> None:
        entry = placement(alternative, id)
        given = {name: entry[name] for name in ("hole", "turn")} | {"setting": entry["setting_mm"], "on": None} | changes
        item = job.stock().items[entry["item"]]
        entry.update(job.piece(item, id, locates=[], contacts=entry["contacts"], **given) | {"locates": entry["locates"]})

    return change


def one_hole_on(alternative: Document) -> None:
    placement(alternative, "s1")["hole"] = "F6"


def one_hole_back(alternative: Document) -> None:
    rebuilt("s1", hole="E5")(alternative)


def half_a_turn(alternative: Document) -> None:
    placement(alternative, "e1")["turn"] = 90


def nose_backwards(alternative: Document) -> None:
    placement(alternative, "a1")["turn"] = 0


def turn_between(alternative: Document) -> None:
    rebuilt("k1", turn=45)(alternative)


def off_increment(alternative: Document) -> None:
    rebuilt("a1", setting=19.8, hole=None, on=("r1", (320, 400, 40)))(alternative)
    for point in (placement(alternative, "a1")["contacts"][0]["at"], *placement(alternative, "a1")["contacts"][0]["patch"]):
        point[1] = 360.2


def beyond_the_range(alternative: Document) -> None:
    rebuilt("c1", setting=120)(alternative)


def setting_without_slide(alternative: Document) -> None:
    placement(alternative, "k1")["setting_mm"] = 3


def solid_grown(alternative: Document) -> None:
    placement(alternative, "s2")["solids"][0]["to"] = 62


def solid_missing(alternative: Document) -> None:
    del placement(alternative, "a2")["solids"][1]


def part_solid_moved(alternative: Document) -> None:
    alternative["parts"][1]["solids"][0]["frame"][0][3] += 0.5


def open_solids_as_shut(alternative: Document) -> None:
    entry = placement(alternative, "c2")
    entry["open_solids"] = copy.deepcopy(entry["solids"])


def weldment_turned(alternative: Document) -> None:
    alternative["weldment_to_table"] = [[0, -1, 0, 135], [1, 0, 0, 285], [0, 0, 1, 0], [0, 0, 0, 1]]


def lie_not_asked(alternative: Document) -> None:
    alternative["lie"] = {"down": "+z", "turn": 0}
    alternative["weldment_to_table"] = [[1, 0, 0, 135], [0, -1, 0, 285], [0, 0, -1, 68], [0, 0, 0, 1]]


def weldment_mirrored(alternative: Document) -> None:
    alternative["weldment_to_table"][1][1] = -1


def same_hole_twice(alternative: Document) -> None:
    entry = copy.deepcopy(placement(alternative, "s1"))
    alternative["placements"].append(entry | {"id": "s9"})


def off_the_table(alternative: Document) -> None:
    rebuilt("s2", hole="P17")(alternative)


def stack_in_a_circle(alternative: Document) -> None:
    for one, other in (("r1", "r2"), ("r2", "r1")):
        placement(alternative, one).update(hole=None, stands_on=other)


def stands_on_a_rest(alternative: Document) -> None:
    placement(alternative, "a1")["stands_on"] = "k1"


def stands_on_itself_and_a_hole(alternative: Document) -> None:
    placement(alternative, "a1")["hole"] = "H10"


def kit_one_short(alternative: Document) -> None:
    alternative["kit"][0]["count"] = 2


def kit_from_another_bin(alternative: Document) -> None:
    alternative["kit"][1]["bin"] = "Z9"


def unknown_item(alternative: Document) -> None:
    placement(alternative, "k1")["item"] = "anvil"


def another_table(alternative: Document) -> None:
    alternative["table"] = "T2"


def contact_forgotten(alternative: Document) -> None:
    placement(alternative, "s2").update(contacts=[], locates=[])


def piece_in_the_part(alternative: Document) -> None:
    alternative["weldment_to_table"][1][3] = 284.5
    for part in alternative["parts"]:
        part["solids"][0]["frame"][1][3] -= 0.5


def pieces_too_near(alternative: Document) -> None:
    rebuilt("k1", hole="H9")(alternative)
    for point in (placement(alternative, "k1")["contacts"][0]["at"], *placement(alternative, "k1")["contacts"][0]["patch"]):
        point[0] -= 40


def weldment_sunk(alternative: Document) -> None:
    alternative["weldment_to_table"][2][3] = -2
    for part in alternative["parts"]:
        part["solids"][0]["frame"][2][3] -= 2


def wrong_face(alternative: Document) -> None:
    placement(alternative, "s1")["contacts"][0]["face"] = "side:0"


def no_such_face(alternative: Document) -> None:
    placement(alternative, "s1")["contacts"][0]["face"] = "side:4"


def normal_flipped(alternative: Document) -> None:
    placement(alternative, "e1")["contacts"][0]["normal"] = [-1, 0, 0]


def normal_too_long(alternative: Document) -> None:
    placement(alternative, "e1")["contacts"][0]["normal"] = [2, 0, 0]


def patch_beyond_the_face(alternative: Document) -> None:
    placement(alternative, "k1")["contacts"][0]["patch"][1][1] = 364
    placement(alternative, "k1")["contacts"][0]["patch"][2][1] = 364


def patch_beyond_the_pad(alternative: Document) -> None:
    for point in placement(alternative, "s1")["contacts"][0]["patch"]:
        if point[0] == 214:
            point[0] = 230


def patch_off_the_skin(alternative: Document) -> None:
    for point in placement(alternative, "k1")["contacts"][0]["patch"]:
        point[2] -= 0.2


def point_outside_its_patch(alternative: Document) -> None:
    placement(alternative, "k1")["contacts"][0]["at"] = [360, 345, 60]
    for point in placement(alternative, "k1")["contacts"][0]["patch"]:
        point[1] = 352 if point[1] == 345 else 360


def mate_wider_than_the_tube(alternative: Document) -> None:
    for point in alternative["part_contacts"][0]["patch"]:
        point[1] = 330 if point[1] == 307 else point[1]


def rests_on_air(alternative: Document) -> None:
    alternative["parts"][0]["rests_on"] = ["table", "s1"]


def clamp_that_locates(alternative: Document) -> None:
    placement(alternative, "c1")["locates"] = [{"part": "tube", "as": "support"}]


def support_from_the_side(alternative: Document) -> None:
    placement(alternative, "s1")["locates"] = [{"part": "tube", "as": "support"}]


def end_not_located(alternative: Document) -> None:
    placement(alternative, "e1")["locates"] = []


def side_stops_close(alternative: Document) -> None:
    rebuilt("s2", hole="G6")(alternative)
    for point in (placement(alternative, "s2")["contacts"][0]["at"], *placement(alternative, "s2")["contacts"][0]["patch"]):
        point[0] -= 360


def unsupported_overhang(alternative: Document) -> None:
    alternative["part_contacts"][0]["patch"] = [[295, 265, 60], [415, 265, 60], [415, 275, 60], [295, 275, 60]]
    placement(alternative, "k1")["locates"] = []


def clamp_left_out(alternative: Document) -> None:
    alternative["placements"].remove(placement(alternative, "c2"))
    alternative["load"][1]["then_close"] = []
    alternative["unload"]["open"] = ["c1"]


def clamp_over_air(alternative: Document) -> None:
    alternative["part_contacts"][0]["patch"] = [[295, 265, 60], [415, 265, 60], [415, 285, 60], [295, 285, 60]]
    placement(alternative, "k1")["locates"] = []
    placement(alternative, "k1")["contacts"] = []


def torch_reversed(alternative: Document) -> None:
    alternative["welds"][0]["samples"][2]["torch"] = [job.HALF, 0, job.HALF]


def torch_flat(alternative: Document) -> None:
    alternative["welds"][0]["samples"][2]["torch"] = [-1, 0, 0]


def torch_leaning(alternative: Document) -> None:
    lean = np.array([-job.HALF, 0.4, -job.HALF])
    alternative["welds"][0]["samples"][2]["torch"] = (lean / np.linalg.norm(lean)).tolist()


def torch_into_the_table(alternative: Document) -> None:
    alternative["welds"][0]["samples"][2]["torch"] = [0, 0, 1]


def sample_left_out(alternative: Document) -> None:
    del alternative["welds"][1]["samples"][2]


def end_sample_left_out(alternative: Document) -> None:
    del alternative["welds"][1]["samples"][0]


def sample_off_the_weld(alternative: Document) -> None:
    alternative["welds"][1]["samples"][2]["at"][2] = 61


def tack_too_short(alternative: Document) -> None:
    del alternative["welds"][2]["samples"][-1]


def weld_left_out(alternative: Document) -> None:
    del alternative["welds"][2]


def way_too_short(alternative: Document) -> None:
    alternative["unload"]["moves"] = [move(0, 0, 1, 9)]


def way_through_a_stop(alternative: Document) -> None:
    alternative["unload"]["moves"] = [move(0, -1, 0, 60), move(0, 0, 1, 200)]


def lowered_onto_a_shut_clamp(alternative: Document) -> None:
    alternative["load"][0]["then_close"] = ["c1", "c2"]


def part_loaded_twice(alternative: Document) -> None:
    alternative["load"].append(copy.deepcopy(alternative["load"][0]) | {"then_close": []})


def tab_before_tube(alternative: Document) -> None:
    alternative["load"].reverse()


def clamp_never_opened(alternative: Document) -> None:
    alternative["unload"]["open"] = ["c1"]


def locator_pulled(alternative: Document) -> None:
    alternative["unload"]["pull"] = ["s1"]


def carrier_pulled(alternative: Document) -> None:
    alternative["unload"]["pull"] = ["r1"]


def a_cent_cheaper(alternative: Document) -> None:
    alternative["cost"]["setup_cents"] -= 1
    alternative["cost"]["total_cents"] -= 1


def wrong_sum(alternative: Document) -> None:
    alternative["cost"]["total_cents"] += 1


def a_second_quicker(alternative: Document) -> None:
    alternative["cycle_s"] -= 1


def dangling_reference(alternative: Document) -> None:
    alternative["load"][1]["then_close"] = ["c3"]


def two_pieces_one_name(alternative: Document) -> None:
    placement(alternative, "s2")["id"] = "s1"


def piece_named_as_a_part(alternative: Document) -> None:
    placement(alternative, "r1")["id"] = "tab"
    placement(alternative, "a1")["stands_on"] = "tab"


def field_missing(alternative: Document) -> None:
    del alternative["unload"]


def not_a_number(alternative: Document) -> None:
    alternative["welds"][0]["samples"][0]["at"][0] = float("nan")


MUTATIONS: tuple[tuple[Change, str], ...] = (
    (one_hole_on, "solids.catalogue"),
    (one_hole_back, "contacts.patch_in_pad"),
    (half_a_turn, "contacts.pad"),
    (nose_backwards, "solids.catalogue"),
    (turn_between, "placement.turn"),
    (off_increment, "placement.setting"),
    (beyond_the_range, "placement.setting"),
    (setting_without_slide, "placement.setting"),
    (solid_grown, "solids.catalogue"),
    (solid_missing, "solids.catalogue"),
    (part_solid_moved, "solids.request"),
    (open_solids_as_shut, "solids.open"),
    (weldment_turned, "lie.rotation"),
    (weldment_mirrored, "lie.rotation"),
    (lie_not_asked, "lie.allowed"),
    (same_hole_twice, "pegs.own_hole"),
    (off_the_table, "pegs.exists"),
    (stack_in_a_circle, "stack.order"),
    (stands_on_a_rest, "stack.carries"),
    (stands_on_itself_and_a_hole, "document.standing"),
    (same_hole_twice, "stock.counted"),
    (kit_one_short, "kit.lines"),
    (kit_from_another_bin, "kit.lines"),
    (unknown_item, "document.items"),
    (another_table, "document.table"),
    (contact_forgotten, "clear.body"),
    (piece_in_the_part, "apart.overlap"),
    (pieces_too_near, "clear.body"),
    (weldment_sunk, "apart.overlap"),
    (wrong_face, "contacts.normal"),
    (no_such_face, "contacts.face"),
    (normal_flipped, "contacts.normal"),
    (normal_too_long, "document.directions"),
    (patch_beyond_the_face, "contacts.patch_in_face"),
    (patch_beyond_the_pad, "contacts.patch_in_pad"),
    (patch_off_the_skin, "contacts.patch_in_face"),
    (point_outside_its_patch, "contacts.at_in_patch"),
    (mate_wider_than_the_tube, "contacts.mates"),
    (rests_on_air, "contacts.rests_on"),
    (clamp_that_locates, "contacts.role"),
    (support_from_the_side, "contacts.role"),
    (end_not_located, "locate.end_points"),
    (end_not_located, "locate.condition_max"),
    (side_stops_close, "locate.side_spacing_ratio"),
    (unsupported_overhang, "locate.support_margin"),
    (clamp_left_out, "clamp.per_length"),
    (clamp_over_air, "clamp.over_support"),
    (torch_reversed, "torch.work_tolerance"),
    (torch_flat, "torch.work_tolerance"),
    (torch_leaning, "torch.travel_angle"),
    (torch_into_the_table, "torch.free"),
    (sample_left_out, "torch.sample"),
    (end_sample_left_out, "torch.sample"),
    (sample_off_the_weld, "torch.sample"),
    (tack_too_short, "tack.length"),
    (weld_left_out, "document.ids"),
    (way_too_short, "way.lift"),
    (way_through_a_stop, "way.clear"),
    (lowered_onto_a_shut_clamp, "way.clear"),
    (lowered_onto_a_shut_clamp, "load.then_close"),
    (part_loaded_twice, "load.order"),
    (tab_before_tube, "load.order"),
    (clamp_never_opened, "unload.open"),
    (locator_pulled, "unload.pull"),
    (carrier_pulled, "unload.pull"),
    (a_cent_cheaper, "cost.setup_cents"),
    (wrong_sum, "cost.total_cents"),
    (a_second_quicker, "cost.cycle_s"),
    (dangling_reference, "document.references"),
    (two_pieces_one_name, "document.ids"),
    (piece_named_as_a_part, "document.ids"),
    (field_missing, "document.readable"),
    (not_a_number, "document.readable"),
)


@pytest.mark.parametrize(("change", "rule"), MUTATIONS, ids=[f"{change.__name__}-{rule}" for change, rule in MUTATIONS])
def test_every_mutation_is_caught_by_its_check(change: Change, rule: str) -> None:
    assert rule in rules_failed(job.mutated(change))


def with_rules(**changes: float) -> Request:
    return replace(job.request(), rules=RuleBook({name.replace("__", "."): value for name, value in changes.items()}))


TIGHTENED: tuple[tuple[Request, str], ...] = (
    (with_rules(hold__handling_n=2000), "hold.handling_n"),
    (with_rules(hold__shrink_n_per_mm2=1000, hold__friction=0.02), "hold.shrink_n_per_mm2"),
    (with_rules(stack__deflection_max=0.001, hold__handling_n=250), "stack.deflection_max"),
    (with_rules(locate__tolerance_share=0.05), "locate.tolerance_share"),
    (with_rules(locate__condition_max=2), "locate.condition_max"),
    (with_rules(clear__weld=45, clear__weld_locator=45), "clear.weld_locator"),
    (with_rules(clear__weld=50), "clear.weld"),
    (with_rules(clear__body=12), "clear.body"),
    (with_rules(clamp__max_part_pressure=0.02), "clamp.max_part_pressure"),
    (with_rules(clamp__per_length=300), "clamp.per_length"),
    (with_rules(clamp__over_support=5), "clamp.over_support"),
    (with_rules(torch__hand_from=0, torch__hand_diameter=100), "hand.free"),
    (with_rules(torch__sample=9), "torch.sample"),
    (with_rules(tack__pitch=80), "tack.pitch"),
    (with_rules(way__lift=170), "way.lift"),
    (with_rules(way__clear=12), "way.clear"),
    (with_rules(time__pick_s=7), "cost.setup_s"),
    (replace(job.request(), quantity=11), "cost.cycle_cents"),
    (replace(job.request(), needed=(date(2027, 3, 1), date(2027, 3, 2))), "cost.tie_up_cents"),
    (replace(job.request(), without=Without({"riser": 1})), "stock.counted"),
    (replace(job.request(), without=Without({}, frozenset({(None, (6, 8))}))), "pegs.blocked"),
    (replace(job.request(), turn=(90.0,)), "lie.allowed"),
)


@pytest.mark.parametrize(("request_", "rule"), TIGHTENED, ids=[rule for _, rule in TIGHTENED])
def test_a_tighter_request_is_not_met_by_the_same_plan(request_: Request, rule: str) -> None:
    assert rule in rules_failed(job.plan() | {"rules": {}}, request_)


def test_an_open_dimension_beyond_the_setting_is_refused() -> None:
    request = job.request()
    wider = replace(request.weldment.open_dimensions[0], low=-6)
    request = replace(request, weldment=replace(request.weldment, open_dimensions=(wider,)))
    assert rules_failed(job.plan(), request) == {"open_dimensions.follow"}


def test_an_open_dimension_along_a_fixed_stop_is_refused() -> None:
    request = job.request()
    along = replace(request.weldment.open_dimensions[0], direction=(1.0, 0.0, 0.0))
    request = replace(request, weldment=replace(request.weldment, open_dimensions=(along,)))
    assert rules_failed(job.plan(), request) == {"open_dimensions.follow"}
