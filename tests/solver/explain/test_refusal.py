"""A request without a plan says which rule, which part, which piece and how many; and offers only what was tried."""

from __future__ import annotations

import logging

import pytest

from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.explain import confirm, no_plan
from solver.explain.exact_answers import screens
from solver.geometry.joints import OPEN_DEG
from solver.model.bounds.counting import counting
from solver.model.cpsat import solve
from solver.model.program import Program
from solver.model.witness import feasible, witness
from solver.plans import Plan, Purchase
from solver.request import Without
from solver.search.lattice_position import Fallen
from solver.search.search import Search
from solver.weldment import OpenDimension
from tests.builders import (
    adjustable_stop,
    bar,
    down_clamp,
    fillet,
    plain_shelf,
    plate,
    request,
    rest,
    shelf,
    stop,
    table,
    tube,
    weldment,
)
from tests.solver.explain.shops import answer, because, searched, two_bars, would_help

ENOUGH = Deadline(lambda: 60.0)
ONE_CLAMP = {"clamp": 1, "long-clamp": 0}


@pytest.fixture(scope="module")
def one_clamp() -> Plan:
    return answer(request(two_bars()), plain_shelf(**ONE_CLAMP), seconds=24)


def test_a_missing_clamp_is_named_with_its_count(one_clamp: Plan) -> None:
    assert (one_clamp.status, one_clamp.stopped_by) == ("infeasible", "proof")
    reasons = {(reason.rule, reason.subject): reason.text for reason in because(one_clamp)}
    assert reasons[("stock.counted", "clamp")] == "clamp: 2 needed, 1 free"
    assert ("clamp.per_length", "long") in reasons
    assert ("clamp.per_length", "short") in reasons


def test_the_clamp_to_buy_comes_with_a_plan_that_passes_every_check(one_clamp: Plan) -> None:
    repairs = would_help(one_clamp)
    assert all(isinstance(repair, Purchase) for repair in repairs)
    (clamp,), (long,) = (repair.lines for repair in repairs if isinstance(repair, Purchase))
    assert {clamp.item, long.item} == {"clamp", "long-clamp"}
    for repair, line in zip(repairs, (clamp, long), strict=True):
        assert line.count == 1
        assert line.price_cents == repair.plan.cost.shortage_cents == 3000
    totals = [repair.plan.cost.total_cents for repair in repairs]
    assert totals == sorted(totals)
    report = check(request(two_bars()), plain_shelf(**ONE_CLAMP), plan_document(one_clamp))
    assert report.ok, [finding for finding in report.findings if not finding.ok]


def test_one_more_clamp_and_there_is_a_plan() -> None:
    """The nearest legal case of the refusal above."""
    found = answer(request(two_bars(), alternatives=1), plain_shelf(clamp=2, **{"long-clamp": 0}))
    assert found.status == "optimal" and found.refused is None


def test_pieces_gone_without_are_told_apart_from_pieces_missing() -> None:
    asked = request(two_bars(), without=Without({"clamp": 5}))
    texts = [reason.text for reason in because(answer(asked, shelf((stop(), 6), (down_clamp(), 6)), seconds=20))]
    assert "clamp: 2 needed, 1 free (6 on the shelf, 5 to go without)" in texts


@pytest.mark.slow
def test_without_any_stop_the_kind_that_would_help_is_named() -> None:
    found = answer(request(two_bars()), plain_shelf(stop=0, adjustable=0, **{"stop-20": 0}), seconds=3)
    assert found.status == "infeasible"
    rules = {reason.rule for reason in because(found)}
    assert "locate.side" in rules
    missing = {reason.subject for reason in because(found) if reason.rule == "stock.counted"}
    assert missing & {"stop", "stop-20", "adjustable"}


def test_a_weld_between_parts_that_shut_it_in_is_named_at_once() -> None:
    """Two thick ribs 16 mm apart leave a 20 mm torch no room at the weld between them, whatever the hardware."""
    parts = (
        plate("base", (200, 200), 10),
        plate("rib", (160, 8), 120, (20, 90, 10)),
        plate("other", (160, 8), 120, (20, 114, 10)),
    )
    welds = [fillet("w1", ("base", "rib"), (60, 98, 10), (140, 98, 10))]
    found = answer(request(weldment(*parts, welds=welds)), plain_shelf(), seconds=2)
    assert found.status == "infeasible"
    assert (because(found)[0].rule, because(found)[0].subject) == ("torch.shut_in", "w1")


def test_a_wedge_that_is_not_open_is_the_weldments_fault() -> None:
    parts = (bar("under", 60, 10, 300, (0, 0, 5)), bar("over", 60, 10, 300, (0, 0, 15)))
    welds = [fillet("w1", ("under", "over"), (100, 0, 10), (200, 0, 10))]
    found = answer(request(weldment(*parts, welds=welds)), plain_shelf(), seconds=2)
    assert (found.status, found.stopped_by) == ("infeasible", "proof")
    assert [(reason.rule, reason.subject) for reason in because(found)] == [("torch.open_side", "w1")]
    assert f"wider than {OPEN_DEG:g} deg" in because(found)[0].text


