"""What the interface says of itself: schemas of documents, kinds of problems, the reference page."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from service.documents import SCHEMAS, json_schema
from service.documents.answers.server import ProblemKindDocument, ProblemKindsDocument, SchemaDocument, SchemaListDocument
from service.http.problems import BASE, HttpProblem
from service.http.reference.page import written_page
from service.http.reference.problem_kinds import KINDS, ProblemKind
from service.http.reference.problem_page import problem_page
from service.http.reference.routes import answers, parameter
from service.http.sheets.negotiation import prefers

router = APIRouter(tags=["reference"])
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
_HTML, _JSON, _SCHEMA = "text/html", "application/json", "application/schema+json"
_ACCEPT = {"parameters": [parameter("header", "Accept", "`text/html` for a page to read, JSON otherwise", ())]}


def _either(model: type[ProblemKindDocument | ProblemKindsDocument]) -> dict[int | str, dict[str, object]]:
    told = answers(200, model=model, headers=("Vary",))
    told[200]["content"] = {_HTML: {"schema": {"type": "string"}}}
    return told


@router.get("/v1/schemas", summary="Which documents there are", responses=answers(200, model=SchemaListDocument))
async def list_schemas() -> Response:
    """Return the names of the documents that have a schema."""
    return JSONResponse(SchemaListDocument(schemas=list(SCHEMAS)).plain())


@router.get(
    "/v1/schemas/{name}", summary="JSON Schema of a document", responses=answers(200, model=SchemaDocument, media=_SCHEMA)
)
async def read_schema(name: str) -> Response:
    """Return the schema of one document, generated from the models that read it."""
    if name not in SCHEMAS:
        raise HttpProblem("not-found", f"there is no document {name!r}; accepted: {', '.join(SCHEMAS)}"[:300])
    return JSONResponse(json_schema(name), media_type=_SCHEMA)


@router.get(
    "/v1/problems", summary="Which kinds of problems there are", responses=_either(ProblemKindsDocument), openapi_extra=_ACCEPT
)
async def list_problems(request: Request) -> Response:
    """Return every kind of problem: its status, what it means and what to do."""
    if _wants_page(request):
        return _page(*KINDS.values())
    return _plain(ProblemKindsDocument(problems=[_kind(each) for each in KINDS.values()]))


@router.get(
    "/v1/problems/{name}",
    summary="What a kind of problem means",
    responses=_either(ProblemKindDocument),
    openapi_extra=_ACCEPT,
)
async def read_problem(request: Request, name: str) -> Response:
    """Return the entry behind a problem's `type`: what it means and what to do."""
    if name not in KINDS:
        raise HttpProblem("not-found", f"there is no kind of problem {name!r}; accepted: {', '.join(KINDS)}"[:500])
    return _page(KINDS[name]) if _wants_page(request) else _plain(_kind(KINDS[name]))


@router.get("/docs", include_in_schema=False)
async def read_reference(request: Request) -> Response:
    """Return the reference of this interface as a page that loads nothing from anywhere."""
    return HTMLResponse(written_page(request.app.openapi()), headers={"Content-Security-Policy": _POLICY})


def _kind(kind: ProblemKind) -> ProblemKindDocument:
    return ProblemKindDocument(
        type=BASE + kind.name, title=kind.title, status=kind.status, meaning=kind.meaning, remedy=kind.remedy
    )


def _wants_page(request: Request) -> bool:
    return prefers(", ".join(request.headers.getlist("accept")), _HTML, _JSON)


def _plain(document: ProblemKindDocument | ProblemKindsDocument) -> Response:
    return JSONResponse(document.plain(), headers={"Vary": "Accept"})


def _page(*kinds: ProblemKind) -> Response:
    return HTMLResponse(problem_page(kinds), headers={"Content-Security-Policy": _POLICY, "Vary": "Accept"})
