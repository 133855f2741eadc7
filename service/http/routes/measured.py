"""Measured times: reported by plan or as a list, taken back, held beside the predicted ones, and what they propose."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory.limits import Limit as Range
from inventory.store import Connection
from service.documents.shop_floor.proposal import TimeProposalDocument, proposal_document
from service.documents.shop_floor.reports import (
    Kind,
    MeasuredBody,
    PlanReportsDocument,
    ReportImportDocument,
    ReportPageDocument,
    ReportsDocument,
    TimeReportDocument,
    agreement_document,
)
from service.drawings.times.agreement_chart import agreement_chart
from service.drawings.times.charted import charted_times
from service.exchange import measured_csv
from service.http.dependencies import PlanningHere, StoreHere
from service.http.guard.body import CSV
from service.http.guard.queries import whole_number
from service.http.pages import Page
from service.http.parameters import Cursor, Flag, Key, Limit, Named
from service.http.reference.routes import answers, takes, takes_csv
from service.http.replies import Reply, answered
from service.http.writes import write_of, write_once
from service.records.measured_times import WantedReports, find_reports, withdraw_report
from service.shop_floor.both_agreements import agreements
from service.shop_floor.kept_reports import report_document, reports_document
from service.shop_floor.proposal import proposal
from service.shop_floor.reporting import Timed, add_new, listed, reported

router = APIRouter(tags=["measured"])
_MEASURED = {
    "rank": 1,
    "measured": [
        {"what": "setup", "seconds": 840, "set_before": False},
        {"what": "cycle", "seconds": 61.5, "arc_s": 18, "count": 40, "note": "second day of the run"},
    ],
    "who": "fitter",
}
_SVG = "image/svg+xml"
_POLICY = "sandbox; default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
"""For what a browser takes for a page: it runs no script, loads nothing, and has no origin whose data it could read."""
_LIST = "plan,rank,setup_minutes,set_before,cycle_s,pieces\n"
_NUMBER = Annotated[int, *whole_number(Range(1, 2**31 - 1, "", whole=True)), Path(description="its number among all reports")]
Who = Annotated[
    str | None,
    Query(min_length=1, max_length=200, description="person or system that signs for it; absent = the name of the API key"),
]
Why = Annotated[str, Query(max_length=1000, description="the reason")]
DryRun = Annotated[Flag, Query(description="find every fault and say what would be written, write nothing")]
OfPlan = Annotated[str | None, Query(max_length=200, description="id of a plan whose reports are told apart")]
OfBook = Annotated[str | None, Query(max_length=64, description="the rule book it is for; absent = the one in use")]
OfVersion = Annotated[
    Annotated[int, *whole_number(Range(1, 1_000_000, "", whole=True))] | None,
    Query(description="the version of that book; absent = the newest"),
]
OfWhat = Annotated[Kind | None, Query(description="only setups, or only cycles")]


@router.post(
    "/v1/plans/{id}/measured",
    summary="Report how long it took",
    status_code=201,
    responses=answers(201, model=ReportsDocument, problems=("conflict",)),
    openapi_extra=takes(MeasuredBody, _MEASURED),
)
async def report_measured(request: Request, id: str, planning: PlanningHere, store: StoreHere, key: Key = None) -> Response:
    """Write down how long setups or cycles of an alternative took; the plan's own figures are kept beside."""
    write = await write_of(request)

    def act() -> Reply:
        body = write.read(MeasuredBody)
        note = write.note(body)
        timed = [Timed(**dict(one)) for one in body.measured]
        new = reported(planning.job(id), body.rank, timed, planning.stock.snapshot().items, write.today)
        return write_once(store, write, lambda c: Reply(reports_document(add_new(c, new, note)), 201))

    return await answered(act)


