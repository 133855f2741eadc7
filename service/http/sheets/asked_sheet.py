"""What a request for a sheet asks for: format and paper by its parameters and `Accept`, the alternative by its address."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import escaped, shown
from inventory.store.errors import NotFound
from service.documents.reading.fingerprint import request_fingerprint
from service.drawings.formats import Format
from service.drawings.sheets.sheet_order import SheetOrder, drawn_stock
from service.drawings.sheets.wanted_format import format_named, offered, paper_named
from service.drawings.subject import PAPERS, Identity, Paper
from service.errors import NoPlanToDraw
from service.http.problems import HttpProblem
from service.http.sheets.negotiation import chosen
from service.planning_jobs.planning_service import PlanningService
from service.records.job import Job
from service.records.jobs import as_text


@dataclass(frozen=True, slots=True)
class SheetForm:
    """The form a sheet is wanted in: its format, and the paper it is printed on."""

    format: Format
    paper: Paper


def sheet_form(parameters: Iterable[tuple[str, str]], accept: str) -> SheetForm:
    """Return the form that is asked for: by the parameter `format`, else by an `Accept`.

    Raises
    ------
    InvalidDocument
        With every fault of the parameters.
    Problem
        ``not-acceptable``, with the media types there are.
    """
    given: dict[str, str] = {}
    faults = []
    for name, value in parameters:
        if name not in ("format", "paper"):
            faults.append(
                Fault(f"/query/{escaped(shown(name)[1:-1])}", f"there is no parameter {shown(name)} here", "format, paper")
            )
        elif name in given:
            faults.append(Fault(f"/query/{name}", "is given twice", "once at most"))
        given[name] = value
    format, paper = None, PAPERS[0]
    try:
        paper = paper_named(given.get("paper", paper))
    except InvalidDocument as bad:
        faults += [fault.under("/query/paper") for fault in bad.faults]
    try:
        format = format_named(given["format"]) if "format" in given else None
    except InvalidDocument as bad:
        faults += [fault.under("/query/format") for fault in bad.faults]
    refuse(faults)
    return SheetForm(format or _accepted(accept), paper)


def _accepted(accept: str) -> Format:
    found = chosen(accept, offered())
    if found is None:
        there_is = ", ".join(each.media_type for each in offered().values())
        fault = Fault("/header/accept", f"{shown(accept)} names no format there is", f"one of {there_is}")
        raise HttpProblem("not-acceptable", "1 fault found", (fault,), headers={"Vary": "Accept"})
    return found


def sheet_order(planning: PlanningService, job: Job, rank: int, form: SheetForm, server: str) -> SheetOrder:
    """Return what is drawn for an alternative of a job's plan.

    Parameters
    ----------
    server : str
        The server's address as whoever asks has reached it, with a slash at its end.

    Raises
    ------
    NoPlanToDraw, NotFound, StockChanged
    """
    if job.plan is None:
        raise NoPlanToDraw(job.state)
    document = next((one for one in job.plan["alternatives"] if one["rank"] == rank), None)
    if document is None:
        ranks = ", ".join(str(one["rank"]) for one in job.plan["alternatives"])
        raise NotFound("alternative", f"of rank {rank} in plan {job.id}; its ranks: {ranks or 'none, there is no plan'}"[:300])
    finished = job.finished_at
    identity = Identity(
        plan=f"{server}v1/plans/{job.id}",
        request=request_fingerprint(json.loads(job.request)),
        rules_version=job.plan["rules_version"],
        stock_version=job.plan["stock_version"],
        made_on=None if finished is None else finished.astimezone(UTC).date(),
        rules_book=job.plan.get("rules_book", "default"),
    )
    stock = drawn_stock(document, planning.stock.snapshot())
    return SheetOrder(
        as_text(document), job.request, stock, form.format.name, identity, planning.settings.currency, form.paper
    )  # fmt: skip
