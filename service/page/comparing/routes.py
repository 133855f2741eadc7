"""One alternative of a finished plan: its screen, its views, what to do when something is missing, why it is none other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool

from inventory import limits
from inventory.errors import InvalidDocument
from service.documents.jobs.why import why_text
from service.drawings.screen.views import ScreenView
from service.http.dependencies import Context, ContextHere
from service.http.guard.queries import whole_number
from service.http.jobs.client_presence import while_here
from service.page.comparing.alternative_screen import AlternativeScreen
from service.page.comparing.picking.finding_rows import Shown
from service.page.comparing.picking.picked import has_hole
from service.page.comparing.picking.questions import QUESTIONS, why_body
from service.page.comparing.planned_job import PlannedJob
from service.page.comparing.promised import promised_for
from service.page.comparing.replanning.breakage import record_broken
from service.page.comparing.replanning.missing_pieces import entries_of, replan_body
from service.page.comparing.screen_views import as_markup, first_views, view_order
from service.page.forms import Form, FormHere
from service.page.frame import HEADERS, Frame, lead_to, page
from service.page.writes import signature, submission_of_form

router = APIRouter(include_in_schema=False)
_RANK = whole_number(limits.RANK)
Rank = Annotated[int, *_RANK, Path(description="which of the plan's alternatives")]
Pick = Annotated[str, Query(max_length=200)]
Entries = Annotated[list[str] | None, Query(max_length=400)]
_BLOCKS = ("picked", "missing", "findings")
"""Parts of the screen that are asked for alone, each by the element it takes the place of."""


@router.get("/jobs/{id}/{rank}")
def show_alternative(
    request: Request,
    here: ContextHere,
    id: str,
    rank: Rank,
    pick: Pick = "",
    shown: Shown = "near",
    entry: Entries = None,
    add: Pick = "",
    drop: Pick = "",
    hole: Pick = "",
) -> Response:
    """Show one alternative in full, with what is picked and what was said to be missing.

    `add` is said now, as is a `hole` that cannot be used; `drop` is taken back.
    """
    form, label = Form.of([("hole", hole)] if hole.strip() else []), hole.strip().upper()
    said = (*(entry or ()), add, f"hole:{label}")
    screen = _screen(request, here, id, rank, said, pick, shown, drop)
    table = screen.subject.stock.tables[screen.one.table]
    if label and not has_hole(table, label):
        form.fault("hole", f"{limits.shown(label)} is no hole of table {table.id}", f"a hole from A1 to {table.last_hole}")
        screen = _screen(request, here, id, rank, said[:-1], pick, shown, drop)
    return _page(request, here, screen, form if form.faults else Form({}), 422 if form.faults else 200)


@router.get("/jobs/{id}/{rank}/views/{view}")
async def show_view(request: Request, here: ContextHere, id: str, rank: Rank, view: ScreenView) -> Response:
    """Return a view with all its labels, drawn in a process of its own."""
    planned = await run_in_threadpool(PlannedJob.of, here.planning, id)
    planned.alternative(rank)
    units = Frame.of(request).units(planned.drawn_in)
    order = await run_in_threadpool(view_order, here.planning, planned.job, rank, view, units)
    drawn = await while_here(request, here.sheets.drawn(order, order.key))
    return HTMLResponse(as_markup(drawn), headers=HEADERS)


@router.post("/jobs/{id}/{rank}/replan")
async def replan_here(request: Request, here: ContextHere, form: FormHere, id: str, rank: Rank) -> Response:
    """Ask for a plan that changes as little as possible of what stands, and lead to it."""
    screen = await run_in_threadpool(_screen, request, here, id, rank, form.all("entry"))
    if not screen.entries:
        form.fault("entry", "nothing is said to be missing", "a piece that is not there, broken or to stay, or a hole")
    record = "record" in form and here.store is not None and Frame.of(request).may("record_entry") and bool(screen.broken)
    who = signature(request, form) if record else ""
    if not form.faults:
        try:
            if record:
                await run_in_threadpool(record_broken, request, here, form, screen.broken, who, screen.planned.job.name)
            body = replan_body(screen.entries, screen.one, screen.request, record)
            job = await while_here(request, here.planning.replan(screen.planned.job, body, submission_of_form(request, form)))
        except InvalidDocument as bad:
            form.faults += bad.faults
        else:
            return lead_to(request, f"/jobs/{job.id}")
    return await run_in_threadpool(_page, request, here, screen, form, 422)


@router.post("/jobs/{id}/{rank}/why")
async def ask_why_here(request: Request, here: ContextHere, form: FormHere, id: str, rank: Rank) -> Response:
    """Say what the cheapest fixture without a piece, its item or its hole costs more, or why there is none."""
    screen = await run_in_threadpool(_screen, request, here, id, rank, form.all("entry"), form.raw("pick")[:200])
    question = form.choice("question", QUESTIONS, "piece")
    answer = ""
    if screen.picked is None or not screen.picked.item:
        form.fault("pick", "no piece is picked", "a piece of this plan, such as piece:p1")
    if not form.faults:
        asked = why_body(question, screen.one, form.raw("pick").partition(":")[2])
        found = await while_here(request, here.planning.why(screen.planned.job, asked))
        answer = why_text(found, screen.planned.currency)
    status = 422 if form.faults else 200
    return await run_in_threadpool(_page, request, here, screen, form, status, answer)


def _screen(
    request: Request,
    here: Context,
    id: str,
    rank: int,
    entries: Sequence[str],
    pick: str = "",
    shown: Shown = "near",
    drop: str = "",
) -> AlternativeScreen:
    planned = PlannedJob.of(here.planning, id)
    one = planned.alternative(rank)
    stock = here.planning.stock.snapshot(planned.request.needed)
    units = Frame.of(request).units(planned.drawn_in)
    return AlternativeScreen(planned, rank, stock, units, pick, shown, entries_of(entries, one, drop))


def _page(
    request: Request, here: Context, screen: AlternativeScreen, form: Form, status: int = 200, answer: str = ""
) -> Response:
    target = request.headers.get("hx-target", "")
    _ = screen.subject, screen.picked  # what the stock no longer has, or nobody has heard of, is refused before anything is shown
    return page(
        request,
        "comparing/alternative.html",
        block=target if target in _BLOCKS else "missing" if form.faults else None,
        status=status,
        screen=screen,
        form=form,
        answer=answer,
        questions=QUESTIONS,
        views=lambda: first_views(screen, here.planning, here.sheets),
        promised=lambda: promised_for(here.store, screen.planned.job.id),
    )
