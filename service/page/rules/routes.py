"""The rule book."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from service.http.dependencies import PlanningHere
from service.page.frame import page
from service.page.rules.changed_rules import changed_plans, read_changes
from service.page.rules.found_rules import found_rules

router = APIRouter(include_in_schema=False)


@router.get("/rules")
def show_rules(request: Request, q: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Show every rule, or those that fit what is looked for."""
    topics = found_rules(q)
    count = sum(len(found.numbered) + len(found.codes) for found in topics)
    return page(request, "rules/rules.html", block="found", topics=topics, q=q, count=count)


@router.get("/rules/what-if")
def show_what_if(request: Request, planning: PlanningHere, change: Annotated[str, Query(max_length=4000)] = "") -> Response:
    """Show what changed rules would do to the plans there are, before anything is changed."""
    rules, wrong = read_changes(change)
    found = changed_plans(planning.records, rules) if rules and not wrong else None
    currency = planning.settings.currency
    return page(request, "rules/what_if.html", block="effects", change=change, wrong=wrong, found=found, currency=currency)
