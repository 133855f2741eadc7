"""Addresses of the screens on which weldments are started and described."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from inventory.errors import InvalidDocument
from inventory.store.errors import Stale
from service.documents.reading.pointer_lines import line_of
from service.documents.stored_weldments.stored_version import WeldmentReference
from service.drawings.weldment.weldment_glb import weldment_glb
from service.http.dependencies import PlanningHere
from service.http.problems import HttpProblem
from service.http.writes import asked_of
from service.page.forms import Form, FormHere
from service.page.frame import HEADERS, is_fragment, lead_to, page
from service.page.weldments.chosen import Chosen, chosen_in, chosen_of
from service.page.weldments.drawn import shown_weldment
from service.page.weldments.edits_asked import edit_asked
from service.page.weldments.file_reading import SUFFIXES, UNITS, started_from_file
from service.page.weldments.panels import Sent
from service.page.weldments.workplace import address_of, workplace
from service.page.writes import at_fields
from service.planning_jobs.planning_service import PlanningService
from service.records.draft import Draft
from service.records.job import WantedJobs
from service.records.stored_weldments import find_weldments
from service.stored_weldments.lookup import weldments_found
from service.weldments.draft_edits import DraftEdits
from service.weldments.drafted_weldment import drafted_weldment
from service.weldments.edited import Edited
from service.weldments.starts import blank, example, examples, from_stored, pasted

router = APIRouter(include_in_schema=False)
_RECENT = 20
_EARLIER_JOBS = 20
_STORED = 500
Picked = Annotated[str, Query(max_length=40)]


def _edits(planning: PlanningService) -> DraftEdits:
    return DraftEdits.over(planning.records)


@router.get("/weldments")
def show_starts(request: Request, planning: PlanningHere, job: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Show what a new weldment can start from, and the drafts there are."""
    return _starts(request, planning, Form.of((("job", job),)))


def _starts(
    request: Request, planning: PlanningService, form: Form, status: int = 200, lines: Mapping[str, int] | None = None
) -> Response:
    jobs = planning.records.find(WantedJobs((), None, "plan", None, None, None), None, _EARLIER_JOBS)
    return page(
        request, "weldments/starts.html", status=status, form=form, drafts=_edits(planning).recent(limit=_RECENT), jobs=jobs,
        examples=examples(), lines=lines or {}, units=UNITS, suffixes=SUFFIXES,
        stored=planning.records.database.read(lambda connection: find_weldments(connection, limit=_STORED)),
    )  # fmt: skip


@router.post("/weldments")
def start_draft(request: Request, planning: PlanningHere, form: FormHere) -> Response:
    """Begin a draft: empty, from an example, from an earlier job, or from a document."""
    edits, asked = _edits(planning), asked_of(request)
    begin = form.choice("from", ("blank", "example", "job", "text", "file", "stored"), "blank")
    try:
        form.finish()
        by_job = begin == "job"
        made = _stored(planning, form) if begin == "stored" else None
        draft = edits.start_from_job(form.raw("job"), asked) if by_job else edits.start(made or _start(begin, form), asked)
    except InvalidDocument as bad:
        text = form.raw("text")
        lines = {fault.pointer: line for fault in bad.faults if begin == "text" and (line := line_of(text, fault.pointer))}
        form.faults[:] = bad.faults
        return _starts(request, planning, form, 422, lines)
    return lead_to(request, f"/weldments/{draft.id}")


def _stored(planning: PlanningService, form: Form) -> Edited:
    """Return the draft of the newest version of a stored weldment; raises InvalidDocument if there is none of that id."""
    id = form.text("stored", "the id of a stored weldment", needed=True)
    form.finish()
    try:
        found = weldments_found(planning.records.database, [WeldmentReference("/stored", id, None)])
    except InvalidDocument as bad:
        raise InvalidDocument(at_fields(bad, {"/stored": "stored"})) from None
    return from_stored(found[id, None])


def _start(begin: str, form: Form) -> Edited:
    if begin == "file":
        return started_from_file(form)
    if begin == "blank":
        return blank(form.raw("units", "mm"))
    if begin == "example":
        return example(form.raw("example"))
    return pasted(form.raw("text"), as_it_is=form.raw("as_it_is") == "yes")


