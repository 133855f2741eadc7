"""Checks: recompute a plan, whoever made it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from service.documents.jobs import ReportDocument
from service.http.dependencies import desk_of
from service.http.guard.body import read_body
from service.http.reference import accepts, answers
from service.planning_jobs.desk import Desk

router = APIRouter(prefix="/v1/checks", tags=["checks"])


@router.post("", summary="Check a plan", responses=answers(200, model=ReportDocument), openapi_extra=accepts("check"))
async def check(request: Request, desk: Annotated[Desk, Depends(desk_of)]) -> Response:
    """Recompute a plan from request, stock and plan document alone; every finding has its number, limit and rule."""
    raw = await read_body(request, desk.settings)
    return JSONResponse(await run_in_threadpool(desk.check, raw))
