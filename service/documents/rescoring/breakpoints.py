"""How far each rule may move before a plan changes, on the wire."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from service.documents.answers.answer import Answer
from service.documents.rescoring.what_if import TrespassDocument, trespass_document
from solver.rescoring.limit_ranges import LIMITS, LimitEnd, LimitRange, limit_range
from solver.rescoring.price_breakpoints import PriceBreakpoint, PriceRange, price_range
from solver.rescoring.rescored import MONEY
from solver.rescoring.score import PlanScore
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook

FORMAT = "holdwright.breakpoints/1"


class PriceEndDocument(Answer):
    """Where another alternative of the plan becomes the cheapest."""

    value: Annotated[float, Field(description="the rule's number at which it does")]
    reached: Annotated[bool, Field(description="whether it does at that very number, not only beyond it")]
    last: Annotated[float, Field(description="a number just before, at which nothing has changed")]
    beyond: Annotated[float, Field(description="a number at which it has")]
    first: Annotated[int, Field(description="rank of the alternative that is the cheapest there")]


class PriceRangeDocument(Answer):
    """A time, a rate or a weight: how far it may move."""

    rule: str
    unit: str
    number: Annotated[float, Field(description="as the plan was made with")]
    low: Annotated[PriceEndDocument | None, Field(description="below it; null: nowhere within the legal range")]
    high: Annotated[PriceEndDocument | None, Field(description="above it; null: nowhere within the legal range")]
    searched_low: Annotated[float | None, Field(description="how far was looked, where that is not all the way")] = None
    searched_high: float | None = None


class LimitEndDocument(Answer):
    """Where the alternative stops being allowed, or being known to be."""

    value: Annotated[float, Field(description="the last number that is known to allow it")]
    beyond: Annotated[float, Field(description="a number just past it")]
    then: Annotated[Literal["broken", "must be checked"], Field(description="what is known of numbers beyond")]
    trespass: Annotated[TrespassDocument, Field(description="which limit is not kept there, or cannot be judged")]


class LimitRangeDocument(Answer):
    """A limit: how far it may move."""

    rule: str
    unit: str
    number: float
    low: LimitEndDocument | None
    high: LimitEndDocument | None


class BreakpointsDocument(Answer):
    """How far each rule may move alone, all others as they are.

    Prices: until another alternative of the plan is the cheapest. Limits: until one alternative stops being allowed.
    """

    format: Annotated[Literal["holdwright.breakpoints/1"], Field(description=f'"{FORMAT}"')] = "holdwright.breakpoints/1"
    rank: Annotated[int, Field(description="the alternative whose limits are told")]
    prices: list[PriceRangeDocument]
    limits: list[LimitRangeDocument]


def breakpoints_document(score: PlanScore, rank: int) -> dict[str, Any]:
    """Return how far every rule may move for a plan and one of its ranks, as plain values."""
    rules = RuleBook({name: value for name, value in score.rules.items() if name in VALUES})
    chosen = next(each for each in score.alternatives if each.rank == rank)
    return {
        "format": FORMAT,
        "rank": rank,
        "prices": [_price_range(price_range(score.alternatives, rules, rule)) for rule in MONEY],
        "limits": [_limit_range(limit_range(chosen, rules, rule)) for rule in LIMITS],
    }


def _price_range(found: PriceRange) -> dict[str, Any]:
    return {
        "rule": found.rule,
        "unit": VALUES[found.rule].unit,
        "number": found.number,
        "low": _price_end(found.low),
        "high": _price_end(found.high),
        "searched_low": found.searched_low,
        "searched_high": found.searched_high,
    }


def _price_end(end: PriceBreakpoint | None) -> dict[str, Any] | None:
    if end is None:
        return None
    numbers = {name: float(getattr(end, name)) for name in ("value", "last", "beyond")}
    return {**numbers, "reached": end.reached, "first": end.first}


def _limit_range(found: LimitRange) -> dict[str, Any]:
    ends = {"low": _limit_end(found.low), "high": _limit_end(found.high)}
    return {"rule": found.rule, "unit": VALUES[found.rule].unit, "number": found.number, **ends}


def _limit_end(end: LimitEnd | None) -> dict[str, Any] | None:
    if end is None:
        return None
    then = "broken" if end.trespass.ground == "broken" else "must be checked"
    return {"value": end.value, "beyond": end.beyond, "then": then, "trespass": trespass_document(end.trespass)}
