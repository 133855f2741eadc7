"""Stored weldments: kept in versions, drawn, named by requests."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory.store import Connection
from service.documents.stored_weldments.answers import (
    StoredWeldmentDocument,
    StoredWeldmentPageDocument,
    WeldmentVersionPageDocument,
)
from service.documents.stored_weldments.stored_version import VERSIONS
from service.documents.weldment import WeldmentDocument
from service.drawings.file_format import installed
from service.drawings.sheets.body_orders import WeldmentOrder
from service.drawings.weldment.weldment_formats import WELDMENT_FORMATS
from service.http.dependencies import ContextHere, PlanningHere, StoreHere
from service.http.guard.body import JSON
from service.http.guard.queries import whole_number
from service.http.pages import Page
from service.http.parameters import Cursor, Key, Limit, Match, Text
from service.http.problems import HttpProblem
from service.http.reference.routes import accepts, answers, parameter
from service.http.replies import Reply, answered
from service.http.sheets.drawn_reply import drawn_answers, drawn_reply, not_acceptable
from service.http.sheets.negotiation import preferred_to
from service.http.writes import Write, write_of, write_once
from service.planning_jobs.planning_service import PlanningService
from service.records import stored_weldments as kept
from service.records.stored_weldment import SourceFile, WeldmentVersion
from service.stored_weldments.changes import store_new, store_under
from service.stored_weldments.documents import version_head
from service.stored_weldments.lookup import full_document
from service.stored_weldments.reading import ReadWeldment, read_to_store_aside, refuse_unread

router = APIRouter(prefix="/v1/weldments", tags=["weldments"])
_VERSION = "send If-Match with the ETag the change is based on, or * to overwrite whatever there is: that id is stored already"
_DRAWN = drawn_answers(WELDMENT_FORMATS, "the document, or the drawing")
_SHOWN = {**_DRAWN, 200: {**_DRAWN[200], "model": WeldmentDocument}}
_ACCEPT = [parameter("header", "Accept", "a media type; absent = the document, not a drawing", ())]
WeldmentId = Annotated[str, Path(max_length=200, description="the stored weldment's id")]
OfVersion = Annotated[
    Annotated[int, *whole_number(VERSIONS)] | None, Query(description="which of its versions; absent: the newest")
]
GivenId = Annotated[
    str | None, Query(min_length=1, max_length=64, description="what it is to be named by; absent: made of its name")
]
Who = Annotated[
    str | None,
    Query(min_length=1, max_length=200, description="person or system that signs for it; absent = the name of the API key"),
]
Why = Annotated[str, Query(max_length=1000, description="the reason")]
Source = Annotated[str | None, Query(min_length=1, max_length=200, description="name of the file it was read from")]
SourceKind = Annotated[str, Query(max_length=200, description="what sort of file that is, such as step")]
SourceSha256 = Annotated[str, Query(max_length=64, description="SHA-256 of that file's bytes, in hexadecimal")]


@router.get("", summary="List stored weldments", responses=answers(200, model=StoredWeldmentPageDocument))
async def list_weldments(store: StoreHere, text: Text = None, cursor: Cursor = None, limit: Limit = 100) -> Response:
    """Return a page of stored weldments by id, each as its newest version has it."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        found = store.read(lambda connection: kept.find_weldments(connection, text, page.after, page.fetched))
        return Reply(page.document("weldments", found, lambda each: each.weldment, lambda each: version_head(each).plain()))

    return await answered(act)


@router.post(
    "",
    summary="Store a weldment",
    status_code=201,
    responses=answers(201, model=StoredWeldmentDocument, headers=("ETag", "Location"), problems=("exists",)),
    openapi_extra=accepts("weldment"),
)
async def store_weldment(
    request: Request,
    store: StoreHere,
    planning: PlanningHere,
    id: GivenId = None,
    who: Who = None,
    why: Why = "",
    source: Source = None,
    source_kind: SourceKind = "",
    source_sha256: SourceSha256 = "",
    key: Key = None,
) -> Response:
    """Keep a weldment that is not there yet: its version 1."""
    write = await write_of(request)
    read = await _read(planning, write)

    def act() -> Reply:
        note, file = write.signed(who, why), _file(source, source_kind, source_sha256)
        return write_once(store, write, lambda c: _stored(store_new(c, id, refuse_unread(read), note, file), 201))

    return await answered(act)


