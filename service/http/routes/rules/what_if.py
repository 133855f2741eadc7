"""What changed rules would do to the plans there are."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from service.documents.rescoring.what_if import MOST_PLANS, WhatIfBody, WhatIfDocument, read_what_if
from service.http.dependencies import PlanningHere
from service.http.guard.body import read_body
from service.http.jobs.client_presence import while_here
from service.http.jobs.job_replies import submission_key
from service.http.pages import Page, cursor_behind
from service.http.parameters import Key
from service.http.reference.routes import answers, takes
from service.rescoring.rule_consequences import RuleConsequences

router = APIRouter(prefix="/v1/rules", tags=["rules"])
_WHAT_IF = {"rules": {"set": {"rate.labour_cents_per_hour": 6100, "clear.weld": 18}}, "status": "optimal"}


@router.post(
    "/what-if",
    summary="What if these rules were changed?",
    responses=answers(200, model=WhatIfDocument, problems=("worker-died",)),
    openapi_extra=takes(WhatIfBody, _WHAT_IF),
)
async def ask_what_if(request: Request, planning: PlanningHere, key: Key = None) -> Response:
    """Hold changed rules against finished plans without solving: whose price and ranking change, who breaks which limit.

    What cannot be told from what is kept of a plan is said so; `check` has it checked, `re_solve` has plans made again, as jobs.
    """
    raw = await read_body(request, planning.settings)
    given = submission_key(request, key, b"what-if\n" + raw)
    asked = await run_in_threadpool(read_what_if, raw)
    place = Page.asked(asked.cursor, MOST_PLANS).place
    found = await while_here(request, RuleConsequences(planning).of(asked, place, given))
    document = {
        "format": "holdwright.what-if/1",
        "totals": found.effects.totals.plain(),
        "plans": list(found.effects.shown),
        "not_scored": list(found.not_scored),
        "re_solved": list(found.re_solved),
        "next": None if found.last is None else cursor_behind(found.last),
    }
    return JSONResponse(document, headers={"Cache-Control": "no-store"})