@router.get("/weldments/{draft}")
def show_draft(
    request: Request,
    planning: PlanningHere,
    draft: str,
    chosen: Picked = "",
    shape: Picked = "",
) -> Response:
    """Show a draft with one of its parts, welds or seams picked."""
    found = _edits(planning).drafts.get(draft)
    first = Chosen() if chosen or not drafted_weldment(found.document).entries("parts") else Chosen("part", 0)
    picked = chosen_of(chosen) if chosen else first
    sent = Sent("new", Form.of((("shape", shape),))) if shape else None
    return workplace(request, found, picked, sent=sent)


@router.post("/weldments/{draft}")
def edit_draft(request: Request, planning: PlanningHere, draft: str, form: FormHere) -> Response:
    """Take one step, undo one, or do one again; what cannot be read stays in its field with what is wrong with it."""
    edits, asked, do = _edits(planning), asked_of(request), form.raw("do")
    chosen, based_on = chosen_of(form.raw("chosen")), form.whole("step", 1, 10**9)
    fields = {name: form.raw(name) for name in form.names()}
    try:
        form.finish()
        assert based_on is not None
        if do in ("undo", "redo"):
            before = edits.drafts.get(draft)
            after = (edits.drafts.undo if do == "undo" else edits.drafts.redo)(draft, based_on, asked)
            words = (before.undoes if do == "undo" else before.redoes) or ""
            return _shown(request, after, chosen, f"{do} of: {words}" if words else "")
        after, edited = edits.edit(draft, based_on, edit_asked(do, chosen, fields), asked)
    except Stale as stale:
        return _conflict(request, edits.drafts.get(draft), chosen, stale)
    except InvalidDocument as bad:
        form.faults[:] = bad.faults
        refused = Sent(do, form, refused=True)
        return workplace(request, edits.drafts.get(draft), chosen, sent=refused, status=422)
    picked = chosen_in(edited.chosen) if edited is not None else None
    return _shown(request, after, picked or chosen, edited.words if edited is not None else "", Sent(do, form))


def _shown(request: Request, draft: Draft, chosen: Chosen, said: str, sent: Sent | None = None) -> Response:
    """Return the screen after a step; a browser without the page's script is led to it."""
    address = address_of(draft.id, chosen)
    if is_fragment(request):
        return workplace(request, draft, chosen, said=said, sent=sent, headers={"HX-Replace-Url": address})
    return lead_to(request, address)


def _conflict(request: Request, draft: Draft, chosen: Chosen, stale: Stale) -> Response:
    last = f": {draft.undoes}" if draft.undoes else ""
    told = (
        f"Somebody else changed this draft meanwhile (step {stale.actual}{last}). Shown is how it is now; what you did last was "
        "not done: do it again if it still makes sense."
    )
    return workplace(request, draft, chosen, conflict=told, status=409)


@router.post("/weldments/{draft}/remove")
def remove_draft(request: Request, planning: PlanningHere, draft: str) -> Response:
    """Remove a draft with all its steps."""
    _edits(planning).drafts.remove(draft, asked_of(request))
    return lead_to(request, "/weldments")


@router.get("/weldments/{draft}/space")
def read_draft_space(planning: PlanningHere, draft: str, step: Annotated[int, Query(ge=1, le=10**9)] = 1) -> Response:
    """Return a draft in space, as a GLB file; the step in the address is the page's own, so that a viewer fetches each anew."""
    drafted = drafted_weldment(_edits(planning).drafts.get(draft).document)
    written = weldment_glb(shown_weldment(drafted, (), Chosen(), (), drafted.units))
    if written is None:
        raise HttpProblem("not-found", "nothing of this weldment can be drawn yet")
    return Response(written, media_type="model/gltf-binary", headers={"Cache-Control": "no-store"})


@router.get("/weldments/{draft}/document")
def read_draft_document(planning: PlanningHere, draft: str) -> Response:
    """Return a draft's weldment as a document to keep."""
    found = _edits(planning).drafts.get(draft)
    text = json.dumps(found.document.get("weldment"), ensure_ascii=False, indent=1)
    name = "".join(c if c.isascii() and c.isalnum() else "-" for c in found.summary.name).strip("-")[:60] or "weldment"
    headers = {**HEADERS, "Content-Disposition": f'attachment; filename="{name}.json"'}
    return Response(text + "\n", media_type="application/json", headers=headers)
