"""The use cases of planning over HTTP: take a request in, re-plan, ask why, cancel, re-check a plan, advise what to buy."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from anyio.to_thread import run_sync

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.stock import StockSnapshot
from inventory.store.errors import NotFound
from service.documents import read_plan, sound_plan_document
from service.documents.jobs.replan import held_days, replanned, with_held
from service.documents.jobs.why import read_why
from service.documents.plan_document import alternative_document
from service.documents.request import no_such_alternative
from service.documents.rule_books.known_books import as_planned, references_in
from service.documents.stored_weldments.stored_version import in_full, weldment_as_planned, weldments_named
from service.documents.week.question import read_week
from service.errors import MalformedText, NoPlanToAsk, NoPlanToKeep
from service.planning_jobs.content import content_of
from service.planning_jobs.job_news import JobNews
from service.planning_jobs.job_runner import JobRunner
from service.planning_jobs.kept_alternatives import finished_kit, named_alternative
from service.planning_jobs.reading import Accepted
from service.planning_jobs.side_tasks import SideTasks
from service.records.database import now
from service.records.job import PRIORITIES, Job, JobKind, Priority
from service.records.jobs import JobRecords
from service.records.writes import Asked
from service.rule_books.reading import also, known_books
from service.settings import Settings
from service.stockroom.kits import PlannedKit
from service.stockroom.stock_source import StockSource
from service.stockroom.weeks import plans_named
from service.stored_weldments.lookup import weldments_found
from solver.checks import Report
from solver.request import Request
from solver.why import WhyAnswer


@dataclass(frozen=True, slots=True)
class SubmissionKey:
    """An idempotency key, the fingerprint of what was asked under it, and who asks."""

    key: str | None
    fingerprint: str
    asked: Asked | None = None

    @property
    def asked_by(self) -> str | None:
        """Id of the API key it is asked with."""
        return None if self.asked is None else self.asked.key


@dataclass(frozen=True, slots=True)
class PlanningService:
    """Everything planning needs, wired once; `taken` is called with the id of every job that is taken in."""

    settings: Settings
    stock: StockSource
    records: JobRecords
    runner: JobRunner
    side_tasks: SideTasks
    news: JobNews
    taken: Callable[[str], object] = lambda id: None

    async def submit(
        self, document: Any, size: int, key: SubmissionKey, *, priority: Priority = "interactive", fresh: bool = False
    ) -> Job:
        """Take a request in; the same request under the same key gives the job it gave before.

        One that was solved before, with the same stock, rules, seed and release, is answered at once by that answer.

        Parameters
        ----------
        document : bytes, dict
            The request document as it came, or plain values.
        size : int
            Its size in bytes: a large one is read in a process of its own.
        fresh : bool
            Whether it is to be solved even if it was solved before.

        Raises
        ------
        MalformedText
            It is no JSON document.
        InvalidDocument
            With every fault.
        KeyReused, QueueFull, TooManyJobs, TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        whole = await run_sync(self.stock.snapshot)
        accepted = await self._accepted(document, whole, size)
        _refuse_faults(accepted)
        refuse(self._time_limit_faults(accepted.seconds, "solves"))
        job = Job(
            secrets.token_hex(8),
            "queued",
            now(),
            accepted.text,
            accepted.warnings,
            priority=PRIORITIES[priority],
            name=accepted.name,
            asked_by=key.asked_by,
            weldment=None if accepted.stored is None else accepted.stored.id,
            weldment_version=None if accepted.stored is None else accepted.stored.version,
        )
        return await run_sync(self._saved, job if fresh else await run_sync(self._answered, job, whole.version), key)

    async def _accepted(self, document: Any, stock: StockSnapshot, size: int) -> Accepted:
        """Read a request; what it names - rule book, stored weldment, alternative - is looked up, then it is read with that."""
        books = await run_sync(known_books, self.records.database)
        accepted = await self.side_tasks.accept(document, stock, size, books)
        if not accepted.waits:
            return accepted
        kept, weldments = None, await run_sync(weldments_found, self.records.database, accepted.weldments)
        if accepted.books:
            books = await run_sync(also, self.records.database, books, accepted.books)
        if accepted.keeps is not None:
            named = accepted.keeps
            found = await run_sync(named_alternative, self.records, named.plan, named.rank)
            if found is None:
                raise InvalidDocument([no_such_alternative(named.plan, named.rank)])
            kept = alternative_document(found)
        return await self.side_tasks.accept(document, stock, size, books, kept, weldments)

    async def replan(self, job: Job, changes: Any, key: SubmissionKey) -> Job:
        """Take the request of a finished plan in again, keeping one alternative, with what is missing left out.

        Pieces that are reserved for the plan are free for it. Where none ever were, as for the re-plan of a plan whose pieces are
        on the table, those count that its own request had.

        Raises
        ------
        NoPlanToKeep
            The job has no plan.
        InvalidDocument, KeyReused, QueueFull, TooManyJobs, TooManyDocuments, TaskOverdue, TaskDied, Stopping
            As `submit`.
        """
        plan = job.plan
        if plan is None:
            raise NoPlanToKeep(job.state)
        changed = await run_sync(lambda: replanned(json.loads(job.request), read_plan(dict(plan)), changes))
        document = await run_sync(lambda: with_held(changed, self.stock.held_by(job.id, held_days(changed))))
        return await self.submit(document, len(job.request), key)

    async def why(self, job: Job, body: Any) -> WhyAnswer:
        """Say what a choice forced into a finished plan's fixture costs more, worked out in a process of its own.

        The stock is that of this moment.

        Raises
        ------
        NoPlanToAsk
            The job has no plan.
        InvalidDocument
            With every fault of the body.
        TooManyQuestions, TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        plan = job.plan
        if plan is None:
            raise NoPlanToAsk(job.state)
        whole = await run_sync(self.stock.snapshot)
        request, _ = await self.side_tasks.read(json.loads(job.request), whole, len(job.request))
        question, seconds = await run_sync(lambda: read_why(body, read_plan(dict(plan)), request, whole))
        refuse(self._time_limit_faults(seconds, "works on one question"))
        stock = await run_sync(self.stock.snapshot, request.needed)
        return WhyAnswer(question, await self.side_tasks.plan(question.forced(request, seconds), stock))

    def job(self, id: str, kind: JobKind = "plan") -> Job:
        """Return a job of a kind; raises NotFound."""
        return _found(self.records.get(id), id, kind)

    def cancel(self, id: str, kind: JobKind = "plan", asked: Asked | None = None) -> Job:
        """Ask a job to stop and keep its best plan so far; a closed job stays as it is; raises NotFound."""
        self.job(id, kind)
        job = _found(self.records.ask_cancel(id, asked), id, kind)
        self.runner.cancel(id)
        self.news.changed(id)
        return job

    def kit(self, id: str) -> PlannedKit | None:
        """Return the kits of a finished plan, None if there is no such plan."""
        return finished_kit(self.records, id)

    async def check(self, request: Mapping[str, Any], plan: Mapping[str, Any], size: int) -> Report:
        """Re-check a plan against its request and the stock, in a process of its own.

        Raises
        ------
        InvalidDocument
            With every fault of both documents, below `/request` and `/plan`.
        TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        faults: list[Fault] = []
        document: dict[str, Any] = {}
        asked: Request | None = None
        whole = await run_sync(self.stock.snapshot)
        try:
            asked, _ = await self._read_as_planned(await run_sync(self._kept_in_full, request), plan, whole, size)
        except InvalidDocument as bad:
            faults += [fault.under("/request") for fault in bad.faults]
        try:
            document = await run_sync(sound_plan_document, dict(plan))
        except InvalidDocument as bad:
            faults += [fault.under("/plan") for fault in bad.faults]
        if faults or asked is None:
            raise InvalidDocument(faults)
        return await self.side_tasks.check(asked, await run_sync(self.stock.snapshot, asked.needed), document)

    async def _read_as_planned(
        self, request: Any, plan: Mapping[str, Any], stock: StockSnapshot, size: int
    ) -> tuple[Request, tuple[str, ...]]:  # fmt: skip
        """Read a request with the rule book that its plan names, where it names none itself."""
        document = weldment_as_planned(as_planned(request, plan), plan)
        document = in_full(document, await run_sync(weldments_found, self.records.database, weldments_named(document)))
        books = await run_sync(known_books, self.records.database, references_in([document]))
        return await self.side_tasks.read(document, stock, size, books)

    async def advise(self, raw: bytes, key: SubmissionKey, *, priority: Priority = "interactive") -> Job:
        """Take in the question what to buy for some jobs within a budget; it is a job like that of a plan.

        Raises
        ------
        InvalidDocument
            With every fault of the body, and of every request below `/requests`.
        KeyReused, QueueFull, TooManyJobs, TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        whole, books = await run_sync(self.stock.snapshot), await run_sync(known_books, self.records.database)
        accepted = await self.side_tasks.accept_advice(raw, whole, books)
        weldments = await run_sync(weldments_found, self.records.database, accepted.weldments)
        if accepted.waits:
            accepted = await self.side_tasks.accept_advice(raw, whole, books, weldments)
        if accepted.books:
            books = await run_sync(also, self.records.database, books, accepted.books)
            accepted = await self.side_tasks.accept_advice(raw, whole, books, weldments)
        if accepted.malformed:
            raise MalformedText(accepted.faults)
        refuse([*accepted.faults, *self._time_limit_faults(accepted.seconds, "works on one question")])
        return await self._queued("advice", accepted, priority, key)

    async def plan_week(self, raw: bytes, key: SubmissionKey, *, priority: Priority = "interactive") -> Job:
        """Take in a week: jobs that share tables and pieces; it is a job like that of a plan.

        Raises
        ------
        InvalidDocument
            With every fault of the body, of every request below `/jobs`, and plans that are not there.
        KeyReused, QueueFull, TooManyJobs, TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        kits, books = await run_sync(self._kits_named, raw), await run_sync(known_books, self.records.database)
        whole = await run_sync(self.stock.snapshot)
        accepted = await self.side_tasks.accept_week(raw, whole, kits, books)
        weldments = await run_sync(weldments_found, self.records.database, accepted.weldments)
        if accepted.waits:
            accepted = await self.side_tasks.accept_week(raw, whole, kits, books, weldments)
        if accepted.books:
            books = await run_sync(also, self.records.database, books, accepted.books)
            accepted = await self.side_tasks.accept_week(raw, whole, kits, books, weldments)
        refuse([*accepted.faults, *self._time_limit_faults(accepted.seconds, "plans a week, its requests included")])
        return await self._queued("week", accepted, priority, key)

    async def _queued(self, kind: JobKind, accepted: Accepted, priority: Priority, key: SubmissionKey) -> Job:
        """Take in what was accepted as a job of its kind."""
        id, urgency = secrets.token_hex(8), PRIORITIES[priority]
        job = Job(
            id, "queued", now(), accepted.text, kind=kind, priority=urgency, name=accepted.name, asked_by=key.asked_by
        )  # fmt: skip
        return await run_sync(self._saved, job, key)

    def _kits_named(self, raw: bytes) -> dict[str, PlannedKit]:
        """Return the finished plans that a week names; none of one that cannot be read, whose faults are told later."""
        try:
            named = plans_named(read_week(raw))
        except InvalidDocument:
            return {}
        return {id: kit for id in named if (kit := self.kit(id)) is not None}

    def _answered(self, job: Job, stock_version: int) -> Job:
        """Return the job with the answer of one that was solved before for the same content, or as it is."""
        content = content_of(json.loads(job.request), stock_version, date.today())
        found = self.records.answered(content)
        if found is None:
            return job
        at, came_from = job.created_at, found.id
        return replace(
            job, state="done", started_at=at, finished_at=at, plan=found.plan, progress=found.progress, answered_from=came_from
        )

    def _saved(self, job: Job, key: SubmissionKey) -> Job:
        most = self.settings
        saved = self.records.add(job, key.key, key.fingerprint, most.queue, key.asked, most.jobs_per_key)
        if saved.id == job.id and saved.open:
            self.taken(job.id)
            self.runner.submit(saved)
        return saved

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


def _found(job: Job | None, id: str, kind: JobKind) -> Job:
    if job is None or job.kind != kind:
        raise NotFound(kind, repr(id)[:180])
    return job


def _refuse_faults(accepted: Accepted) -> None:
    if accepted.malformed:
        raise MalformedText(accepted.faults)
    refuse(accepted.faults)
