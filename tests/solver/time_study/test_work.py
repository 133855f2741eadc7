"""The work of a plan's setup and cycle: what the price counted, to the second, by the catalogue or by the plan alone."""

from __future__ import annotations

import gzip
import math
from dataclasses import replace
from pathlib import Path

import pytest

from service.documents import read_plan
from solver.plans import Alternative, Plan
from solver.rule_book.book import RuleBook
from solver.time_study.work import CycleWork, SetupWork, What, planned_seconds, work_of
from tests.service.asked import DEMO_STOCK
from tests.solver.stations.jobs import two_bars

PLANS = Path(__file__).parents[2] / "service" / "drawings" / "plans"
BOTH: tuple[What, ...] = ("setup", "cycle")
NAMES = sorted(path.name.removesuffix(".plan.json.gz") for path in PLANS.glob("*.plan.json.gz"))


def plan_of(name: str) -> tuple[Plan, dict[str, float]]:
    plan = read_plan(gzip.decompress((PLANS / f"{name}.plan.json.gz").read_bytes()))
    return plan, {**RuleBook().resolved(), **plan.rules}


@pytest.mark.parametrize("name", ["hinge-lug", "hinge-tab", "mitred-frame", "vee-lug"])
def test_the_form_gives_the_planned_times_with_the_catalogue_and_without_it(name: str) -> None:
    plan, rules = plan_of(name)
    for one in plan.alternatives:
        for items in (DEMO_STOCK.items, {}):
            setup = work_of("setup", one, rules, items, False)
            cycle = work_of("cycle", one, rules, items, False)
            assert math.ceil(round(planned_seconds(setup, rules), 6)) == one.setup_s
            assert math.ceil(round(planned_seconds(cycle, rules), 6)) == one.cycle_s
            assert setup.parts == len(one.parts) and isinstance(cycle, CycleWork)


def test_two_stations_are_set_together_and_share_their_rounds() -> None:
    request, stock, answer = two_bars()
    one, rules = answer.alternatives[0], request.rules.resolved()
    setup, cycle = (work_of(what, one, rules, stock.items, False) for what in BOTH)
    assert (setup.stations, setup.parts, cycle.parts) == (2, 2, 1)
    assert math.ceil(round(planned_seconds(setup, rules), 6)) == one.setup_s
    assert math.ceil(round(planned_seconds(cycle, rules), 6)) == one.cycle_s


def test_there_are_plans_to_look_at() -> None:
    assert len(NAMES) > 10


def test_a_catalogue_that_has_changed_since_is_not_believed() -> None:
    plan, rules = plan_of("hinge-lug")
    one: Alternative = plan.alternatives[0]
    slower = {name: replace(item, place_s=item.place_s + 100) for name, item in DEMO_STOCK.items.items()}
    assert work_of("setup", one, rules, slower, False) == work_of("setup", one, rules, DEMO_STOCK.items, False)


def test_a_setup_done_before_takes_its_share_of_everything() -> None:
    first = SetupWork(pieces=10, stacked=2, parts=3, stations=1, own_s=400.0, repeated=False)
    rules = RuleBook().resolved()
    # Hand calculation: 60 + 6 x 10 + 15 x 2 + 45 x 3 + 400 = 685; x 0.6 = 411.
    assert planned_seconds(first, rules) == 685
    assert planned_seconds(replace(first, repeated=True), rules) == pytest.approx(411)


def test_a_cycle_at_three_stations_shares_the_way_round() -> None:
    # Hand calculation: (8 x 2 + 8 + 12) x (1 - 0.4 x 2/3) = 36 x 0.7333 = 26.4.
    assert planned_seconds(CycleWork(parts=2, stations=3, own_s=12.0), RuleBook().resolved()) == pytest.approx(26.4)
