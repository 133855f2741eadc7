"""What should we buy, on the wire: a budget and the jobs, and the advice."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Any

from pydantic import Field

from inventory import limits
from inventory.errors import Fault, refuse
from service.documents.answers.answer import Answer, Kept
from service.documents.reading.fields import Document, Name, Whole, Within
from service.documents.request import RequestDocument
from service.documents.stockroom.body import read_body_as
from solver.advice import Advice, Task

BUDGET = limits.Limit(0, 1_000_000_000, "cents", whole=True)
TIMES = limits.Limit(1, 1_000_000, "runs", whole=True)
MOST_REQUESTS = 100


class AdviceRequest(Document):
    """A past or expected request, and how often it comes."""

    request: Annotated[dict[str, Any], Kept(RequestDocument), Field(description="a holdwright.request/1 document")]
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


class BuyLineDocument(Answer):
    """Pieces of one item to buy, and what each of them saves."""

    item: str
    name: str
    count: Annotated[int, Field(description="pieces to buy")]
    price_cents: Annotated[int, Field(description="price of a piece, cents")]
    saving_cents: Annotated[int, Field(description="what the last of them saves over all runs, cents")]
    pays_back_after: Annotated[int, Field(description="times these runs after which a piece has paid for itself")]
    lead_days: int


class BoughtDocument(Answer):
    """Pieces of one item that a job must buy for itself."""

    item: str
    count: int


class JobCostDocument(Answer):
    """What one job costs now and after the purchase."""

    name: str
    times: int
    now_cents: Annotated[int | None, Field(description="a run today, cents; null: no plan found")]
    then_cents: Annotated[int | None, Field(description="a run after the purchase, cents; null: no plan found")]
    now_buys: Annotated[list[BoughtDocument], Field(description="what a run must buy for itself today")]


class AdviceDocument(Answer):
    """Which few pieces to buy within a budget, and what that changes."""

    budget_cents: int
    spent_cents: Annotated[int, Field(description="price of what is to be bought, cents")]
    saving_cents: Annotated[int, Field(description="what it saves over all runs, cents")]
    buy: list[BuyLineDocument]
    jobs: list[JobCostDocument]
    least_cents: Annotated[int | None, Field(description="proved: no purchase brings all jobs below it, cents; null: not proved")]
    plans_made: int
    complete: Annotated[bool, Field(description="false: time was short, there may be better purchases")]


def read_advice(raw: bytes | dict[str, Any]) -> AdviceBody:
    """Return what is asked; raises InvalidDocument with every fault."""
    body = read_body_as(AdviceBody, raw)
    if not 1 <= len(body.requests) <= MOST_REQUESTS:
        refuse([Fault("/requests", f"{len(body.requests)} requests", f"1 to {MOST_REQUESTS}")])
    return body


def advice_document(advice: Advice, tasks: Sequence[Task]) -> dict[str, Any]:
    """Return advice as plain JSON values."""
    items = {id: item for task in tasks for id, item in task.stock.items.items()}
    return AdviceDocument(
        budget_cents=advice.budget_cents,
        spent_cents=advice.spent_cents,
        saving_cents=advice.saving_cents,
        buy=[
            BuyLineDocument(
                item=line.item,
                name=items[line.item].name,
                count=line.count,
                price_cents=line.price_cents,
                saving_cents=line.saving_cents,
                pays_back_after=math.ceil(line.price_cents / line.saving_cents),
                lead_days=items[line.item].lead_days,
            )
            for line in advice.lines
        ],
        jobs=[
            JobCostDocument(
                name=each.name,
                times=each.times,
                now_cents=each.now_cents,
                then_cents=each.then_cents,
                now_buys=[BoughtDocument(item=item, count=count) for item, count in sorted(each.now_buys.items())],
            )
            for each in advice.tasks
        ],
        least_cents=advice.least_cents,
        plans_made=advice.plans_made,
        complete=advice.complete,
    ).plain()
