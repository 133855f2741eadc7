"""What to buy: some jobs and a budget are asked about, and the answer is waited for and told in words."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory.errors import Fault, HoldwrightError, InvalidDocument
from service.documents.stockroom.advice import BUDGET, MOST_REQUESTS, TIMES
from service.errors import QueueFull, TooManyDocuments, TooManyJobs
from service.exchange.cells import Unreadable, cents
from service.http.dependencies import PlanningHere
from service.http.writes import asked_of
from service.page.forms import Form, FormHere
from service.page.frame import HEADERS, is_fragment, lead_to, page
from service.page.writes import at_fields, submission_of_form
from service.planning_jobs.planning_service import PlanningService
from service.records.job import State, WantedJobs
from solver.plans import Status

router = APIRouter()
_OFFERED, _EARLIER, _SECONDS = 40, 10, 60
_FIELDS = {"/budget_cents": "budget", "/time_limit_s": "seconds", "/requests": "jobs"}
_BUSY = (QueueFull, TooManyJobs, TooManyDocuments)
_ANSWERED: tuple[Status | None, ...] = ("optimal", "feasible", "infeasible", "unknown")


@router.get("/store/advice")
def show_advice(request: Request, planning: PlanningHere) -> Response:
    """Show what can be asked about, and what was asked before."""
    return _screen(request, planning, Form({}))


@router.post("/store/advice")
async def ask_advice(request: Request, planning: PlanningHere, form: FormHere) -> Response:
    """Ask which few pieces, bought within a budget, lower the cost of the chosen jobs most."""
    names = dict(_FIELDS)
    try:
        body = await run_in_threadpool(_question, planning, form, names)
        job = await planning.advise(json.dumps(body).encode(), submission_of_form(request, form))
    except InvalidDocument as bad:
        form.faults[:] = at_fields(bad, names)
        return await run_in_threadpool(_screen, request, planning, form, 422)
    except _BUSY as error:
        return await run_in_threadpool(_screen, request, planning, form, 503, error)
    return lead_to(request, f"/store/advice/{job.id}")


@router.get("/store/advice/{id}")
def show_advice_answer(
    request: Request, id: str, planning: PlanningHere, seen: Annotated[State | None, Query()] = None
) -> Response:
    """Show how far it is, or what to buy; who has seen this state already is told nothing until it changes."""
    job = planning.job(id, "advice")
    if is_fragment(request) and seen == job.state and job.open:
        return Response(status_code=204, headers=HEADERS)
    return page(request, "store/advice_answer.html", block="answer", job=job, advice=job.plan, asked=_asked(job.request))


@router.post("/store/advice/{id}/cancel")
def stop_advice(request: Request, id: str, planning: PlanningHere, form: FormHere) -> Response:
    """Have the search end with what it has found."""
    planning.cancel(id, "advice", asked_of(request))
    return lead_to(request, f"/store/advice/{id}")


def _question(planning: PlanningService, form: Form, names: dict[str, str]) -> dict[str, Any]:
    """Return the question of a form; raises InvalidDocument with the faults of its fields. `names` learns where each job's go."""
    budget = _money(form, "budget")
    seconds = form.whole("seconds", 1, int(planning.settings.time_limit), otherwise=_SECONDS)
    requests: list[dict[str, Any]] = []
    for id in form.all("jobs"):
        times = form.whole(f"times_{id}", int(TIMES.low), int(TIMES.high), otherwise=1)
        job = planning.records.get(id)
        if job is None or job.kind != "plan":
            form.fault("jobs", f"there is no job {id[:40]}", "jobs of the list")
            continue
        names[f"/requests/{len(requests)}"] = f"times_{id}"
        requests.append({"request": json.loads(job.request), "times": times, "name": job.name[:200]})
    if not 1 <= len(requests) <= MOST_REQUESTS and not form.faults:
        wrong = f"{len(requests)} jobs are chosen" if requests else "no job is chosen"
        form.fault("jobs", wrong, f"1 to {MOST_REQUESTS} of the jobs listed")
    names["/requests"] = names.pop("/requests")  # a fault of one job goes to that job
    form.finish()
    return {"budget_cents": budget, "requests": requests, "time_limit_s": seconds}


def _money(form: Form, name: str) -> int | None:
    """Return an amount of money in cents."""
    accepted, given = "an amount with at most two decimals, such as 250 or 250.50", form.raw(name).strip()
    if not given:
        form.fault(name, "is empty", accepted)
        return None
    try:
        amount = cents(given)
    except Unreadable as error:
        form.fault(name, f"{given[:60]} {error}", accepted)
        return None
    form.faults += [Fault(f"/{name}", fault.wrong, fault.accepted) for fault in BUDGET.faults("", amount)]
    return amount


def _asked(text: str) -> Mapping[str, Any]:
    """Return what was asked: the budget, and the names of the jobs."""
    body = json.loads(text)
    names = [each.get("name") or f"job {number}" for number, each in enumerate(body["requests"], 1)]
    return {"budget_cents": body["budget_cents"], "names": names, "seconds": body.get("time_limit_s", 20)}


def _screen(
    request: Request, planning: PlanningService, form: Form, status: int = 200, error: HoldwrightError | None = None
) -> Response:
    plans = planning.records.find(WantedJobs(("done", "cancelled"), None, "plan", None, None, None), None, _OFFERED)
    earlier = planning.records.find(WantedJobs((), None, "advice", None, None, None), None, _EARLIER)
    return page(
        request,
        "store/advice.html",
        block="ask",
        status=status,
        form=form,
        jobs=[job for job in plans if job.status in _ANSWERED],
        earlier=earlier,
        seconds=min(_SECONDS, int(planning.settings.time_limit)),
        error=error,
    )
