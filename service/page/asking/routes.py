"""The rest of a draft's request: looked at, kept as one types, asked."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse, Response
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from inventory.errors import Fault, InvalidDocument
from inventory.limits import plain
from inventory.store.errors import Stale
from inventory.tables import Table
from service.drawings.paper.svg import as_inline_svg
from service.drawings.weldment.small_picture import small_picture
from service.http.dependencies import PlanningHere
from service.http.jobs.client_presence import while_here
from service.http.writes import asked_of
from service.page.asking.ask_form import AT_FIELDS, SIDE_WORDS, fields_of, read_form
from service.page.asking.assumed import assumed
from service.page.asking.rule_fields import FIELD, changed_in, main_rules, other_rules, sought_rules
from service.page.forms import Form, FormHere
from service.page.frame import Frame, is_fragment, lead_to, page
from service.page.writes import at_fields, submission_of_form
from service.planning_jobs.planning_service import PlanningService
from service.records.draft import Draft
from service.records.jobs import as_text
from service.rule_books.reading import book_of
from service.text import figure
from service.weldments.asking.asked_rest import TURNS, AskedRest, asked, asked_rest
from service.weldments.asking.whole_request import completed
from service.weldments.draft_edits import DraftEdits
from service.weldments.drafted_weldment import drafted_weldment
from solver.weldment import LengthUnit

router = APIRouter(include_in_schema=False, prefix="/weldments/{draft}/ask")


@dataclass(frozen=True, slots=True)
class KeptAsk:
    """A form that was taken in: the draft after it, what it asks for, whether others changed the draft before."""

    draft: Draft
    rest: AskedRest
    stale: bool = False


@router.get("")
def show_ask(request: Request, planning: PlanningHere, draft: str) -> Response:
    """Show what a draft asks for besides its weldment."""
    found = DraftEdits.over(planning.records).drafts.get(draft)
    rest = asked_rest(found.document)
    return _screen(request, planning, found, fields_of(rest), rest)


@router.post("")
async def keep_ask(request: Request, planning: PlanningHere, draft: str, form: FormHere) -> Response:
    """Keep what the form asks for in the draft; if it is to be planned, ask it."""
    kept = await run_in_threadpool(_kept, request, planning, draft, form)
    plans = form.raw("do") == "plan"
    if not plans and is_fragment(request):
        return await run_in_threadpool(_told, request, planning, kept, form)
    if kept.stale or form.faults:
        return await run_in_threadpool(_refused, request, planning, kept, form)
    if not plans:
        return lead_to(request, f"/weldments/{draft}/ask")
    document = await run_in_threadpool(_request, planning, kept.draft)
    try:
        key = submission_of_form(request, form)
        job = await while_here(request, planning.submit(document, len(as_text(document)), key))
    except InvalidDocument as bad:
        form.faults += at_fields(bad, AT_FIELDS | {f"/rules/set/{name}": f"{FIELD}{name}" for name in changed_in(form)})
        return await run_in_threadpool(_refused, request, planning, kept, form)
    return lead_to(request, f"/jobs/{job.id}")


@router.get("/rules")
def find_asked_rules(
    request: Request, planning: PlanningHere, draft: str, q: Annotated[str, Query(max_length=200)] = ""
) -> Response:
    """Answer with rules that fit what is looked for, as fields of the form."""
    document = DraftEdits.over(planning.records).drafts.get(draft).document
    found, more = sought_rules(q, asked_rest(document).rules, book_of(planning.records.database, document))
    return page(request, "asking/found_rules.html", found=found, more=more, q=q, form=Form({}))


@router.get("/request.json")
def read_asked_request(planning: PlanningHere, draft: str) -> Response:
    """Answer with the request as it would be asked now."""
    found = DraftEdits.over(planning.records).drafts.get(draft)
    return JSONResponse(_request(planning, found), headers={"Cache-Control": "no-store"})


def _kept(request: Request, planning: PlanningService, id: str, form: Form) -> KeptAsk:
    edits, today = DraftEdits.over(planning.records), date.today()
    based_on = form.whole("step", 1, 10**9)
    rest = read_form(form, planning.stock.snapshot().tables, planning.settings.time_limit)
    before = edits.drafts.get(id)
    if form.faults or based_on is None:
        return KeptAsk(before, rest)
    if asked_rest(before.document) == rest and _print_of(before) == form.raw("weldment"):
        return KeptAsk(before, rest)  # kept as it was typed, a moment before the button was pressed
    try:
        draft, _ = edits.edit(id, based_on, lambda document: asked(document, rest, today), asked_of(request))
    except Stale:
        return KeptAsk(edits.drafts.get(id), rest, stale=True)
    return KeptAsk(draft, rest)


def _request(planning: PlanningService, draft: Draft) -> dict[str, Any]:
    return completed(draft.document, planning.stock.snapshot().tables, date.today())


def _told(request: Request, planning: PlanningService, kept: KeptAsk, form: Form) -> Response:
    """Answer what was kept as one types: what is assumed now; or why it was not kept."""
    if kept.stale or form.faults:
        told = {"HX-Retarget": "#not-kept", "HX-Reswap": "innerHTML"}
        return page(request, "asking/not_kept.html", headers=told, form=form, draft=kept.draft, stale=kept.stale)
    told = {"HX-Retarget": "#assumed"}
    return page(request, "asking/kept.html", headers=told, **_values(request, planning, kept.draft, form, kept.rest))


def _refused(request: Request, planning: PlanningService, kept: KeptAsk, form: Form) -> Response:
    """Return the screen with what is wrong at its fields, or with the draft as others left it."""
    if not kept.stale:
        return _screen(request, planning, kept.draft, form, kept.rest, status=422)
    rest = asked_rest(kept.draft.document)
    return _screen(request, planning, kept.draft, fields_of(rest), rest, status=409, conflict=True)


def _screen(
    request: Request,
    planning: PlanningService,
    draft: Draft,
    form: Form,
    rest: AskedRest,
    *,
    status: int = 200,
    conflict: bool = False,
) -> Response:
    values = _values(request, planning, draft, form, rest)
    return page(request, "asking/ask.html", block="ask", status=status, conflict=conflict, **values)


def _values(request: Request, planning: PlanningService, draft: Draft, form: Form, rest: AskedRest) -> dict[str, Any]:
    stock, drafted = planning.stock.snapshot(), drafted_weldment(draft.document)
    book = book_of(planning.records.database, draft.document)
    units = Frame.of(request).units(drafted.units)
    offers = [_offer(table, units) for table in stock.tables.values()]
    drawn = small_picture(drafted.name, drafted.sound_parts, [weld for weld in drafted.welds if weld is not None], (60.0, 40.0))
    beyond = [fault for fault in form.faults if fault.pointer.startswith("/weldment")]
    return {
        "draft": draft,
        "form": form,
        "rest": rest,
        "drafted": drafted,
        "weldment": _print_of(draft),
        "drawing": None if drawn is None else Markup(as_inline_svg(drawn, "weldment")),  # which escapes what it is given
        "of_weldment": beyond or _open_faults(drafted.faults, drafted.given),
        "table_options": offers,
        "sides": SIDE_WORDS,
        "turn_options": [(plain(turn), f"{plain(turn)}°") for turn in sorted({*TURNS, *rest.turn})],
        "main": main_rules(book),
        "others": other_rules({*rest.rules, *changed_in(form)}, book),
        "assumed": assumed(rest, draft.document, len(offers)),
        "longest_s": planning.settings.time_limit,
    }


def _open_faults(faults: tuple[Fault, ...], given: Any) -> list[Fault]:
    return list(faults) if given else [Fault("/weldment", "nothing is drawn yet", "at least one part")]


def _print_of(draft: Draft) -> str:
    """Return what tells one weldment of a draft from another."""
    return hashlib.sha256(as_text(draft.document.get("weldment")).encode()).hexdigest()[:16]


def _offer(table: Table, units: LengthUnit) -> tuple[str, str]:
    wide, deep = (figure(side, units) for side in table.size)
    unit = "in" if units == "inch" else "mm"
    return table.id, f"{table.id}: {wide} x {deep} {unit}, a hole every {figure(table.pitch, units)} {unit}"