@router.get(
    "/v1/plans/{id}/measured", summary="Predicted against measured, one plan", responses=answers(200, model=PlanReportsDocument)
)
async def list_plan_measured(id: str, planning: PlanningHere, store: StoreHere) -> Response:
    """Return all times reported of a plan, newest first, and how they lie beside what it predicted."""

    def act() -> Reply:
        planning.job(id)
        found = store.read(lambda c: find_reports(c, WantedReports(id)))
        both = agreements(found)
        agree = {"setup": agreement_document(both.setup), "cycle": agreement_document(both.cycle)}
        return Reply({"plan": id, **reports_document(found), **agree})

    return await answered(act)


@router.get("/v1/measured", summary="Predicted against measured", responses=answers(200, model=ReportPageDocument))
async def list_measured(
    store: StoreHere, plan: Named = None, what: OfWhat = None, cursor: Cursor = None, limit: Limit = 100
) -> Response:
    """Return a page of measured times, newest first; those that were withdrawn are among them.

    `setup` and `cycle` say how the latest 5,000 of all asked for lie beside the predicted ones.
    """

    def act() -> Reply:
        page, wanted = Page.asked(cursor, limit), WantedReports(plan, what)
        found = store.read(lambda c: find_reports(c, wanted, page.number, page.fetched))
        both = agreements(store.read(lambda c: find_reports(c, WantedReports(plan, what, standing=True))))
        agree = {"setup": agreement_document(both.setup), "cycle": agreement_document(both.cycle)}
        return Reply({**page.document("reports", found, lambda each: each.number, report_document), **agree})

    return await answered(act)


@router.post(
    "/v1/measured/import",
    summary="Measured times from CSV",
    responses=answers(200, model=ReportImportDocument),
    openapi_extra=takes_csv(_LIST),
)
async def import_measured(
    request: Request,
    planning: PlanningHere,
    store: StoreHere,
    who: Who = None,
    why: Why = "",
    dry_run: DryRun = False,
    key: Key = None,
) -> Response:
    """Write a list's measured times down: all rows or none, every fault named by row; one taken in before is refused."""
    write = await write_of(request, media=CSV)
    note = write.signed(who, why)

    def act() -> Reply:
        rows = measured_csv.read(write.body)
        new = listed(planning.records, rows, planning.stock.snapshot().items, write.today)
        shown = {
            "rows": len(rows),
            "setups": sum(one.report.what == "setup" for one in new),
            "cycles": sum(one.report.what == "cycle" for one in new),
        }
        if dry_run:
            return Reply({**shown, "written": False, "reports": []})

        def action(connection: Connection) -> Reply:
            kept = add_new(connection, [one.report for one in new], note, [one.row for one in new])
            return Reply({**shown, "written": True, **reports_document(kept)})

        return write_once(store, write, action)

    return await answered(act)


@router.get("/v1/measured/proposal", summary="What measured times propose", responses=answers(200, model=TimeProposalDocument))
async def read_time_proposal(store: StoreHere, book: OfBook = None, version: OfVersion = None) -> Response:
    """Return the time rules fitted to all measured times, with how sure each is; nothing is changed by it."""

    def act() -> Reply:
        found = proposal(store, book, version)
        return Reply(proposal_document(found.rules, found.set, found.fits, found.why))

    return await answered(act)


@router.get(
    "/v1/measured/chart",
    summary="Predicted against measured, drawn",
    responses=answers(200, media=_SVG),
    response_class=Response,
)
async def draw_measured(store: StoreHere, plan: OfPlan = None) -> Response:
    """Return all measured times over what was predicted, as SVG; those that count little in the proposal are marked."""
    drawn = await run_in_threadpool(lambda: agreement_chart(charted_times(store, plan)))
    return Response(drawn, media_type=_SVG, headers={"Cache-Control": "no-store", "Content-Security-Policy": _POLICY})


@router.delete("/v1/measured/{number}", summary="Take a report back", responses=answers(200, model=TimeReportDocument))
async def withdraw_measured(
    request: Request, number: _NUMBER, store: StoreHere, who: Who = None, why: Why = "", key: Key = None
) -> Response:
    """Take a wrong report back: it is kept, with who and why, and counts no more."""
    write = await write_of(request)
    note = write.signed(who, why)
    return await answered(lambda: write_once(store, write, lambda c: Reply(report_document(withdraw_report(c, number, note)))))
