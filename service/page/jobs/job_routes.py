"""One job: live while it is planned, then its answer, or why there is none; cancelled, asked again, asked with a repair."""

from __future__ import annotations

import json
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory.store.errors import NotFound
from service.documents import read_plan
from service.documents.jobs.repaired import repaired
from service.documents.rule_books.known_books import as_planned
from service.http.dependencies import ContextHere, PlanningHere
from service.http.jobs.client_presence import while_here
from service.http.writes import asked_of
from service.page.comparing.screen import comparison
from service.page.forms import FormHere
from service.page.frame import lead_to, page
from service.page.jobs.drawn_best import drawn_best
from service.page.jobs.listed_jobs import listed
from service.page.jobs.next_steps import next_steps
from service.page.jobs.progress import progress_of
from service.page.jobs.refusals import shown_refusal
from service.page.writes import submission_of_form
from service.planning_jobs.planning_service import PlanningService
from service.records.database import now
from service.records.job import Job
from service.records.jobs import as_text

router = APIRouter(include_in_schema=False, prefix="/jobs/{id}")


@router.get("")
def show_job(request: Request, id: str, here: ContextHere) -> Response:
    """Show a job: how far it is, or its answer."""
    planning = here.planning
    job = planning.job(id)
    if not job.open and job.plan is not None and job.plan["alternatives"]:
        return comparison(request, here, job)
    (summary,) = planning.records.summaries([id])
    at, currency = now(), planning.settings.currency
    plan = None if job.plan is None else read_plan(dict(job.plan))
    values: dict[str, Any] = {
        "job": job,
        "asked": json.loads(job.request),
        "row": listed(summary, currency, at),
        "progress": progress_of(job, currency, at) if job.open else None,
        "best": drawn_best(planning, job) if job.open else None,
        "plan": plan,
        "refusal": None if plan is None else shown_refusal(plan, currency),
        "steps": next_steps(job, planning),
    }
    return page(request, "jobs/job.html", **values)


@router.get("/progress")
def show_progress(request: Request, id: str, planning: PlanningHere) -> Response:
    """Answer with how far a job is; once it has ended, the whole page is asked for again."""
    job = planning.job(id)
    if not job.open:
        return page(request, "jobs/ended.html", headers={"HX-Refresh": "true"}, job=job)
    progress = progress_of(job, planning.settings.currency, now())
    return page(request, "jobs/progress.html", job=job, progress=progress)


@router.get("/drawing")
def show_best_so_far(request: Request, id: str, planning: PlanningHere) -> Response:
    """Answer with the best plan so far, drawn."""
    job = planning.job(id)
    return page(request, "jobs/drawing.html", job=job, best=drawn_best(planning, job) if job.open else None)


@router.post("/cancel")
def stop_job(request: Request, id: str, planning: PlanningHere) -> Response:
    """Have a job stop; it keeps its best plan so far."""
    planning.cancel(id, asked=asked_of(request))
    return lead_to(request, f"/jobs/{id}")


@router.post("/again")
async def ask_again(request: Request, id: str, planning: PlanningHere, form: FormHere) -> Response:
    """Ask the same once more, with the stock as it is now, and as much time as the form says."""
    job = await run_in_threadpool(planning.job, id)
    document = _as_taken_in(job)
    if "seconds" in form:
        document["time_limit_s"] = form.whole("seconds", 1, int(planning.settings.time_limit))
        form.finish()
    return await _asked(request, planning, document, submission_of_form(request, form), fresh=True)


@router.post("/repairs/{number}")
async def ask_repaired(request: Request, id: str, number: int, planning: PlanningHere, form: FormHere) -> Response:
    """Ask once more, with one of the repairs that help where there is no plan."""
    job = await run_in_threadpool(planning.job, id)
    document = await run_in_threadpool(_repaired, job, number)
    return await _asked(request, planning, document, submission_of_form(request, form))


async def _asked(request: Request, planning: PlanningService, document: Any, key: Any, *, fresh: bool = False) -> Response:
    size = len(as_text(document))
    made = await while_here(request, planning.submit(document, size, key, fresh=fresh))
    return lead_to(request, f"/jobs/{made.id}")


def _repaired(job: Job, number: int) -> dict[str, Any]:
    plan = None if job.plan is None else read_plan(dict(job.plan))
    repairs = () if plan is None or plan.refused is None else plan.refused.would_help
    if not 0 <= number < len(repairs):
        raise NotFound("repair", f"{number} of plan {job.id}; it has {len(repairs)}")
    return repaired(_as_taken_in(job), repairs[number])


def _as_taken_in(job: Job) -> dict[str, Any]:
    """Return a job's request with the rule book it was taken in with, whichever is used now."""
    document: dict[str, Any] = as_planned(json.loads(job.request), job.plan or {})
    return document
