"""The small picture of a job's weldment, for lists and headings."""

from __future__ import annotations

import json
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from fastapi.responses import Response

from inventory.store.errors import NotFound
from service.documents import read_weldment
from service.drawings.paper.style import STYLE, STYLE_BY_NIGHT
from service.drawings.paper.svg import as_svg
from service.drawings.weldment.small_picture import small_picture
from service.http.dependencies import PlanningHere

router = APIRouter(include_in_schema=False)
_HEADERS = {
    "Cache-Control": "private, max-age=31536000, immutable",  # a job's weldment never changes
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'",
}


@router.get("/jobs/{id}/picture.svg")
def show_picture(id: str, planning: PlanningHere, by: Annotated[Literal["day", "night"], Query()] = "day") -> Response:
    """Answer with a job's weldment from above, in the colours of the day or of the night."""
    request = planning.records.request_of(id)
    if request is None:
        raise NotFound("plan", repr(id)[:180])
    weldment = read_weldment(json.loads(request)["weldment"])
    picture = small_picture(weldment.name, weldment.parts, weldment.welds)
    assert picture is not None, "a weldment has at least one part"
    drawn = as_svg(picture, STYLE if by == "day" else STYLE_BY_NIGHT)
    return Response(drawn, media_type="image/svg+xml", headers=_HEADERS)
