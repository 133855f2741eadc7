"""The use cases of planning over HTTP: take a request in, re-plan, ask why, cancel, re-check a plan, advise what to buy."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.store.errors import NotFound
from service.documents import read_plan, sound_plan_document
from service.documents.jobs.replan import replanned
from service.documents.jobs.why import read_why
from service.documents.plan_document import alternative_document
from service.documents.request import no_such_alternative
from service.errors import NoPlanToAsk, NoPlanToKeep
from service.planning_jobs.job_runner import JobRunner
from service.planning_jobs.kept_alternatives import named_alternative
from service.planning_jobs.side_tasks import SideTasks
from service.records.job import Job
from service.records.jobs import JobRecords, as_text, now
from service.records.writes import Asked
from service.settings import Settings
from service.stockroom.advice import ExpectedJob, JobsAdvice, tasks_of
from service.stockroom.kits import PlannedKit
from service.stockroom.stock_source import StockSource
from solver.checks import Report
from solver.request import Request
from solver.why import WhyAnswer


@dataclass(frozen=True, slots=True)
class SubmissionKey:
    """An idempotency key, the fingerprint of what was asked under it, and who asks."""

    key: str | None
    fingerprint: str
    asked: Asked | None = None


@dataclass(frozen=True, slots=True)
class PlanningService:
    """Everything planning needs, wired once; `taken` is called with the id of every job that is taken in."""

    settings: Settings
    stock: StockSource
    records: JobRecords
    runner: JobRunner
    side_tasks: SideTasks
    taken: Callable[[str], object] = lambda id: None

    def submit(self, document: Any, size: int, key: SubmissionKey) -> Job:
        """Take a request in; the same request under the same key gives the job it gave before.

        Parameters
        ----------
        document : dict, bytes or any JSON value
            The request document; text with faults as it came, so that they are named beside all others.
        size : int
            Its size in bytes: a large one is read in a process of its own.

        Raises
        ------
        InvalidDocument
            With every fault.
        KeyReused, QueueFull, TooManyJobs, TaskOverdue, TaskDied
        """
        document = self._kept_in_full(document)
        request, warnings = self.side_tasks.read(document, self.stock.snapshot(), size)
        refuse(self._time_limit_faults(request.time_limit_s, "solves"))
        asked_by = None if key.asked is None else key.asked.key
        job = Job(secrets.token_hex(8), "queued", now(), as_text(document), warnings, asked_by=asked_by)
        most = self.settings
        saved = self.records.add(job, key.key, key.fingerprint, most.queue, key.asked, most.jobs_per_key)
        if saved.id == job.id:
            self.taken(job.id)
            self.runner.submit(job, request)
        return saved

    def replan(self, job: Job, changes: Any, key: SubmissionKey) -> Job:
        """Take the request of a finished plan in again, keeping one alternative, with what is missing left out.

        Raises
        ------
        NoPlanToKeep
            The job has no plan.
        InvalidDocument, KeyReused, QueueFull, TooManyJobs, TaskOverdue, TaskDied
            As `submit`.
        """
        if job.plan is None:
            raise NoPlanToKeep(job.state)
        document = replanned(json.loads(job.request), read_plan(dict(job.plan)), changes)
        return self.submit(document, len(job.request), key)

    def why(self, job: Job, body: Any) -> WhyAnswer:
        """Say what a choice forced into a finished plan's fixture costs more, worked out in a process of its own.

        The stock is that of this moment.

        Raises
        ------
        NoPlanToAsk
            The job has no plan.
        InvalidDocument
            With every fault of the body.
        TooManyQuestions, TaskOverdue, TaskDied
        """
        if job.plan is None:
            raise NoPlanToAsk(job.state)
        whole = self.stock.snapshot()
        request, _ = self.side_tasks.read(json.loads(job.request), whole, len(job.request))
        question, seconds = read_why(body, read_plan(dict(job.plan)), request, whole)
        refuse(self._time_limit_faults(seconds, "works on one question"))
        forced = question.forced(request, seconds)
        return WhyAnswer(question, self.side_tasks.plan(forced, self.stock.snapshot(request.needed)))

    def job(self, id: str) -> Job:
        """Return a job; raises NotFound."""
        return _found(self.records.get(id), id)

    def cancel(self, id: str, asked: Asked | None = None) -> Job:
        """Ask a job to stop and keep its best plan so far; a closed job stays as it is; raises NotFound."""
        return _found(self.runner.cancel(id, asked), id)

    def kit(self, id: str) -> PlannedKit | None:
        """Return the kits of a finished plan, None if there is no such plan."""
        job = self.records.get(id)
        return None if job is None or job.plan is None else PlannedKit(id, read_plan(dict(job.plan)), json.loads(job.request))

    def check(self, request: Mapping[str, Any], plan: Mapping[str, Any], size: int) -> Report:
        """Re-check a plan against its request and the stock, in a process of its own.

        Raises
        ------
        InvalidDocument
            With every fault of both documents, below `/request` and `/plan`.
        TaskOverdue, TaskDied
        """
        faults: list[Fault] = []
        document: dict[str, Any] = {}
        asked: Request | None = None
        try:
            asked, _ = self.side_tasks.read(self._kept_in_full(request), self.stock.snapshot(), size)
        except InvalidDocument as bad:
            faults += [fault.under("/request") for fault in bad.faults]
        try:
            document = sound_plan_document(dict(plan))
        except InvalidDocument as bad:
            faults += [fault.under("/plan") for fault in bad.faults]
        if faults or asked is None:
            raise InvalidDocument(faults)
        return self.side_tasks.check(asked, self.stock.snapshot(asked.needed), document)

    def advise(self, jobs: Sequence[ExpectedJob], budget_cents: int, seconds: float) -> JobsAdvice:
        """Say what to buy for these jobs within a budget, worked out in a process of its own.

        Raises
        ------
        InvalidDocument
            With every fault of every request, below `/requests`.
        TaskOverdue, TaskDied
        """
        refuse(self._time_limit_faults(seconds, "works on one question"))
        return self.side_tasks.advise(tasks_of(jobs, self.stock), budget_cents, seconds)

    def _time_limit_faults(self, seconds: float, what: str) -> list[Fault]:
        longest = self.settings.time_limit
        if seconds <= longest:
            return []
        wrong = f"{seconds:g} s is longer than this server {what}"
        return [Fault("/time_limit_s", wrong, f"at most {longest:g} s")]

    def _kept_in_full(self, document: Any) -> Any:
        """Put the alternative in the place of a `keep` that names it by plan and rank."""
        keep = document.get("keep") if isinstance(document, dict) else None
        if not isinstance(keep, dict) or not set(keep) <= {"plan", "rank"}:
            return document
        plan, rank = keep.get("plan"), keep.get("rank")
        found = named_alternative(self.records, plan, rank)
        if found is None:
            raise InvalidDocument([no_such_alternative(plan, rank)])
        return {**document, "keep": alternative_document(found)}


def _found(job: Job | None, id: str) -> Job:
    if job is None:
        raise NotFound("plan", repr(id)[:180])
    return job
