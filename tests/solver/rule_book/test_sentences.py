"""The sentences of the rule book name no figure that nobody computes, and what is dropped in turn is asked by the model."""

from __future__ import annotations

import ast
from collections import defaultdict
from functools import cache
from pathlib import Path
from string import Formatter

import pytest

import solver.explain
import solver.model
from solver.explain.figures import PartFigures
from solver.rule_book import BY_NAME, RULES, VALUES, reasons
from solver.rule_book.record import Hindrance, Rule

EXPLAIN, MODEL = (Path(package.__file__ or "").parent for package in (solver.explain, solver.model))
OF_A_PART = {f"part.{name}" for name, kept in vars(PartFigures).items() if isinstance(kept, property)}
EVERYWHERE = {"subject", *VALUES}


def named(template: str) -> set[str]:
    """Return the figures a template names."""
    return {name for _, name, _, _ in Formatter().parse(template) if name is not None}


def unknown(rule: Rule, hindrance: Hindrance, given: dict[str, set[str]]) -> set[str]:
    """Return the figures of a record's sentences that nobody computes."""
    asked = named(hindrance.sentence) | named(hindrance.lying_round)
    asked |= named(hindrance.in_the_way) - {"items", "stand", "have"}
    return (asked - EVERYWHERE - OF_A_PART) | (named(hindrance.by_itself) - EVERYWHERE - given.get(rule.name, set()))


@cache
def figures_given() -> dict[str, set[str]]:
    """Return, by rule, the figures that every call of `by_itself` in solver.explain has for its sentence."""
    calls: dict[str, list[set[str]]] = defaultdict(list)
    for path in EXPLAIN.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "by_itself":
                figures = {keyword.arg for keyword in node.keywords if keyword.arg is not None}
                figures |= OF_A_PART if len(node.args) > 3 else set()
                for rule in rules_of(node.args[0]):
                    calls[rule].append(figures)
    return {rule: set.intersection(*given) for rule, given in calls.items()}


def rules_of(node: ast.expr) -> list[str]:
    """Return the rules that the first argument of a call may name."""
    if isinstance(node, ast.IfExp):
        return [*rules_of(node.body), *rules_of(node.orelse)]
    if isinstance(node, ast.JoinedStr):
        start = ast.literal_eval(node.values[0])
        return [rule.name for rule in RULES if rule.name.startswith(start) and rule.name != "search.no_reason"]
    return [ast.literal_eval(node)]


@pytest.mark.parametrize(("rule", "hindrance"), reasons(), ids=[rule.name for rule, _ in reasons()])
def test_every_figure_of_a_sentence_is_computed(rule: Rule, hindrance: Hindrance) -> None:
    assert unknown(rule, hindrance, figures_given()) == set()


def test_a_sentence_with_an_unknown_figure_is_seen() -> None:
    rule = BY_NAME["clamp.per_length"]
    wrong = Hindrance(
        0, "more", sentence="{part.colour} {clamp.per_length:g} {clamp.per_width:g} {part.low:.4g}", by_itself="{at}"
    )
    assert unknown(rule, wrong, {rule.name: {"more"}}) == {"part.colour", "clamp.per_width", "at"}


def test_every_screen_has_its_sentence_and_every_sentence_its_screen() -> None:
    assert set(figures_given()) == {rule.name for rule, hindrance in reasons() if hindrance.by_itself}


def test_every_demand_that_is_dropped_in_turn_is_asked_by_the_model() -> None:
    rows = "\n".join(
        path.read_text(encoding="utf-8") for folder in (MODEL, MODEL.parent / "position") for path in folder.rglob("*.py")
    )
    turns = [rule.name for rule, hindrance in reasons() if hindrance.turn is not None]
    assert [name for name in turns if f'"{name}"' not in rows and f'"{name} ' not in rows and name != "clear.body"] == []


def test_a_missing_piece_outlives_the_rules_that_want_it() -> None:
    """Rules are dropped before stock; how many clamps, where parts are located and pieces asked for say what it is wanted for."""
    turns = {rule.name: hindrance.turn for rule, hindrance in reasons() if hindrance.turn is not None}
    later = {name for name, turn in turns.items() if turn > turns["stock.counted"]}
    wanted_for = {"locate.side", "locate.end", "locate.opposed", "clamp.per_length", "request.pins", "request.avoid"}
    assert later == wanted_for | {"variants.same_pieces"}
