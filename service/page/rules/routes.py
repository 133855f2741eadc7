"""The rule book."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from service.page.frame import page
from service.page.rules.found_rules import found_rules

router = APIRouter(include_in_schema=False)


@router.get("/rules")
def show_rules(request: Request, q: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Show every rule, or those that fit what is looked for."""
    topics = found_rules(q)
    count = sum(len(found.numbered) + len(found.codes) for found in topics)
    return page(request, "rules/rules.html", block="found", topics=topics, q=q, count=count)
