"""The screen of a finished plan: its alternatives side by side."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import Response

from service.http.dependencies import Context
from service.page.comparing.answer_words import answer_words
from service.page.comparing.columns import columns
from service.page.comparing.planned_job import PlannedJob
from service.page.comparing.promised import promised_for
from service.page.comparing.replanning.before_after import before_after
from service.page.frame import Frame, page
from service.page.jobs.next_steps import next_steps
from service.records.job import Job


def comparison(request: Request, here: Context, job: Job) -> Response:
    """Show the alternatives of a job that has ended with a plan; raises NoPlanToDraw for one that has none."""
    planned = PlannedJob.read(here.planning, job)
    units = Frame.of(request).units(planned.drawn_in)
    stock = here.planning.stock.snapshot(planned.request.needed)
    shown = columns(planned, stock, units)
    return page(
        request,
        "comparing/compare.html",
        planned=planned,
        said=answer_words(planned),
        columns=shown,
        units=units,
        changed=before_after(planned, planned.plan.alternatives[0], stock, units),
        promised=promised_for(here.store, job.id),
        next=next_steps(job, here.planning),
    )
