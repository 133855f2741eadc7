"""How long an alternative took: a form, the list of what was reported beside what was predicted, a report taken back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory import limits
from inventory.store import Connection, Store
from service.http.dependencies import Context, ContextHere, store_of
from service.http.guard.queries import whole_number
from service.http.replies import Reply
from service.http.writes import write_once
from service.page.comparing.planned_job import PlannedJob
from service.page.forms import Form, FormHere
from service.page.frame import is_fragment, lead_to, page
from service.page.measured.measured_form import timed_of
from service.page.writes import signature, write_of_form
from service.records.measured_times import NumberedReport, WantedReports, find_reports, withdraw_report
from service.shop_floor.both_agreements import agreements
from service.shop_floor.reporting import add_new, reported

router = APIRouter(include_in_schema=False)
Rank = Annotated[int, *whole_number(limits.RANK), Path(description="which of the plan's alternatives")]
_NUMBERS = limits.Limit(1, 2**31 - 1, "", whole=True)


@router.get("/jobs/{id}/{rank}/measured")
def show_measured(request: Request, here: ContextHere, id: str, rank: Rank) -> Response:
    """Show what was measured at a plan's alternative, beside what it said."""
    return _page(request, here, id, rank, Form({}))


@router.post("/jobs/{id}/{rank}/measured")
async def report_here(request: Request, here: ContextHere, form: FormHere, id: str, rank: Rank) -> Response:
    """Write down how long it took."""
    return await run_in_threadpool(_report, request, here, form, id, rank)


@router.post("/jobs/{id}/{rank}/measured/withdraw")
async def withdraw_here(request: Request, here: ContextHere, form: FormHere, id: str, rank: Rank) -> Response:
    """Take a wrong report back."""
    return await run_in_threadpool(_withdraw, request, here, form, id, rank)


def _report(request: Request, here: Context, form: Form, id: str, rank: int) -> Response:
    store, planned = store_of(request), PlannedJob.of(here.planning, id)
    planned.alternative(rank)
    timed = timed_of(form, date.today())
    who = signature(request, form)
    if form.faults:
        return _page(request, here, id, rank, form, 422)
    write = write_of_form(request, form)
    note = write.signed(who, "")
    new = reported(planned.job, rank, timed, here.planning.stock.snapshot().items, write.today)

    def action(connection: Connection) -> Reply:
        add_new(connection, new, note)
        return Reply({})

    write_once(store, write, action)
    return _done(request, here, id, rank)


def _withdraw(request: Request, here: Context, form: Form, id: str, rank: int) -> Response:
    store = store_of(request)
    number = form.whole("number", int(_NUMBERS.low), int(_NUMBERS.high))
    why = form.text("why", "what is wrong with it", longest=1000, needed=True)
    who = signature(request, form)
    if number is not None and number not in {each.number for each in _standing(store, id, rank)}:
        form.fault("number", f"{number} is no report of this alternative that stands", "one of those listed")
    if form.faults or number is None:
        return _page(request, here, id, rank, form, 422)
    write = write_of_form(request, form)
    note = write.signed(who, why)

    def action(connection: Connection) -> Reply:
        withdraw_report(connection, number, note)
        return Reply({})

    write_once(store, write, action)
    return _done(request, here, id, rank)


def _done(request: Request, here: Context, id: str, rank: int) -> Response:
    if is_fragment(request):
        return _page(request, here, id, rank, Form({}))
    return lead_to(request, f"/jobs/{id}/{rank}/measured")


def _page(request: Request, here: Context, id: str, rank: int, form: Form, status: int = 200) -> Response:
    store, planned = store_of(request), PlannedJob.of(here.planning, id)
    one = planned.alternative(rank)
    reports = store.read(lambda connection: find_reports(connection, WantedReports(id)))
    mine = [each for each in reports if each.report.rank == rank]
    return page(
        request,
        "measured/screen.html",
        block="measured",
        status=status,
        planned=planned,
        one=one,
        form=form,
        reports=mine,
        standing=[each for each in mine if each.withdrawn is None],
        agree=agreements(mine),
    )


def _standing(store: Store, id: str, rank: int) -> Sequence[NumberedReport]:
    found = store.read(lambda connection: find_reports(connection, WantedReports(id, standing=True)))
    return [each for each in found if each.report.rank == rank]
