"""What should we buy, on the wire: a budget and the jobs, and the advice."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Any

from pydantic import Field

from inventory import limits
from inventory.errors import Fault, refuse
from service.documents.reading.fields import Document, Name, Whole, Within
from service.documents.stockroom.body import read_body_as
from solver.advice import Advice, Task

BUDGET = limits.Limit(0, 1_000_000_000, "cents", whole=True)
TIMES = limits.Limit(1, 1_000_000, "runs", whole=True)
MOST_REQUESTS = 100


class AdviceRequest(Document):
    """A past or expected request, and how often it comes."""

    request: Annotated[dict[str, Any], Field(description="a holdwright.request/1 document")]
    times: Annotated[Whole, Within(TIMES), Field(description="how often it comes")] = 1
    name: Annotated[Name, Field(description="what the answer calls it")] = ""


class AdviceBody(Document):
    """A budget, and the jobs whose cost it is to lower."""

    budget_cents: Annotated[Whole, Within(BUDGET), Field(description="most to spend")]
    requests: Annotated[
        list[AdviceRequest],
        Field(description=f"the jobs, 1 to {MOST_REQUESTS}", json_schema_extra={"minItems": 1, "maxItems": MOST_REQUESTS}),
    ]
    time_limit_s: Annotated[float, Within(limits.Limit(1, 3600, "s")), Field(description="seconds to look")] = 20


def read_advice(raw: bytes) -> AdviceBody:
    """Return what is asked; raises InvalidDocument with every fault."""
    body = read_body_as(AdviceBody, raw)
    if not 1 <= len(body.requests) <= MOST_REQUESTS:
        refuse([Fault("/requests", f"{len(body.requests)} requests", f"1 to {MOST_REQUESTS}")])
    return body


def advice_document(advice: Advice, tasks: Sequence[Task]) -> dict[str, Any]:
    """Return advice as plain JSON values."""
    items = {id: item for task in tasks for id, item in task.stock.items.items()}
    return {
        "budget_cents": advice.budget_cents,
        "spent_cents": advice.spent_cents,
        "saving_cents": advice.saving_cents,
        "buy": [
            {
                "item": line.item,
                "name": items[line.item].name,
                "count": line.count,
                "price_cents": line.price_cents,
                "saving_cents": line.saving_cents,
                "pays_back_after": math.ceil(line.price_cents / line.saving_cents),
                "lead_days": items[line.item].lead_days,
            }
            for line in advice.lines
        ],
        "jobs": [
            {
                "name": each.name,
                "times": each.times,
                "now_cents": each.now_cents,
                "then_cents": each.then_cents,
                "now_buys": [{"item": item, "count": count} for item, count in sorted(each.now_buys.items())],
            }
            for each in advice.tasks
        ],
        "least_cents": advice.least_cents,
        "plans_made": advice.plans_made,
        "complete": advice.complete,
    }
