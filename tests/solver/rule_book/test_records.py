"""Every record of the rule book is complete and agrees with itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import groupby

import pytest

from solver.rule_book import BY_NAME, RELAXED, RULES, VALUES, reasons, shown_in
from solver.rule_book.book import RuleBook
from solver.rule_book.record import OWN_CHOICE, PRACTICE, SHOP, Group, RelaxationLimit, Rule, Value

READ_IN = {
    "low end of the handbook range 0.15-0.30 for steel on steel (Gieck, Engineering Formulas, 7th ed.)": (
        "quoted on www-eng.lbl.gov/~ajdemell/coefficients_of_friction.html"
    ),
    "Steel Designers' Manual, 6th ed. (2003), p. 693: 20 mm barrel, 100 mm long": "a public copy of the page",
    "handbook range 6-25 mm by transfer mode": "short circuit 6 to 13 mm, spray 19 to 25 mm: a contact-tip guide",
    "handbook range: Modern Welding (Goodheart-Willcox 2013) pp. 68-70": "g-wonlinetextbooks.com/modern-welding-2013/68 and /70",
    "NIOSH load constant, DHHS (NIOSH) 94-110": "title pages, and the equation at what-when-how.com",
    "EN 10219-2 mass convention": "tatasteelbluebook.com, dimensions of sections",
}
"""Sources that were opened, and where."""
UNCHECKED = "source not checked"


def twice(things: Iterable[object]) -> list[object]:
    return [thing for thing, count in Counter(things).items() if count > 1]


def test_every_rule_has_a_name_of_its_own() -> None:
    assert twice(rule.name for rule in RULES) == []
    assert all(rule.name == "not_computed" or rule.name.count(".") == 1 for rule in RULES)


def test_rules_of_one_group_that_have_numbers_stand_together() -> None:
    """The page of rules has a table a group."""
    assert twice(group for group, _ in groupby(rule.group for rule in RULES if rule.value is not None)) == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_record_leaves_nothing_empty(rule: Rule) -> None:
    assert rule.meaning.strip()
    if rule.value is not None:
        assert rule.value.source.strip() and rule.value.unit.strip()
    if rule.hindrance is not None:
        assert rule.hindrance.remedy.strip()
        assert rule.hindrance.sentence or rule.hindrance.by_itself
    assert rule.value or rule.hindrance or rule.if_broken or rule.finding, "a record that says nothing"


@pytest.mark.parametrize("name", VALUES)
def test_a_default_lies_in_its_range(name: str) -> None:
    value = VALUES[name]
    assert value.low <= value.default <= value.high
    assert RuleBook({name: value.low})[name] == value.low and RuleBook({name: value.high})[name] == value.high


@pytest.mark.parametrize("name", VALUES)
def test_a_source_is_practice_the_shops_or_was_read_or_says_that_it_was_not(name: str) -> None:
    source = VALUES[name].source
    assert source == OWN_CHOICE or source.startswith((PRACTICE, SHOP)) or source in READ_IN or source.endswith(UNCHECKED)


def misjudged(value: Value, relaxation: RelaxationLimit) -> list[str]:
    """What is wrong with a relaxation."""
    wrong = [] if value.low <= relaxation.most <= value.high else ["out of the rule's range"]
    if value.default == {"less": value.low, "more": value.high}[relaxation.easier] == relaxation.most:
        return wrong  # it asks for least as it comes; who asked for more may take that back
    asks_less = relaxation.most < value.default if relaxation.easier == "less" else relaxation.most > value.default
    return wrong if asks_less else [*wrong, "asks for no less than the default"]


@pytest.mark.parametrize("name", RELAXED)
def test_a_relaxation_stays_in_range_and_asks_for_less(name: str) -> None:
    assert misjudged(VALUES[name], RELAXED[name]) == []
    assert RELAXED[name].allows(RELAXED[name].most)
    assert RELAXED[name].allows(VALUES[name].default) == (VALUES[name].default == RELAXED[name].most)


def test_a_relaxation_beyond_the_range_or_the_wrong_way_is_seen() -> None:
    value = Value(15, "mm", 5, 200)
    assert misjudged(value, RelaxationLimit(5, "less", 0)) == []
    assert misjudged(value, RelaxationLimit(4, "less", 0)) == ["out of the rule's range"]
    assert misjudged(value, RelaxationLimit(16, "less", 0)) == ["asks for no less than the default"]


def test_only_rules_that_can_be_relaxed_are_suspected() -> None:
    assert {name for _, hindrance in reasons() for name in hindrance.suspects} <= set(RELAXED)


def test_nothing_stands_in_one_place_twice() -> None:
    assert twice(relaxation.place for relaxation in RELAXED.values()) == []
    assert twice(hindrance.place for _, hindrance in reasons()) == []
    groups: tuple[Group, ...] = Group.__args__  # type: ignore[attr-defined]
    for group in groups:
        assert shown_in(group), f"no rule is shown under {group!r}"
        assert twice(display.place for _, display in shown_in(group)) == []


def test_what_is_shown_without_a_number_has_words() -> None:
    assert all(rule.finding.words for rule in RULES if rule.finding is not None and not rule.finding.number)


def test_the_checker_keeps_to_every_number_that_is_used_under_a_code_of_its_own() -> None:
    codes = {rule.name for rule in RULES if rule.if_broken}
    assert {name for rule in RULES for name in rule.checked_as} <= codes
    kept = {name for name in VALUES if BY_NAME[name].if_broken or BY_NAME[name].checked_as}
    assert {name for name in VALUES if name not in kept} == {name for name in VALUES if name.startswith("compare.")}
