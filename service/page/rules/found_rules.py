"""Rules as the page shows them: by topic, in words, those that fit what is looked for."""

from __future__ import annotations

from dataclasses import dataclass

from service.page.wording import number, unquoted
from solver.rule_book import TOPICS
from solver.rule_book.record import OWN_CHOICE, Rule, Topic


@dataclass(frozen=True, slots=True)
class ShownRule:
    """One rule in words; figures are empty for one without a number.

    Parameters
    ----------
    helps : str
        What to do where it stands in the way of every plan, or where the independent checker finds it broken; a sentence.
    relaxed : str
        How far it is relaxed where nothing else helps.
    """

    name: str
    meaning: str
    default: str
    unit: str
    range: str
    source: str
    helps: str
    relaxed: str


@dataclass(frozen=True, slots=True)
class FoundTopic:
    """What was found of a topic: its rules with a number, and those without, which name reasons and findings."""

    topic: Topic
    numbered: tuple[ShownRule, ...]
    codes: tuple[ShownRule, ...]


def found_rules(sought: str) -> tuple[FoundTopic, ...]:
    """Return the rules that have every word of what is looked for in their name or in what is said of them; all for no word."""
    words = sought.casefold().split()
    found = []
    for topic in TOPICS:
        fitting = [(rule, shown_rule(rule)) for rule in topic.rules]
        fitting = [(rule, shown) for rule, shown in fitting if _fits(shown, topic, words)]
        numbered = tuple(shown for rule, shown in fitting if rule.value is not None)
        codes = tuple(shown for rule, shown in fitting if rule.value is None)
        if fitting:
            found.append(FoundTopic(topic, numbered, codes))
    return tuple(found)


def shown_rule(rule: Rule) -> ShownRule:
    """Return a rule in words."""
    value, relaxation = rule.value, rule.relaxation
    meaning = unquoted(rule.meaning)
    helps = _helps(rule)
    unit = "" if value is None or value.unit == "-" else value.unit
    relaxed = "" if relaxation is None else f"{figure(relaxation.most)} {unit}".rstrip()
    if value is None:
        return ShownRule(rule.name, meaning, "", "", "", "", helps, relaxed)
    source = "chosen for this program" if value.source == OWN_CHOICE else value.source
    span = f"{figure(value.low)} to {figure(value.high)}"
    return ShownRule(rule.name, meaning, figure(value.default), unit, span, source, helps, relaxed)


def _helps(rule: Rule) -> str:
    if rule.hindrance is not None:
        return f"Where it stands in the way: {unquoted(rule.hindrance.remedy)}."
    return f"Where a check finds it broken: {unquoted(rule.if_broken)}." if rule.if_broken else ""


def figure(value: float) -> str:
    """Return a rule's number."""
    return number(value, 6)


def _fits(shown: ShownRule, topic: Topic, words: list[str]) -> bool:
    said = f"{shown.name} {shown.meaning} {shown.unit} {shown.source} {shown.helps} {topic.title}".casefold()
    return all(word in said for word in words)
