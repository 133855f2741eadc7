"""The plan as a whole: ranks, differences, status and bound, refusals with repairs, several stations."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any

import pytest

from inventory.stock import StockSnapshot
from solver.checks import check, check_alternative
from solver.checks.scene.reading import read_alternative
from solver.request import Request
from solver.rule_book.book import RuleBook
from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Document, move, placement


def failed(document: Document, request: Request | None = None, stock: StockSnapshot | None = None) -> set[str]:
    return {finding.rule for finding in check(request or job.request(), stock or job.stock(), document).failed}


def two(second: Document) -> Document:
    """The plan with a second alternative."""
    plan = job.plan()
    return plan | {"alternatives": [*plan["alternatives"], second | {"rank": 2, "title": "another"}]}


def test_the_same_kit_elsewhere_is_no_second_alternative() -> None:
    assert failed(two(job.tab_alternative())) == {"alternatives.kit_pieces"}
    other = job.tab_alternative()
    other["unload"]["moves"] = [move(0, 0, 1, 100), move(1, 0, 0, 100)]
    assert failed(two(other)) == {"alternatives.kit_pieces"}


def another_kit() -> tuple[Document, StockSnapshot]:
    """A tall stop instead of one of the stops."""
    other, stock = job.tab_alternative(), job.stock(tall=2)
    entry = placement(other, "s2")
    tall = job.pad("tube", "side:2", (640, 255, 40), (0, 1, 0), x=(626, 654), z=(8, 52))
    entry.update(job.piece(stock.items["tall"], "s2", "P6", 0, [("tube", "side")], [tall]))
    other["kit"] = [line | {"count": {"stop": 2, "tall": 2}.get(line["item"], line["count"])} for line in other["kit"]]
    return two(other) | {"rules": {}}, stock


@pytest.mark.parametrize(("asked", "rules"), [(1, set()), (2, set()), (3, {"alternatives.kit_pieces"})])
def test_one_stop_of_another_item_makes_two_pieces_of_difference(asked: int, rules: set[str]) -> None:
    plan, stock = another_kit()
    assert failed(plan, replace(job.request(), rules=RuleBook({"alternatives.kit_pieces": asked})), stock) == rules


def test_two_alternatives_do_not_read_alike() -> None:
    plan, stock = another_kit()
    plan["alternatives"][1]["title"] = plan["alternatives"][0]["title"]
    assert failed(plan, stock=stock) == {"alternatives.named"}
    plan["alternatives"][1]["title"] = "another"
    for each in plan["alternatives"]:
        each["differs"] = "a tall stop"
    assert failed(plan, stock=stock) == {"alternatives.named"}


EQUAL = ["cheapest", "fewest_pieces", "fastest_setup", "fastest_cycle", "stiffest", "truest"]


@pytest.mark.parametrize(
    ("first", "second", "holds"),
    [
        ([*EQUAL, "spares_scarce"], EQUAL, True),
        (EQUAL, EQUAL, False),
        ([*EQUAL, "spares_scarce"], [*EQUAL, "spares_scarce"], False),
        ([*EQUAL, "spares_scarce"], EQUAL[1:], False),
    ],
)
def test_traits_say_in_what_each_is_best(first: list[str], second: list[str], holds: bool) -> None:
    """Of four low stops one is scarcer a piece less than of two tall ones; all else is equal."""
    plan, stock = another_kit()
    plan["alternatives"][0]["traits"], plan["alternatives"][1]["traits"] = first, second
    assert failed(plan, stock=stock) == (set() if holds else {"alternatives.traits"})


@pytest.mark.parametrize(("off", "holds"), [(0.0, True), (0.001, False)])
def test_measures_are_found_anew(off: float, holds: bool) -> None:
    plan, stock = another_kit()
    findings = {finding.rule: finding.value for finding in check(job.request(), stock, plan).findings}
    error = findings["compare.locating_error"]
    assert error is not None
    plan["alternatives"][0]["measures"] = {
        "pieces": len(plan["alternatives"][0]["placements"]), "locating_error_mm": error + off,
        "stiffness_n_per_mm": findings["compare.stiffness"], "scarcity": _scarcity(plan["alternatives"][0], stock),
    }  # fmt: skip
    assert failed(plan, stock=stock) == (set() if holds else {"alternatives.measures"})


def _scarcity(alternative: Document, stock: StockSnapshot) -> float:
    return sum(float(line["count"]) / stock.free(line["item"]) for line in alternative["kit"])


def test_ranks_run_from_one_and_totals_rise() -> None:
    plan = two(job.tab_alternative())
    plan["alternatives"][1]["rank"] = 3
    assert "alternatives.rank" in failed(plan)
    plan["alternatives"][1]["rank"] = 2
    plan["alternatives"][0]["cost"]["total_cents"] += 5
    assert "alternatives.rank" in failed(plan)


@pytest.mark.parametrize(
    ("changes", "holds"),
    [
        ({}, True),
        ({"gap": 0.1}, False),
        ({"cost_bound_cents": 1831}, False),
        ({"cost_bound_cents": 1833}, False),
        ({"status": "feasible", "stopped_by": "time", "cost_bound_cents": 1649, "gap": 183 / 1832}, True),
        ({"status": "feasible", "stopped_by": "time", "cost_bound_cents": 1649, "gap": 0.2}, False),
        ({"status": "feasible", "stopped_by": "proof", "cost_bound_cents": 1649, "gap": 183 / 1832}, False),
        ({"status": "feasible", "stopped_by": "time", "cost_bound_cents": None, "gap": None}, False),
        ({"status": "infeasible"}, False),
        ({"status": "splendid"}, False),
        ({"stopped_by": "boredom"}, False),
        ({"seed": 2}, False),
        ({"rules": {"clear.weld": 16}}, False),
        ({"rules": {"clear.wold": 15}}, False),
        ({"rules": None}, False),
    ],
)
def test_status_says_what_the_alternatives_bear_out(changes: dict[str, Any], holds: bool) -> None:
    assert failed(job.plan() | changes) == (set() if holds else {"plan.status"})


@pytest.mark.parametrize(
    ("changes", "holds"),
    [
        (
            {"status": "infeasible", "refused": {"because": [{"rule": "stock.counted", "subject": "rest", "text": "1 short"}]}},
            True,
        ),
        ({"status": "infeasible", "refused": {"because": []}}, False),
        ({"status": "infeasible", "refused": None}, False),
        ({"status": "unknown", "stopped_by": "time"}, True),
        ({"status": "optimal"}, False),
    ],
)
def test_a_plan_without_alternatives_says_why(changes: dict[str, Any], holds: bool) -> None:
    empty = job.plan() | {"alternatives": [], "cost_bound_cents": None, "gap": None}
    assert failed(empty | changes) == (set() if holds else {"plan.status"})


def left_out(could_cost_cents: Any) -> list[Document]:
    return [{"code": "lies.tilted", "text": "lies on an edge", "could_cost_cents": could_cost_cents}]


HALFWAY: Document = {"status": "feasible", "stopped_by": "scope", "cost_bound_cents": 916, "gap": 0.5}
SEEN_THROUGH: Document = {"status": "optimal", "stopped_by": "proof"}


@pytest.mark.parametrize(
    ("changes", "holds"),
    [
        (HALFWAY | {"left_out": left_out(916)}, True),
        (HALFWAY | {"left_out": left_out(None)}, True),
        (HALFWAY | {"left_out": left_out(915)}, False),
        (HALFWAY | {"left_out": left_out("916")}, False),
        (HALFWAY | {"left_out": []}, False),
        (HALFWAY | {"left_out": "lies on an edge"}, False),
        (HALFWAY, False),
        (SEEN_THROUGH | {"left_out": left_out(1832)}, True),
        (SEEN_THROUGH | {"left_out": left_out(1831)}, False),
        (SEEN_THROUGH | {"left_out": left_out(None)}, False),
    ],
)
def test_what_was_left_out_leaves_room_for_status_and_bound(changes: Document, holds: bool) -> None:
    assert failed(job.plan() | changes) == (set() if holds else {"plan.status"})


@pytest.mark.parametrize(
    ("changes", "holds"),
    [
        ({"status": "unknown", "stopped_by": "scope", "left_out": left_out(500)}, True),
        ({"status": "unknown", "stopped_by": "scope"}, False),
        ({"status": "infeasible", "stopped_by": "proof", "left_out": left_out(500)}, False),
        ({"status": "infeasible", "stopped_by": "proof", "left_out": left_out(None)}, False),
    ],
)
def test_nothing_is_impossible_while_something_is_left_out(changes: Document, holds: bool) -> None:
    because = [{"rule": "stock.counted", "subject": "rest", "text": "1 short"}]
    empty = job.plan() | {"alternatives": [], "cost_bound_cents": None, "gap": None, "refused": {"because": because}}
    assert failed(empty | changes) == (set() if holds else {"plan.status"})


def test_more_alternatives_than_asked_are_refused() -> None:
    plan, stock = another_kit()
    assert failed(plan, replace(job.request(), alternatives=1), stock) == {"plan.status"}


def refusal(repair: Document) -> Document:
    """A refusal for want of a rest, with one repair."""
    because = [{"rule": "stock.counted", "subject": "rest", "text": "1 needed, 0 free"}]
    plan = job.plan() | {"status": "infeasible", "alternatives": [], "cost_bound_cents": None, "gap": None}
    return plan | {"refused": {"because": because, "would_help": [repair]}}


def bought() -> Document:
    alternative = job.tab_alternative()
    alternative["cost"] |= {"shortage_cents": 3000, "total_cents": 4832}
    next(line for line in alternative["kit"] if line["item"] == "rest")["buy"] = 1
    return alternative


def test_a_repair_carries_a_plan_that_works_at_its_price() -> None:
    repair = {"do": "buy", "item": "rest", "count": 1, "price_cents": 3000, "then_total_cents": 4832, "plan": bought()}
    assert failed(refusal(repair), stock=job.stock(rest=0)) == set()
    assert failed(refusal(repair | {"then_total_cents": 4831}), stock=job.stock(rest=0)) == {"refused.would_help"}
    assert failed(refusal(repair | {"plan": job.tab_alternative()}), stock=job.stock(rest=0)) == {"refused.would_help"}


def test_a_relaxed_rule_is_relaxed_for_its_own_plan_only() -> None:
    strict = replace(job.request(), rules=RuleBook({"clear.weld": 50}))
    repair = {"do": "relax", "rule": "clear.weld", "from": 50, "to": 47, "then_total_cents": 1832, "plan": job.tab_alternative()}
    assert failed(refusal(repair) | {"rules": {}}, strict) == set()
    for wrong in ({"to": 49}, {"to": "less"}, {"rule": "clear.wold"}, {"to": 1e9}):
        assert failed(refusal(repair | wrong) | {"rules": {}}, strict) == {"refused.would_help"}


def stationed(rows_on: int) -> Document:
    """Two equal stations, the second `rows_on` rows further up."""
    first, shift = job.tab_alternative(), 40.0 * rows_on
    second = copy.deepcopy(first)
    second["weldment_to_table"][1][3] += shift
    for part in second["parts"]:
        part["solids"][0]["frame"][1][3] += shift
    for entry in second["placements"]:
        entry["id"] += "b"
        entry["stands_on"] = entry["stands_on"] and entry["stands_on"] + "b"
        if entry["hole"]:
            entry["hole"] = entry["hole"][0] + str(int(entry["hole"][1:]) + rows_on)
        for solid in (*entry["solids"], *(entry["open_solids"] or ())):
            solid["frame"][1][3] += shift
        for contact in entry["contacts"]:
            for point in (contact["at"], *contact["patch"]):
                point[1] += shift
    for point in (
        *second["part_contacts"][0]["patch"],
        *(sample["at"] for weld in second["welds"] for sample in weld["samples"]),
    ):
        point[1] += shift
    for step in second["load"]:
        step["then_close"] = [id + "b" for id in step["then_close"]]
    second["unload"]["open"] = ["c1b", "c2b"]
    for part in second["parts"]:
        part["rests_on"] = [id + "b" if id == "k1" else id for id in part["rests_on"]]
    both = dict(first)
    for name in ("parts", "placements", "part_contacts", "welds", "load"):
        both[name] = [one | {"station": k} for k, half in ((1, first), (2, second)) for one in half[name]]
    both["unload"] = [half["unload"] | {"station": k} for k, half in ((1, first), (2, second))]
    both["stations"] = [
        {"station": k, "lie": half["lie"], "weldment_to_table": half["weldment_to_table"]}
        for k, half in ((1, first), (2, second))
    ]
    del both["lie"], both["weldment_to_table"]
    both["kit"] = [line | {"count": 2 * line["count"]} for line in first["kit"]]
    # Setup 60 + 22 x 36 + 4 x 40 + 4 x 15 + 4 x 45 = 1252 s; cycle 36 x (1 - 0.4 x 0.5) = 28.8, so 29 s; tie-up 22 x 20 cents;
    # weights 4 x 30.
    cost = {"setup_cents": 1913, "cycle_cents": 443, "tie_up_cents": 440, "shortage_cents": 0, "weights_cents": 120}
    return both | {"setup_s": 1252, "cycle_s": 29, "cost": cost | {"total_cents": sum(cost.values())}}


def tall_shelf() -> StockSnapshot:
    """Twice the hardware on a longer table."""
    stock = job.stock(stop=6, tall=2, riser=4, adjustable=4, rest=2, long=4)
    return replace(stock, tables={"T1": replace(stock.tables["T1"], size=(1000.0, 1400.0), rows=34)})


def test_two_stations_far_apart_pass() -> None:
    request = replace(job.request(), stations=2)
    assert [f for f in check_alternative(request, tall_shelf(), read_alternative(stationed(14))) if not f.ok] == []


def test_two_stations_too_near_strike_each_other() -> None:
    request = replace(job.request(), stations=2)
    found = {f.rule for f in check_alternative(request, tall_shelf(), read_alternative(stationed(5))) if not f.ok}
    assert "clear.body" in found


def test_the_number_of_stations_asked_for_is_kept() -> None:
    request = job.request()
    found = {f.rule for f in check_alternative(request, tall_shelf(), read_alternative(stationed(14))) if not f.ok}
    assert found == {"stations.count"}
    best = replace(request, stations="best")
    assert all(f.ok for f in check_alternative(best, tall_shelf(), read_alternative(stationed(14))))


def test_an_entry_of_no_station_is_seen() -> None:
    request = replace(job.request(), stations=2)
    document = stationed(14)
    document["welds"][0]["station"] = 3
    found = {f.rule for f in check_alternative(request, tall_shelf(), read_alternative(document)) if not f.ok}
    assert "stations.count" in found


def test_a_replan_pays_for_every_standing_piece_that_moves() -> None:
    # Stop s1 stood in F6 and adjustable a1 at 19: two pieces at 1.50.
    kept = job.tab_alternative()
    placement(kept, "s1")["hole"] = "F6"
    placement(kept, "a1")["setting_mm"] = 19
    dearer = job.plan()
    dearer["alternatives"][0]["cost"] |= {"weights_cents": 360, "total_cents": 2132}
    again = replace(job.request(), keep=read_alternative(kept))
    assert failed(dearer | {"cost_bound_cents": 2132}, again) == {"changes.end"}
    assert failed(job.plan(), again) == {"changes.end", "cost.weights_cents", "cost.total_cents"}
    assert failed(job.plan(), replace(job.request(), keep=read_alternative(job.tab_alternative()))) == set()


def test_a_plan_set_before_is_quicker() -> None:
    # 656 s x 0.6 = 393.6, so 394 s, 6.02.
    quicker = job.plan()
    quicker["alternatives"][0] |= {"setup_s": 394}
    quicker["alternatives"][0]["cost"] |= {"setup_cents": 602, "total_cents": 1432}
    assert failed(quicker | {"cost_bound_cents": 1432}, replace(job.request(), set_before=True)) == set()


@pytest.mark.parametrize(("weight", "cents"), [(30, 3 * 10 + 2 * 30 + 6 * 15), (1, 8)])
def test_scarce_pieces_weigh_by_what_is_free(weight: int, cents: int) -> None:
    # Free: stop 3, tall 1, riser 2, adjustable 2, rest 1, long 2. At 1 cent the three stops round down to 0, eight others to 1.
    plan = job.plan()
    plan["alternatives"][0]["cost"] |= {"weights_cents": 60 + cents, "total_cents": 1832 + cents}
    request = replace(job.request(), rules=RuleBook({"weights.scarce": weight}))
    assert failed(plan | {"rules": {}, "cost_bound_cents": 1832 + cents}, request) == set()
