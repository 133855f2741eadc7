"""A valid plan, one thing of welding, loading, unloading, its price or its form spoilt at a time: the check meant to see it does."""

from __future__ import annotations

import copy

import numpy as np
import pytest

from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Change, Document, move, placement, rules_failed


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
