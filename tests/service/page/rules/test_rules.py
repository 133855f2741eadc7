"""The rule book on the page: every rule has its place, and is found by what is said of it."""

from __future__ import annotations

import re

import pytest

from service.page.rules.found_rules import found_rules
from solver.rule_book import RULES
from tests.service.http.conftest import House
from tests.service.page.visitor import Visitor


@pytest.fixture
def visitor(house: House) -> Visitor:
    """Somebody at the page of the house."""
    return Visitor(house.call)


def test_every_rule_and_code_has_a_place_that_findings_lead_to(visitor: Visitor) -> None:
    places = re.findall(r'<(?:tr role="row"|div) id="([^"]+)" tabindex', visitor.open("/rules").answer.text)
    assert sorted(places) == sorted(rule.name for rule in RULES)


def test_a_rule_is_told_with_number_range_meaning_and_source(visitor: Visitor) -> None:
    words = visitor.open("/rules").words
    assert "clear.weld 15 mm 0 to 200 hardware stays this far from every weld path" in words
    assert "common practice of the trade, no source" in words and "`" not in words


def test_rules_are_found_by_all_words_that_are_looked_for() -> None:
    found = [rule.name for topic in found_rules("friction steel") for rule in topic.numbered]
    assert found == ["hold.friction"]
    assert found_rules("friction nowhere") == ()
    assert {topic.topic.title for topic in found_rules("torch.stickout")} == {"Torch and hand"}


def test_the_pages_script_gets_what_was_found_alone(visitor: Visitor) -> None:
    part = visitor.open("/rules?q=friction", **{"HX-Request": "true"})
    assert part.answer.text.lstrip().startswith('<div id="rules">') and "hold.friction" in part.words
    assert "No rule has all these words" in visitor.open("/rules?q=nothing+of+the+kind").words
