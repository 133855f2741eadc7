"""A plan's score as it is kept beside the plan: JSON text, small, read by the thousand."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from fractions import Fraction
from typing import Any

from solver.cost import Bill, RunTimes
from solver.plans import Cost
from solver.rescoring.score import PlanScore, Score

FORM = 1
"""Counted up when what is kept changes; scores of another form are made anew."""
_SECONDS = ("hands_s", "clamps_s", "pulled_s")
_PRICE = tuple(field.name for field in fields(Cost))


def score_text(score: PlanScore) -> str:
    """Return a plan's score as the text that is kept."""
    document = {"form": FORM, "rules": dict(score.rules), "alternatives": [_alternative(each) for each in score.alternatives]}
    return json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def is_current(text: str) -> bool:
    """Return whether a text that was kept is of the present form."""
    return text.startswith(f'{{"form":{FORM},')


def read_score(text: str) -> PlanScore:
    """Return the score that a text of the present form holds."""
    document = json.loads(text)
    return PlanScore(document["rules"], tuple(_score(each) for each in document["alternatives"]))


def _alternative(score: Score) -> dict[str, Any]:
    bill = {field.name: getattr(score.bill, field.name) for field in fields(Bill)}
    bill |= {name: str(bill[name]) for name in _SECONDS} | {"free": [[free, count] for free, count in score.bill.free.items()]}
    bill["runs"] = [_run(run) for run in score.bill.runs]
    plain = {name: getattr(score, name) for name in ("rank", "table", "down", "setup_s", "cycle_s")}
    return {
        **plain,
        "kit": dict(score.kit),
        "bill": bill,
        "cost": [getattr(score.cost, name) for name in _PRICE],
        "measured": score.measured,
        "unknown": list(score.unknown),
    }


def _run(run: RunTimes) -> dict[str, Any]:
    plain = {field.name: getattr(run, field.name) for field in fields(RunTimes)}
    return plain | {name: str(plain[name]) for name in _SECONDS}


def _score(document: Mapping[str, Any]) -> Score:
    bill = dict(document["bill"])
    bill |= {name: Fraction(bill[name]) for name in _SECONDS} | {"free": dict(bill["free"])}
    bill["runs"] = tuple(RunTimes(**{**run, **{name: Fraction(run[name]) for name in _SECONDS}}) for run in bill["runs"])
    cost = Cost(*document["cost"])
    return Score(**{**document, "bill": Bill(**bill), "cost": cost, "unknown": tuple(document["unknown"])})
