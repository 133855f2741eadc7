"""`holdwright breakpoints`: how far each rule may move before a plan changes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from inventory.errors import Fault
from service.command_line.finished_plan import FinishedPlan
from service.command_line.printing.console import DONE, print_json, print_table
from service.documents.rescoring.breakpoints import breakpoints_document
from service.errors import InvalidSource
from service.text_table import Column
from solver.rescoring.scoring import OtherHardware, plan_score


def print_breakpoints(request: Path, plan: Path, rank: int, stock: Path | None, db: str | None, as_json: bool) -> int:
    """Print how far each rule may move for a plan file; return the exit code."""
    made = FinishedPlan.read(request, plan, stock, db, "holdwright breakpoints REQUEST PLAN")
    made.alternative(rank)
    try:
        score = plan_score(made.request, made.stock, made.plan)
    except OtherHardware as other:
        raise InvalidSource(plan, [Fault("/alternatives", str(other), "the stock the plan was made with")]) from None
    document = breakpoints_document(score, rank)
    if as_json:
        print_json(document)
        return DONE
    columns = [Column("rule"), *(Column(name, right=True) for name in ("from", "now", "to"))]
    columns += [Column("unit"), Column("then", wraps=True)]
    if len(score.alternatives) > 1:
        prices = [[*_numbers(each), _cheapest(each)] for each in document["prices"]]
        print_table(columns, prices, "no prices")
    else:
        print("The plan has one alternative: no time, rate or weight changes which is the cheapest.")
    print()
    limits = [[*_numbers(each), _refused(each)] for each in document["limits"] if each["low"] or each["high"]]
    print_table(columns, limits, "no limits")
    return DONE


def _numbers(each: dict[str, Any]) -> list[str]:
    ends = [("any" if end is None else f"{end['value']:.6g}") for end in (each["low"], each["high"])]
    return [each["rule"], ends[0], f"{each['number']:g}", ends[1], each["unit"]]


def _cheapest(each: dict[str, Any]) -> str:
    said = []
    for word, end, searched in (("below", each["low"], each["searched_low"]), ("above", each["high"], each["searched_high"])):
        if end is not None:
            said.append(f"{word}{' or at' if end['reached'] else ''}: {end['first']} is the cheapest")
        elif searched is not None:
            said.append(f"{word}: looked as far as {searched:.6g}")
    return "; ".join(said)


def _refused(each: dict[str, Any]) -> str:
    said = []
    for word, end in (("below", each["low"]), ("above", each["high"])):
        if end is not None:
            subject = f" {end['trespass']['subject']}" if end["trespass"]["subject"] else ""
            said.append(f"{word}: {end['then']}{subject}")
    return "; ".join(said)
