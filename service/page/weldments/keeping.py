"""A draft's weldment kept as a stored one: the next version of what it was started from, or a new one."""

from __future__ import annotations

import json
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import Response

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from inventory.store import Connection
from inventory.store.errors import AlreadyThere, NotFound, Stale
from service.http.dependencies import PlanningHere, StoreHere
from service.http.replies import Reply
from service.http.writes import write_once
from service.page.forms import Form, FormHere
from service.page.frame import page
from service.page.store.signing import done, signed
from service.page.writes import at_fields, write_of_form
from service.records.draft import Draft
from service.stored_weldments.changes import store_under
from service.stored_weldments.reading import read_to_store
from service.weldments.draft_edits import DraftEdits
from service.weldments.edited import Edited
from service.weldments.origins import Origin, origin_of, with_origin
from solver.weldment import StoredVersion

router = APIRouter(include_in_schema=False)
_REFUSED = (InvalidDocument, AlreadyThere, NotFound, Stale)
_AT_FIELDS = {f"/{name}": name for name in ("id", "who", "why")}


@router.get("/weldments/{draft}/store")
def show_keeping(request: Request, planning: PlanningHere, store: StoreHere, draft: str) -> Response:
    """Show under which id a draft's weldment would be stored."""
    return _screen(request, DraftEdits.over(planning.records).drafts.get(draft), Form({}))


@router.post("/weldments/{draft}/store")
def store_draft(request: Request, planning: PlanningHere, store: StoreHere, draft: str, form: FormHere) -> Response:
    """Store a draft's weldment: under the id it comes from as its next version, under another one as a new one."""
    edits, write = DraftEdits.over(planning.records), write_of_form(request, form)
    found = edits.drafts.get(draft)
    origin, id = origin_of(found.document), form.text("id", "an id")
    before = origin.stored if origin.stored is not None and origin.stored.id == id else None
    try:
        note = signed(request, form, write)
        read = read_to_store(json.dumps(found.document.get("weldment")))

        def action(connection: Connection) -> Reply:
            made = store_under(connection, id, read, note, None if before is None else before.version, origin.file)
            stored = made.version.stored
            return Reply({"id": stored.id, "version": stored.version, "fingerprint": stored.fingerprint})

        reply = write_once(store, write, action)
    except _REFUSED as error:
        form.faults[:] = _faults(error, id)
        return _screen(request, found, form, 422 if isinstance(error, InvalidDocument) else 409)
    assert reply.document is not None
    kept = replace(origin, stored=StoredVersion(**reply.document))
    words = f"stored as {kept.stored.id}, version {kept.stored.version}" if kept.stored is not None else ""
    edits.edit(draft, found.step, lambda document: Edited(with_origin(document, kept), words), write.asked)
    return done(request, form, f"/weldments/{draft}")


def _faults(error: InvalidDocument | AlreadyThere | NotFound | Stale, id: str) -> list[Fault]:
    match error:
        case InvalidDocument():
            return at_fields(error, _AT_FIELDS)
        case AlreadyThere():
            return [Fault("/id", f"{shown(id)} is stored already", "another id, or a draft started from it")]
        case Stale():
            wrong = f"version {error.actual} of {shown(id)} was stored meanwhile"
            return [Fault("/id", wrong, f"another id, or a draft started from version {error.actual}")]
    return [Fault("/id", f"there is no stored weldment {shown(id)} any more", "another id")]


def _screen(request: Request, draft: Draft, form: Form, status: int = 200) -> Response:
    origin: Origin = origin_of(draft.document)
    return page(request, "weldments/keep.html", status=status, form=form, draft=draft, origin=origin)