@router.get("/{id}", summary="A stored weldment", responses=_SHOWN, openapi_extra={"parameters": _ACCEPT})
async def read_stored_weldment(
    request: Request, id: WeldmentId, store: StoreHere, here: ContextHere, version: OfVersion = None
) -> Response:  # fmt: skip
    """Return the document of a stored weldment, its newest version if none is named, with the name of what it is in `stored`.

    If `Accept` likes a drawing better: three views (SVG; DXF with plates flat), solid bodies (STEP), or for viewers (GLB).
    """
    accept = ", ".join(request.headers.getlist("accept"))
    format = preferred_to(accept, installed(WELDMENT_FORMATS), JSON)
    if format is None and preferred_to(accept, WELDMENT_FORMATS, JSON) is not None:
        raise not_acceptable(accept, WELDMENT_FORMATS, JSON)

    def found() -> WeldmentVersion:
        return store.read(lambda connection: kept.weldment_version(connection, id, version))

    if format is None:
        return await answered(lambda: _document(found()))
    shown = await run_in_threadpool(found)
    return await drawn_reply(request, here, WeldmentOrder((shown.text,), format.name), f"{id} {shown.number}", format)


@router.put(
    "/{id}",
    summary="Store a version of a weldment",
    responses=answers(200, 201, model=StoredWeldmentDocument, headers=("ETag", "Location")),
    openapi_extra=accepts("weldment"),
)
async def change_stored_weldment(
    request: Request,
    id: WeldmentId,
    store: StoreHere,
    planning: PlanningHere,
    who: Who = None,
    why: Why = "",
    source: Source = None,
    source_kind: SourceKind = "",
    source_sha256: SourceSha256 = "",
    match: Match = None,
    key: Key = None,
) -> Response:
    """Make the next version of a stored weldment (200), or the first one of a new id (201), which needs no If-Match.

    A weldment that says what the newest version says makes none. Every plan keeps the version it was made for.
    """
    write = await write_of(request)
    if write.if_match is not None:
        write.versions()
    read = await _read(planning, write)

    def act() -> Reply:
        note, file = write.signed(who, why), _file(source, source_kind, source_sha256)

        def upon(expected: int | None) -> Reply:
            def action(connection: Connection) -> Reply:
                if expected is None and kept.kept_weldment(connection, id) is not None:
                    raise HttpProblem("match-required", _VERSION)
                done = store_under(connection, id, refuse_unread(read), note, expected, file)
                return _stored(done.version, 201 if done.made and done.version.number == 1 else 200)

            return write_once(store, write, action)

        return upon(None) if write.if_match is None else write.based_on(upon)

    return await answered(act)


@router.get("/{id}/versions", summary="Versions of a stored weldment", responses=answers(200, model=WeldmentVersionPageDocument))
async def list_weldment_versions(id: WeldmentId, store: StoreHere, cursor: Cursor = None, limit: Limit = 100) -> Response:
    """Return a page of a stored weldment's versions, newest first: who stored each, when, why and from which file."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        found = store.read(lambda c: kept.weldment_versions(c, id, page.number, page.fetched))
        return Reply(page.document("versions", found, lambda each: each.number, lambda each: version_head(each).plain()))

    return await answered(act)


async def _read(planning: PlanningService, write: Write) -> ReadWeldment:
    """Return the weldment of a body; a large one is read in a process beside the server; raises InvalidDocument."""
    return refuse_unread(await planning.side_tasks.read_by(read_to_store_aside, len(write.body), write.body))


def _file(name: str | None, kind: str, fingerprint: str) -> SourceFile | None:
    return None if name is None else SourceFile(name, kind, fingerprint)


def _document(version: WeldmentVersion) -> Reply:
    return Reply(full_document(version), 200, {"ETag": f'"{version.number}"', "Vary": "Accept"})


def _stored(version: WeldmentVersion, status: int) -> Reply:
    where = f"/v1/weldments/{quote(version.weldment, safe='')}" if status == 201 else None
    return Reply.of_version(version_head(version).plain(), version.number, status, where)
