"""A valid plan held against a request that asks for more: the rule it no longer meets is named."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from solver.request import Request, Without
from solver.rule_book.book import RuleBook
from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import rules_failed


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
