"""What a load step says of the hands: its part's mass, whether that is heavy, and until when what is in must be held."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from solver.checks import check
from solver.rule_book.book import RuleBook
from tests.solver.checks import tab_job as job

TUBE_KG, TAB_KG = 4.026, 0.716
"""60 x 4 tube, outside radius 8, 600 long: (60^2 - 52^2 - (4 - pi)(8^2 - 4^2)) 600 x 7.85e-6; tab 120 x 95 x 8 x 7.85e-6."""


def broken(
    tube: dict[str, Any], tab: dict[str, Any], limit: float = 23, rest: bool = True, press_y: float = 320
) -> set[tuple[str, str]]:
    """Return which of the two rules are broken by whom where the load steps say so; without the rest the tab tips."""
    plan = job.plan() | {"rules": {}}
    alternative = plan["alternatives"][0]
    for step, said in zip(alternative["load"], (tube, tab), strict=True):
        step.update(said)
    job.placement(alternative, "c2")["contacts"][0]["at"][1] = press_y
    if not rest:
        alternative["placements"] = [entry for entry in alternative["placements"] if entry["id"] != "k1"]
        alternative["parts"][1]["rests_on"] = ["tube"]
    request = replace(job.request(), rules=RuleBook({"lift.one_person_kg": limit}))
    report = check(request, job.stock(), plan)
    return {(finding.rule, finding.subject) for finding in report.failed if finding.rule in ("load.by_hand", "load.mass")}


def said(mass_kg: float, heavy: bool = False, hold: str | None = None) -> dict[str, Any]:
    return {"mass_kg": mass_kg, "heavy": heavy, "hold_by_hand": hold}


def test_steps_that_say_nothing_are_not_judged() -> None:
    assert broken({}, {}) == set()
    assert broken({}, {}, rest=False) == set()


def test_masses_are_those_of_the_parts() -> None:
    assert broken(said(TUBE_KG), said(TAB_KG)) == set()
    assert broken(said(TUBE_KG), said(TAB_KG + 0.01)) == {("load.mass", "tab")}


def test_heavy_is_more_than_one_person_lifts() -> None:
    assert broken(said(TUBE_KG, heavy=True), said(TAB_KG), limit=2) == set()
    assert broken(said(TUBE_KG), said(TAB_KG), limit=2) == {("load.mass", "tube")}
    assert broken(said(TUBE_KG, heavy=True), said(TAB_KG)) == {("load.mass", "tube")}


def test_what_stays_put_needs_no_hand() -> None:
    assert broken(said(TUBE_KG), said(TAB_KG, hold="until c2 is shut")) == {("load.by_hand", "tab")}


@pytest.mark.parametrize(
    ("press_y", "until"), [(290, "until c2 is shut"), (320, "until the weldment is tacked")], ids=["on the tube", "beside it"]
)
def test_a_tab_that_tips_off_its_tube_is_held_until_a_clamp_keeps_it(press_y: float, until: str) -> None:
    """Its centre is 312.5 along y, the tube's flat top ends at 307."""
    for hold in (None, "until c1 is shut", "until c2 is shut", "until the weldment is tacked"):
        wrong = set() if hold == until else {("load.by_hand", "tab")}
        assert broken(said(TUBE_KG), said(TAB_KG, hold=hold), rest=False, press_y=press_y) == wrong
