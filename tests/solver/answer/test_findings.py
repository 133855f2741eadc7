"""What is reported about a plan: complete, with limits and sources, and never at the plan's expense."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace

import pytest

from inventory.stock import StockSnapshot
from solver.answer import alternative as writing
from solver.answer.findings import all as told_of
from solver.answer.findings import holding
from solver.answer.findings.source import FindingSource
from solver.answer.hands_needed import with_hands
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Alternative, Finding, Plan
from solver.request import Request
from solver.rule_book import BY_NAME, VALUES
from solver.rule_book.estimates import NOT_COMPUTED
from solver.rule_book.record import OWN_CHOICE
from tests import builders as b


def planned(request: Request, stock: StockSnapshot) -> Plan:
    end = time.monotonic() + 30
    return plan(request, stock, deadline=Deadline(lambda: end - time.monotonic()))


@pytest.fixture(scope="module")
def answer() -> Plan:
    return planned(b.request(b.tab_on_tube(), alternatives=2), b.plain_shelf())


def told(alternative: Alternative, rule: str) -> dict[str, Finding]:
    return {finding.subject: finding for finding in alternative.findings if finding.rule == rule}


def test_every_finding_is_one_that_its_record_has_shown_and_says_what_was_computed(answer: Plan) -> None:
    for alternative in answer.alternatives:
        for finding in alternative.findings:
            assert BY_NAME[finding.rule].finding is not None, finding
            assert finding.ok and finding.text, finding


def test_a_limit_of_the_rule_book_names_its_source(answer: Plan) -> None:
    for finding in answer.alternatives[0].findings:
        value = VALUES.get(finding.rule)
        if value is not None and finding.limit is not None and value.source != OWN_CHOICE:
            assert value.source in finding.text, finding


def test_parts_points_welds_loads_locators_clamps_and_masses_are_all_there(answer: Plan) -> None:
    best = answer.alternatives[0]
    parts, welds = {"tube", "tab"}, {"w1", "w2"}
    for rule in ("locate.support_margin", "locate.side_spacing_ratio", "locate.condition_max", "clamp.per_length"):
        assert set(told(best, rule)) == parts, rule
    assert set(told(best, "clear.weld")) == set(told(best, "shrinkage.proposal")) == welds
    assert set(told(best, "load.by_hand")) | set(told(best, "load.stays")) == parts
    locators = {f"{p.id} {c.part}" for p in best.placements if p.locates for c in p.contacts}
    assert set(told(best, "stack.reaction")) == set(told(best, "stack.deflection_max")) == locators
    assert len(told(best, "clamp.max_part_pressure")) == sum(p.why.startswith("clamps") for p in best.placements)
    assert set(told(best, "not_computed")) == set(NOT_COMPUTED)
    assert told(best, "stock.counted") and told(best, "hold.gravity")


def test_utilisation_is_exact_for_the_best_and_bounded_for_the_others(answer: Plan) -> None:
    """Two welds, two ends, two parts, 14 directions; two tacks each."""
    for alternative in answer.alternatives:
        push, pull = told(alternative, "hold.handling_n")["weldment"], told(alternative, "hold.shrink_n_per_mm2")["weldment"]
        assert "held in all 112 load cases" in push.text and "held in all 4 load cases" in pull.text
        for finding in (push, pull):
            assert finding.value is not None and 0 < finding.value <= 1 == finding.limit
    assert "governed by push on" in told(answer.alternatives[0], "hold.handling_n")["weldment"].text


def test_the_weldments_mass_is_that_of_its_parts(answer: Plan) -> None:
    """Hand calculation: 50 x 50 x 3 tube 4.245 kg/m (EN 10219-2) x 0.5 m; plate 100 x 80 x 8 mm x 7850 kg/m3."""
    mass = told(answer.alternatives[0], "lift.one_person_kg")["weldment"].value
    assert mass == pytest.approx(4.245 * 0.5 + 0.1 * 0.08 * 0.008 * 7850, rel=2e-3)


def test_a_heavy_part_is_told_and_no_reason_to_refuse() -> None:
    rules = {"lift.one_person_kg": 2.0}
    (best,) = planned(b.request(b.tab_on_tube(), rules=rules, alternatives=1), b.plain_shelf()).alternatives
    found = told(best, "lift.one_person_kg")
    assert "help" in found["tube"].text and "help" in found["weldment"].text
    assert "tab" not in found


def test_a_locator_near_a_weld_is_told_with_its_distance(answer: Plan) -> None:
    near = [a for a in answer.alternatives if told(a, "clear.weld_locator")]
    assert near, "a stop of this job stands within 15 mm of a weld"
    for subject, finding in told(near[0], "clear.weld_locator").items():
        weld, piece = subject.split()
        assert finding.value is not None and 6 <= finding.value < 15 and finding.limit == 6
        assert piece in told(near[0], "clear.weld")[weld].text


def recorded(monkeypatch: pytest.MonkeyPatch) -> list[FindingSource]:
    """Write no findings from now on; keep what they would be written from in the list returned."""
    kept: list[FindingSource] = []

    def keep(source: FindingSource) -> tuple[Finding, ...]:
        kept.append(source)
        return ()

    monkeypatch.setattr(writing, "findings", keep)
    return kept


def test_a_tab_that_would_tip_is_held_by_hand_until_its_clamp_is_shut(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hand calculation: the tab reaches from y = -15 to 65, its centre at 25; the tube's flat top ends at 19."""
    kept = recorded(monkeypatch)
    planned(b.request(b.tab_on_tube(), alternatives=1), b.plain_shelf())
    seen = kept[-1]
    rests = [index for index in seen.fixture.ordered if seen.fixture.problem.candidates[index].stack.top.kind == "rest"]
    assert rests
    assert [finding.rule for finding in holding.by_hand(seen)] == ["load.stays", "load.stays"]
    forces = seen.holding.forces.chosen(set(seen.fixture.ordered) - set(rests))
    load = with_hands(seen.fixture, forces, seen.alternative.load)
    assert [step.hold_by_hand is None for step in load] == [True, False]
    tube, tab = holding.by_hand(replace(seen, alternative=replace(seen.alternative, load=load)))
    assert tube.rule == "load.stays" and tab.rule == "load.by_hand"
    assert "hold by hand until" in tab.text


def test_lead_times_not_checked_are_told() -> None:
    """Pieces are bought, and the request does not say what day it is."""
    (best,) = planned(
        b.request(b.tab_on_tube(), shortage="price", alternatives=1), b.plain_shelf(clamp=0, **{"long-clamp": 0})
    ).alternatives
    assert any("lead times are not checked" in finding.text for finding in best.findings if finding.rule == "stock.lead_time")


def test_what_cannot_be_computed_is_told_and_does_not_cost_the_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(told: FindingSource) -> Iterator[Finding]:
        raise ArithmeticError("no answer")
        yield

    monkeypatch.setattr(told_of, "loads", broken)
    found = planned(b.request(b.tab_on_tube(), alternatives=1), b.plain_shelf())
    assert found.status == "optimal"
    (best,) = found.alternatives
    assert "no answer" in told(best, "not_computed")["holding"].text
    assert told(best, "stack.reaction")
