"""Changed rules held against a score: the price to the cent, limits as the checker judges them, the rest said to be unknown."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inventory.errors import InvalidDocument
from service.documents.rescoring.kept_score import is_current, read_score, score_text
from solver.rescoring.limits import KINDS
from solver.rescoring.rescored import KIT_PIECES, LIFTING, MONEY, is_read, rescored
from solver.rescoring.scoring import OtherHardware, plan_score, score_of
from solver.rule_book import BY_NAME, VALUES
from tests.solver.rescoring.scored_jobs import ScoredJob, by_hand, solved, without_stock_free
from tests.solver.sizes import two_sizes

JUDGED = {rule for kind in KINDS for rule in kind.rules}


def agrees(job: ScoredJob, rule: str, number: float, rank: int = 1) -> bool | None:
    """Assert that an alternative is not allowed where the checker refuses it, and the other way round; return the judgement."""
    found, refused = job.under({rule: number}, rank), job.checked({rule: number}, rank)
    if found.allowed is not None:
        assert found.allowed == (not refused), (rule, number, found.broken, refused)
    if found.allowed is False:
        assert {each.rule for each in found.broken} == {each.rule for each in refused}, (rule, number)
    return found.allowed


def test_every_rule_moves_prices_or_is_judged_or_is_read_by_nothing() -> None:
    asked = set(MONEY) | JUDGED | {KIT_PIECES, LIFTING}
    assert not set(MONEY) & JUDGED
    assert {name for name in VALUES if is_read(BY_NAME[name])} == asked


@pytest.mark.parametrize("rule", VALUES)
def test_a_changed_rule_is_judged_as_the_checker_judges_it(rule: str) -> None:
    job = by_hand()
    numbers = list(job.numbers(rule))
    chosen = numbers if len(numbers) <= 4 else [numbers[0], *numbers[len(numbers) // 2 - 1 : len(numbers) // 2 + 1], numbers[-1]]
    for number in chosen:
        agrees(job, rule, number)


@pytest.mark.slow
@pytest.mark.parametrize("rule", VALUES)
def test_a_changed_rule_is_judged_as_the_checker_judges_it_at_every_turn(rule: str) -> None:
    for job in (by_hand(), solved()):
        for rank in range(1, len(job.alternatives) + 1):
            for number in job.numbers(rule):
                agrees(job, rule, number, rank)


@pytest.mark.slow
def test_a_plan_of_several_sizes_is_judged_size_by_size() -> None:
    request, stock, made = two_sizes()
    job = ScoredJob(request, stock, made.alternatives, plan_score(request, stock, made))
    for rule in VALUES:
        for number in list(job.numbers(rule))[::2]:
            agrees(job, rule, number)
    broken = job.under({"clear.body": 50.0}).broken
    assert {each.subject.startswith("variant L 512: ") for each in broken} == {True, False}


@pytest.mark.parametrize(
    ("rule", "number"),
    [
        ("clear.body", 12), ("clear.weld", 50), ("clamp.per_length", 300), ("locate.condition_max", 2), ("tack.pitch", 80),
        ("locate.tolerance_share", 0.05), ("way.lift", 170), ("torch.sample", 9), ("clamp.over_support", 5), ("stack.pieces", 1),
    ],
)  # fmt: skip
def test_a_limit_that_is_not_kept_is_named_with_its_numbers(rule: str, number: float) -> None:
    broken = by_hand().under({rule: number}).broken
    assert broken and all(each.rule == rule and each.subject and each.limit is not None for each in broken)


@pytest.mark.parametrize("rule", ["hold.friction", "way.clear", "torch.stickout", "stack.deflection_max"])
def test_what_no_figure_is_kept_of_must_be_checked(rule: str) -> None:
    job = by_hand()
    found = job.under({rule: job.score.rules[rule] * 0.9})
    assert found.allowed is None and [each.rule for each in found.unjudged] == [rule] and found.unjudged[0].why


def test_several_rules_at_once_are_judged_together() -> None:
    job = by_hand()
    for rules in (
        {"hold.handling_n": 50, "clamp.safety": 3},  # the same loads
        {"clear.weld": 30, "clear.weld_locator": 3},
        {"clamp.max_part_pressure": 0.03, "material.steel_yield_mpa": 3000},
        {"tack.length": 10, "tack.pitch": 90, "torch.sample": 8},
        {"rate.labour_cents_per_hour": 7777, "time.pick_s": 3.3, "weights.adjustable": 12.5, "clear.body": 2},
    ):
        found = job.under({name: float(number) for name, number in rules.items()})
        refused = job.checked({name: float(number) for name, number in rules.items()})
        assert found.allowed is None or found.allowed == (not refused), rules


def test_alternatives_are_ranked_anew_and_the_cheapest_allowed_comes_first() -> None:
    job = solved()
    found = rescored(job.score, {"rate.labour_cents_per_hour": 0.0})
    order = sorted(found.alternatives, key=lambda each: (each.cost.total_cents, each.score.rank))
    assert len(order) == 3 and [each.rank for each in order] == [1, 2, 3]


def test_an_alternative_that_is_refused_has_no_rank_and_the_next_comes_first() -> None:
    job = solved()
    for number in job.numbers("clear.body"):
        found = rescored(job.score, {"clear.body": number})
        assert [each.rank is None for each in found.alternatives] == [bool(each.broken) for each in found.alternatives]
        assert found.first_changes == bool(found.alternatives[0].broken)


def test_kits_that_no_longer_differ_enough_are_not_shown() -> None:
    found = rescored(solved().score, {KIT_PIECES: 100.0})
    assert [each.rank for each in found.alternatives] == [1] + [None] * (len(found.alternatives) - 1)
    assert all(each.broken[0].rule == KIT_PIECES for each in found.alternatives[1:])


def test_a_score_is_read_back_as_it_was_kept() -> None:
    for job in (by_hand(), solved()):
        kept = read_score(score_text(job.score))
        for rules in ({"rate.labour_cents_per_hour": 6100.0}, {"clear.weld": 30.0, "time.repeat_ratio": 0.3}):
            told = [(each.cost, each.broken, each.unjudged) for each in rescored(kept, rules).alternatives]
            assert told == [(each.cost, each.broken, each.unjudged) for each in rescored(job.score, rules).alternatives]


def test_a_score_of_another_form_is_known_as_such() -> None:
    assert is_current(score_text(by_hand().score)) and not is_current('{"form":0,"rules":{}}')


def test_a_number_out_of_range_is_refused_and_the_nearest_legal_one_is_not() -> None:
    with pytest.raises(InvalidDocument):
        rescored(by_hand().score, {"locate.tolerance_share": 1.01})
    assert rescored(by_hand().score, {"locate.tolerance_share": 1.0}).first is not None


def test_what_was_free_then_is_not_made_up_from_what_is_free_now() -> None:
    job = solved()
    later = score_of(job.request, without_stock_free(job), job.alternatives[0])
    assert later.unknown == ("weights.scarce",) and job.score.alternatives[0].unknown == ()


def test_a_plan_of_items_that_have_changed_is_not_scored() -> None:
    job = by_hand()
    gone = replace(job.stock, items={name: item for name, item in job.stock.items.items() if name != "rest"}, lines={})
    with pytest.raises(OtherHardware, match="rest"):
        score_of(job.request, gone, job.alternatives[0])
    slower = {**job.stock.items, "rest": replace(job.stock.items["rest"], place_s=99)}
    with pytest.raises(OtherHardware, match="cents"):
        score_of(job.request, replace(job.stock, items=slower), job.alternatives[0])
