"""A valid plan, one thing of what stands where spoilt at a time, or of the kit: the check meant to see it does."""

from __future__ import annotations

import copy

import pytest

from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Change, Document, placement, rebuilt, rules_failed


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
)


@pytest.mark.parametrize(("change", "rule"), MUTATIONS, ids=[f"{change.__name__}-{rule}" for change, rule in MUTATIONS])
def test_every_mutation_is_caught_by_its_check(change: Change, rule: str) -> None:
    assert rule in rules_failed(job.mutated(change))
