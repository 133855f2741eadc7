"""A valid plan, one thing of how pieces and parts touch, locate and clamp spoilt at a time: the check meant to see it does."""

from __future__ import annotations

import pytest

from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Change, Document, placement, rebuilt, rules_failed


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


MUTATIONS: tuple[tuple[Change, str], ...] = (
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
)


@pytest.mark.parametrize(("change", "rule"), MUTATIONS, ids=[f"{change.__name__}-{rule}" for change, rule in MUTATIONS])
def test_every_mutation_is_caught_by_its_check(change: Change, rule: str) -> None:
    assert rule in rules_failed(job.mutated(change))
