"""Checks: recompute a plan, whoever made it."""

from __future__ import annotations

import json

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from service.demo import MAIN_JOB, job_document
from service.documents.jobs.check import CheckBody, ReportDocument, read_check, report_document
from service.http.dependencies import PlanningHere
from service.http.guard.body import read_body, sound
from service.http.jobs.client_presence import while_here
from service.http.reference.routes import answers, takes

router = APIRouter(prefix="/v1/checks", tags=["checks"])
_CHECK = {
    "request": json.loads(job_document(MAIN_JOB)),
    "plan": {"format": "holdwright.plan/1", "status": "unknown", "alternatives": []},
}


@router.post(
    "",
    summary="Check a plan",
    responses=answers(200, model=ReportDocument, problems=("worker-died",)),
    openapi_extra=takes(CheckBody, _CHECK),
)
async def check_plan(request: Request, planning: PlanningHere) -> Response:
    """Recompute a plan from request, stock and plan document alone; every finding has its number, limit and rule."""
    raw = await read_body(request, planning.settings)
    asked, plan = await run_in_threadpool(lambda: read_check(sound(raw)))
    report = await while_here(request, planning.check(asked, plan, size=len(raw)))
    return JSONResponse(report_document(report.ok, report.findings))