def test_a_table_too_small_or_too_weak_is_named() -> None:
    asked = request(two_bars(length=900))
    small = shelf((stop(), 8), (down_clamp(), 4), tables=[table(columns=8, rows=8)])
    assert [(r.rule, r.subject) for r in screens(searched(asked, small), ENOUGH)] == [("table.size", "T1")]
    weak = shelf((stop(), 8), (down_clamp(), 4), tables=[table(columns=30, max_load_kg=2)])
    assert [(r.rule, r.subject) for r in screens(searched(asked, weak), ENOUGH)] == [("table.max_load", "T1")]


def test_a_part_in_the_air_without_a_rest_of_its_height() -> None:
    hanging = weldment(tube(), tube("high", at=(0, 100, 125)), tube("link", length=100, at=(0, 0, 75), along=(0, 0, 1)))
    found = screens(searched(request(hanging), shelf((stop(height=160), 9), (down_clamp(high=205), 9), (rest(), 9))), ENOUGH)
    assert ("locate.support", "high") in {(reason.rule, reason.subject) for reason in found}


def test_an_open_dimension_longer_than_every_slide() -> None:
    bars = two_bars(thickness=40)
    asked = request(weldment(*bars.parts, welds=bars.welds, open_dimensions=(OpenDimension("short", (1.0, 0.0, 0.0), -20, 20),)))
    found = screens(searched(asked, shelf((adjustable_stop(), 8), (down_clamp(), 4))), ENOUGH)
    assert [(reason.rule, reason.subject) for reason in found] == [("open_dimensions.follow", "short")]
    assert "25 mm" in found[0].text


def test_a_witness_that_disagrees_makes_the_answer_unknown(caplog: pytest.LogCaptureFixture) -> None:
    search = searched(request(two_bars()), shelf((stop(), 6), (down_clamp(), 1)))
    assert confirm(search, Deadline(lambda: 10.0)).agrees is True
    possible = Program()
    possible.row("clamp.per_length", [(possible.variable(), 1)], 1, about="long")
    search.fallen.append(Fallen(search.fallen[0].position, possible))
    with caplog.at_level(logging.ERROR):
        assert confirm(search, Deadline(lambda: 10.0)).agrees is False
        ended = no_plan(search, {}, "proof", lambda *_: None, Deadline(lambda: 1.0))
    assert (ended.status, ended.refused.because[0].rule) == ("unknown", "search.witness")
    assert "HiGHS finds a fixture" in caplog.text


def test_without_time_nothing_is_claimed() -> None:
    search = searched(request(two_bars()), plain_shelf(**ONE_CLAMP))
    ended = no_plan(search, {}, "time", lambda *_: None, Deadline(lambda: 0.0))
    assert ended.status == "unknown"
    assert ended.refused.because[0].rule == "search.time"
    assert ended.refused.would_help == ()


def test_the_witness_agrees_on_the_optimum_of_the_best_position() -> None:
    search = searched(request(two_bars()), plain_shelf())
    found, _, proven = search.cheapest(())
    assert found is not None and proven
    assert witness(found.model.program, 30) == ("optimal", found.choice.cents)


def test_counting_never_shuts_out_what_a_plan_needs() -> None:
    """The pieces of a plan alone, no more, must pass the count."""
    found = answer(request(two_bars(), alternatives=1), plain_shelf())
    counts = {line.item: line.count for line in found.alternatives[0].kit}
    bare = plain_shelf(**{**dict.fromkeys(("stop", "stop-20", "adjustable", "rest", "clamp", "long-clamp"), 0), **counts})
    for orientation in searched(request(two_bars()), bare).tried:
        program = counting(request(two_bars()), bare, orientation.laid, orientation.stacks, orientation.found)
        assert solve(program, seed=1, seconds=10).verdict == "optimal"
        assert feasible(program, 10) == "optimal"


@pytest.mark.parametrize("seconds", [0.02, 0.05, 0.1, 0.2, 0.4, 0.8])
def test_time_that_ends_before_all_was_seen_proves_nothing(seconds: float) -> None:
    """The clock shows less at every look, so that it ends while lies are found, positions surveyed or reasons sought."""
    asked = request(two_bars(), down=("-z", "+z", "-y", "+y"))
    found = answer(asked, plain_shelf(**ONE_CLAMP), seconds)
    assert (found.status, found.stopped_by) in (("unknown", "time"), ("infeasible", "proof"))
    assert found.status == "unknown" or found.work["proofs_repeated"] == found.work["proofs"]
    assert because(found)[0].rule == "search.time" or found.status == "infeasible"


@pytest.mark.slow
def test_the_lies_already_found_serve_for_other_rules() -> None:
    """A search opened on another's lies has the same positions with the same floors as one that finds them itself."""
    asked = request(two_bars(), rules={"clear.weld": 5, "clamp.per_length": 200})
    anew, taken = searched(asked, plain_shelf()), searched(request(two_bars()), plain_shelf())
    again = Search(asked, plain_shelf(), taken.samples, Deadline(lambda: 1000.0))
    again.open_as(taken)
    fresh = Search(asked, plain_shelf(), anew.samples, Deadline(lambda: 1000.0))
    fresh.open()
    assert [(position.floor, position.lattice) for position in again.positions] == [
        (position.floor, position.lattice) for position in fresh.positions
    ]
    assert again.positions
