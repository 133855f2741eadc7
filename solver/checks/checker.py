"""The whole check: every alternative by every rule, then the plan as a whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from inventory.errors import InvalidDocument
from inventory.stock import StockSnapshot
from solver.checks.apart import check_apart
from solver.checks.contacts import check_contacts
from solver.checks.counted import check_counted
from solver.checks.lie import check_lie
from solver.checks.money import check_money
from solver.checks.pegs import check_pegs
from solver.checks.reading import read_alternative
from solver.checks.report import Report, fail
from solver.checks.scene import Scene, set_scene
from solver.checks.solids import check_solids
from solver.checks.structure import check_structure
from solver.plan import Finding
from solver.request import Request
from solver.rules import RuleBook

CHECKS: tuple[Callable[[Scene], Iterator[Finding]], ...] = (
    check_lie,
    check_solids,
    check_pegs,
    check_counted,
    check_apart,
    check_contacts,
    check_money,
)


def check(request: Request, stock: StockSnapshot, plan: Mapping[str, Any]) -> Report:
    """Check a plan document against the request and the stock it was made for.

    Parameters
    ----------
    request, stock : Request, StockSnapshot
        What the plan answers; `request.rules` is the rule book it must keep to.
    plan : dict
        The plan document as plain JSON values.

    Returns
    -------
    Report
        Every finding; `report.ok` if all hold.
    """
    findings: list[Finding] = []
    for alternative in plan.get("alternatives", ()):
        findings += check_alternative(request, stock, alternative, rules=request.rules)
    return Report(tuple(findings))


def check_alternative(
    request: Request, stock: StockSnapshot, alternative: Mapping[str, Any], *, rules: RuleBook
) -> tuple[Finding, ...]:
    """Check one alternative (plain JSON values) by every rule; returns the findings, failed and passed alike."""
    try:
        answer = read_alternative(alternative)
    except InvalidDocument as wrong:
        return tuple(
            fail("document.readable", fault.pointer, f"{fault.wrong}; accepted: {fault.accepted}") for fault in wrong.faults
        )
    broken = tuple(check_structure(request, stock, answer))
    if broken:
        return broken
    scene = set_scene(request, stock, rules, answer)
    return tuple(finding for one in CHECKS for finding in one(scene))
