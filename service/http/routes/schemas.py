"""JSON Schemas of the documents, the list of problems, and the reference page, all from the package itself."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, JSONResponse

from service.documents import SCHEMAS, json_schema
from service.http.problems import KINDS, HttpProblem
from service.http.reference.page import written_page
from service.http.reference.routes import answers

router = APIRouter(tags=["reference"])


@router.get("/v1/schemas", summary="Which documents there are")
async def list_schemas() -> dict[str, list[str]]:
    """Return the names of the documents that have a schema."""
    return {"schemas": list(SCHEMAS)}


@router.get("/v1/schemas/{name}", summary="JSON Schema of a document", responses=answers(404))
async def read_schema(name: str) -> JSONResponse:
    """Return the schema of one document, generated from the models that read it."""
    if name not in SCHEMAS:
        raise HttpProblem("not-found", f"there is no document {name!r}; accepted: {', '.join(SCHEMAS)}"[:300])
    return JSONResponse(json_schema(name), media_type="application/schema+json")


@router.get("/v1/problems/{name}", summary="What a kind of problem means", responses=answers(404))
async def read_problem(name: str) -> dict[str, Any]:
    """Return the entry behind a problem's `type`."""
    if name not in KINDS:
        raise HttpProblem("not-found", f"there is no kind of problem {name!r}; accepted: {', '.join(KINDS)}"[:500])
    kind = KINDS[name]
    return {"type": f"/v1/problems/{kind.name}", "title": kind.title, "status": kind.status}


@router.get("/docs", include_in_schema=False)
async def read_reference(request: Request) -> HTMLResponse:
    """Return the reference of this interface as a page that loads nothing from anywhere."""
    policy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    return HTMLResponse(written_page(request.app.openapi()), headers={"Content-Security-Policy": policy})
