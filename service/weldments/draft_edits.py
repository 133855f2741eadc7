"""The use cases of drafts: started, looked at, edited step by step, undone and done again, removed."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from inventory.store.errors import NotFound
from service.records.draft import Draft, DraftEdit, DraftSummary
from service.records.drafts import DraftRecords
from service.records.jobs import JobRecords
from service.records.writes import Asked
from service.weldments.edited import Edited
from service.weldments.starts import earlier

Edit = Callable[[Mapping[str, Any]], Edited]
"""What an edit makes of a document; raises InvalidDocument if it cannot."""


@dataclass(frozen=True, slots=True)
class DraftEdits:
    """Drafts of requests, over the records of drafts and of jobs."""

    drafts: DraftRecords
    jobs: JobRecords

    @classmethod
    def over(cls, jobs: JobRecords) -> DraftEdits:
        """Return the use cases over the database that jobs are kept in."""
        return cls(DraftRecords(jobs.database), jobs)

    def start(self, made: Edited, asked: Asked) -> Draft:
        """Begin a draft with a document."""
        return self.drafts.make(made.document, made.words, asked)

    def start_from_job(self, id: str, asked: Asked) -> Draft:
        """Begin a draft with the request of an earlier job; raises NotFound."""
        job = self.jobs.get(id)
        if job is None or job.kind != "plan":
            raise NotFound("job", repr(id)[:180])
        name = job.name or "a weldment without a name"
        return self.start(Edited(earlier(json.loads(job.request)), f"started from the job of {name}"), asked)

    def edit(self, id: str, based_on: int, edit: Edit, asked: Asked) -> tuple[Draft, Edited | None]:
        """Take one step; an edit that changes nothing, or says nothing, takes none.

        Raises
        ------
        NotFound
        Stale
            Others changed the draft since the step it is based on.
        InvalidDocument
            What the edit was asked with cannot be read.
        """
        made: list[Edited] = []

        def change(before: Draft) -> DraftEdit | None:
            if before.step != based_on:  # refused by the records; the edit might not even make sense any more
                return DraftEdit(before.document, "", based_on)
            made[:] = [edit(before.document)]
            if made[0].document == before.document:
                return None
            return DraftEdit(made[0].document, made[0].words or "changed it", based_on)

        draft = self.drafts.change(id, change, asked)
        return draft, made[0] if made else None

    def recent(self, before: DraftSummary | None = None, limit: int = 20) -> list[DraftSummary]:
        """Return drafts, those changed last first."""
        return self.drafts.listed(before, limit)
