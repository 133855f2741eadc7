"""How far rules may move before a plan changes."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from service.documents.rescoring.breakpoints import BreakpointsDocument
from service.http.dependencies import PlanningHere
from service.http.problems import HttpProblem
from service.http.reference.routes import answers
from service.rescoring.plan_breakpoints import PlanBreakpoints

router = APIRouter(prefix="/v1/plans", tags=["rules"])
Rank = Annotated[int, Path(ge=1, le=1000, description="rank of the alternative whose limits are told")]


@router.get(
    "/{id}/alternatives/{rank}/breakpoints",
    summary="How far may each rule move?",
    responses=answers(200, model=BreakpointsDocument, problems=("conflict", "worker-died")),
)
async def read_breakpoints(id: str, rank: Rank, planning: PlanningHere) -> Response:
    """Say how far each rule may move alone before another alternative is the cheapest, or this one stops being allowed."""
    await run_in_threadpool(planning.job, id)
    document = await PlanBreakpoints(planning).of(id, rank)
    if document is None:
        raise HttpProblem("not-found", f"plan {id!r} has no alternative of rank {rank}"[:300])
    return JSONResponse(document, headers={"Cache-Control": "no-store"})
