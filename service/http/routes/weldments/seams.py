"""Seams: the beads that a weldment offers, and welds on those that are chosen."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from inventory.errors import InvalidDocument
from service.documents.seams.choosing import SeamsAnswer, SeamsBody, faults_or_seams
from service.documents.weldment import EXAMPLE
from service.http.dependencies import PlanningHere
from service.http.guard.body import opened, read_body
from service.http.jobs.client_presence import while_here
from service.http.reference.routes import answers, takes

router = APIRouter(prefix="/v1/weldments/seams", tags=["weldments"])
_ASKED = {"weldment": EXAMPLE, "choose": ["square_corners"], "sizes": {"leg": 4}, "in_fixture": "tack", "process": "135"}


@router.post(
    "",
    summary="Propose welds where parts touch",
    responses=answers(200, model=SeamsAnswer, problems=("worker-died",)),
    openapi_extra=takes(SeamsBody, _ASKED),
)
async def propose_seams(request: Request, planning: PlanningHere) -> Response:
    """Find every bead that a weldment's parts offer; weld those that are chosen. Nothing is kept.

    A weldment alone, or `{"weldment": ...}`, is answered with its seams document: proposals, sized by rules of thumb that are
    yours to set. With `choose`, or with that document under `seams` and `chosen` set in it, the answer is the weldment with new
    welds behind those it had. A seams document that was made for other parts is refused.
    """
    raw = await read_body(request, planning.settings)
    opened(raw)
    found = await while_here(request, planning.side_tasks.read_by(faults_or_seams, len(raw), raw))
    if found.document is None:
        raise InvalidDocument(found.faults)
    return JSONResponse(found.document)
