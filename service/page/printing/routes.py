"""What of one alternative can be printed and downloaded, and where its kit is reserved."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response

from inventory import limits
from service.drawings.paper.style import CAUTION
from service.drawings.sheets.wanted_format import offered
from service.drawings.subject import PAPERS, Paper
from service.http.dependencies import ContextHere
from service.http.guard.queries import whole_number
from service.page.comparing.columns import kit_of
from service.page.comparing.planned_job import PlannedJob
from service.page.comparing.promised import promised_for
from service.page.comparing.replanning.before_after import before_after
from service.page.forms import Form
from service.page.frame import Frame, page
from service.steps import cautions

router = APIRouter(include_in_schema=False)
_RANK = whole_number(limits.RANK)
Rank = Annotated[int, *_RANK, Path(description="which of the plan's alternatives")]
Printed = Annotated[Paper, Query()]


@router.get("/jobs/{id}/{rank}/print")
def show_print(request: Request, here: ContextHere, id: str, rank: Rank, paper: Printed = "a4") -> Response:
    """Show what there is to print and to download of one alternative."""
    planned = PlannedJob.of(here.planning, id)
    one = planned.alternative(rank)
    stock = here.planning.stock.snapshot(planned.request.needed)
    units = Frame.of(request).units(planned.drawn_in)
    planned.subject(one, stock, units)
    kit = kit_of(one, stock, planned.request)
    return page(
        request,
        "printing/print.html",
        planned=planned,
        one=one,
        form=Form({}),
        paper=paper,
        papers=PAPERS,
        formats=list(offered().values()),
        sheet=f"/v1/plans/{planned.job.id}/alternatives/{one.rank}/sheet",
        kit=kit,
        short=[row for row in kit if row.short],
        cautions=[*cautions(one), CAUTION],
        changed=before_after(planned, one, stock, units),
        promised=promised_for(here.store, planned.job.id),
    )
