"""A re-plan's change list, done step by step: from the plan that stands to the new one, nothing through anything."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from solver.checks import check
from solver.checks.scene.reading import read_alternative
from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Document, piece, placement

MOVED_CENTS = 150


def step(do: str, id: str, **more: object) -> Document:
    """A step that ends where the new plan has the piece; a piece taken off ends nowhere."""
    after = placement(job.tab_alternative(), id) if do != "take_off" else {}
    where = {name: after.get(name) for name in ("hole", "stands_on", "turn", "setting_mm")}
    item = more.pop("item", None) or placement(job.tab_alternative(), id)["item"]
    return {"do": do, "piece": id, "item": item, "hole_before": None, "stands_on_before": None, "why": "by hand", **where, **more}


def broken(keep: Callable[[Document], None], moved: int, *changes: Document | None) -> set[tuple[str, str]]:
    """Return which rules are broken, and by what, where the plan that stood differs so and these are the changes."""
    kept, plan = job.tab_alternative(), job.plan()
    keep(kept)
    alternative = plan["alternatives"][0]
    cost = alternative["cost"]
    cost["weights_cents"] += moved * MOVED_CENTS
    cost["total_cents"] += moved * MOVED_CENTS
    plan["cost_bound_cents"] = cost["total_cents"]
    if changes != (None,):
        alternative["changes"] = list(changes)
    request = replace(job.request(), keep=read_alternative(kept))
    return {(finding.rule, finding.subject) for finding in check(request, job.stock(), plan).failed}


def nothing(_kept: Document) -> None:
    """The plan that stood is the new one."""


def stop_elsewhere(kept: Document) -> None:
    job.rebuilt("s1", hole="F6")(kept)


def swapped(kept: Document) -> None:
    job.rebuilt("s1", hole="P6")(kept)
    job.rebuilt("s2", hole="E6")(kept)


def riser_elsewhere(kept: Document) -> None:
    """The riser r1 stood in another hole, and a1 on it: 80 mm to the left."""
    items = job.stock().items
    entries = kept["placements"]
    for id, entry in (
        ("r1", piece(items["riser"], "r1", "F10", 0, [], [])),
        ("a1", piece(items["adjustable"], "a1", None, 180, [], [], on=("r1", (240, 400, 40)), setting=20)),
    ):
        entries[[one["id"] for one in entries].index(id)] = entry


def slide_back(kept: Document) -> None:
    placement(kept, "a1")["setting_mm"] = 19


def roof(kept: Document) -> None:
    """No rest stood in I9; a piece that the new plan has not hung over the place, 5 mm above the rest."""
    kept["placements"] = [entry for entry in kept["placements"] if entry["id"] != "k1"]
    over = piece(job.stock().items["rest"], "x1", "M12", 0, [], [])
    block = {"outline": [[340, 330], [530, 330], [530, 480], [340, 480]], "from": 65, "to": 75}
    kept["placements"].append(over | {"solids": [block]})


def test_a_plan_that_stands_already_needs_no_step() -> None:
    assert broken(nothing, 0) == set()


def test_a_list_without_a_plan_to_keep_leads_nowhere() -> None:
    plan = job.plan()
    plan["alternatives"][0]["changes"] = []
    assert {finding.rule for finding in check(job.request(), job.stock(), plan).failed} == {"changes.end"}


def test_a_piece_goes_from_hole_to_hole() -> None:
    assert broken(stop_elsewhere, 1, step("move", "s1", hole_before="F6")) == set()


def test_a_replan_without_its_list_is_refused() -> None:
    assert broken(stop_elsewhere, 1, None) == {("changes.end", "s1")}
    assert broken(stop_elsewhere, 1) == {("changes.end", "s1")}


@pytest.mark.parametrize(
    "wrong",
    [
        {"hole_before": "G6"}, {"hole_before": "F6", "hole": "D6"}, {"hole_before": "F6", "turn": 90},
        {"hole_before": "F6", "why": ""}, {"hole_before": "F6", "item": "rest"}, {"hole_before": "F6", "do": "set"},
        {"hole_before": None, "do": "add"}, {"hole_before": "F6", "stands_on": "r1"},
    ],
)  # fmt: skip
def test_a_step_says_what_is_so(wrong: Document) -> None:
    assert ("changes.step", "1 s1") in broken(stop_elsewhere, 1, step("move", "s1") | wrong)


def test_pieces_that_change_places_need_a_third_place() -> None:
    """Two of one item: their price is what it was, yet who changes them needs three steps."""
    straight = (step("move", "s1", hole_before="P6"), step("move", "s2", hole_before="E6"))
    assert ("changes.hole", "1 s1") in broken(swapped, 0, *straight)
    around = (step("take_off", "s2", hole_before="E6"), step("move", "s1", hole_before="P6"), step("add", "s2"))
    assert broken(swapped, 0, *around) == set()


def test_what_stands_on_a_piece_comes_off_before_it_and_goes_on_after_it() -> None:
    off = step("take_off", "a1", stands_on_before="r1")
    moved, on = step("move", "r1", hole_before="F10"), step("add", "a1")
    assert broken(riser_elsewhere, 2, off, moved, on) == set()
    assert ("changes.carrier", "1 r1") in broken(riser_elsewhere, 2, moved, off, on)
    assert ("changes.carrier", "2 a1") in broken(riser_elsewhere, 2, off, on, moved)


def test_a_piece_that_is_set_anew_stays_where_it_is() -> None:
    assert broken(slide_back, 1, step("set", "a1", stands_on_before="r1")) == set()


def test_nothing_goes_down_through_what_hangs_over_its_place() -> None:
    off, down = step("take_off", "x1", item="rest", hole_before="M12"), step("add", "k1")
    assert broken(roof, 1, off, down) == set()
    assert broken(roof, 1, down, off) == {("changes.body", "1 k1")}


def test_a_piece_that_nobody_takes_off_still_stands() -> None:
    assert ("changes.end", "x1") in broken(roof, 1, step("add", "k1"))


def test_a_piece_that_stood_on_another_table_moves() -> None:
    """Eleven pieces in the same holes of another table: each of them is taken there."""

    def elsewhere(kept: Document) -> None:
        kept["table"] = "T9"

    order = ("s1", "s2", "e1", "e2", "k1", "c1", "c2")
    plain = [step("move", id, hole_before=placement(job.tab_alternative(), id)["hole"]) for id in order]
    stacked = [
        entry
        for top, base in (("a1", "r1"), ("a2", "r2"))
        for entry in (
            step("take_off", top, stands_on_before=base),
            step("move", base, hole_before=placement(job.tab_alternative(), base)["hole"]),
            step("add", top),
        )
    ]
    assert broken(elsewhere, 11, *plain, *stacked) == set()
    assert ("changes.end", "s1") in broken(elsewhere, 11, *plain[1:], *stacked)
