"""The planning desk behind the HTTP interface: takes requests in, hands jobs out, re-plans, re-checks.

Routes call it and nothing else; what it cannot do it raises as a Problem.
"""

from __future__ import annotations

import hashlib
import json
import logging
import secrets
from dataclasses import dataclass
from typing import Any

from inventory.errors import Fault, InvalidDocument
from service.command_line.question import named_alternative
from service.documents import read_plan, sound_plan_document
from service.documents.jobs import read_check, replanned
from service.documents.plan_document import alternative_document
from service.documents.reading.text import read_text
from service.documents.request import no_such_alternative
from service.http.problems import Problem, invalid
from service.planning_jobs.job import Job
from service.planning_jobs.port import Jobs
from service.planning_jobs.records import JobRecords, KeyTaken, QueueFull, as_text, now
from service.planning_jobs.side_tasks import SideTasks
from service.settings import Settings
from service.stockroom.stock_source import StockSource
from solver.request import Request

log = logging.getLogger("holdwright")


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything a planning route needs, wired once."""

    settings: Settings
    stock: StockSource
    records: JobRecords
    jobs: Jobs
    clerks: SideTasks

    def submit(self, raw: bytes, key: str | None) -> Job:
        """Take a request in; the same body under the same key gives the job it gave before.

        Raises
        ------
        Problem
            ``malformed``, ``invalid``, ``key-reused``, ``busy``.
        """
        return self._take_in(_opened(raw), len(raw), key, hashlib.sha256(raw).hexdigest())

    def replan(self, id: str, raw: bytes, key: str | None) -> Job:
        """Take in the request of a finished plan again, keeping one alternative, with what is missing left out."""
        job = self.job(id)
        if job.plan is None:
            raise Problem("conflict", f"the job is {job.state} and has no plan to keep")
        body = _sound(raw) if raw.strip() else {}
        try:
            document = replanned(json.loads(job.request), read_plan(dict(job.plan)), body)
        except InvalidDocument as bad:
            raise invalid(bad.faults) from None
        return self._take_in(document, len(job.request), key, hashlib.sha256(id.encode() + b"\n" + raw).hexdigest())

    def job(self, id: str) -> Job:
        """Return a job; raises Problem ``not-found``."""
        job = self.records.get(id)
        if job is None:
            raise _no_job(id)
        return job

    def cancel(self, id: str) -> Job:
        """Ask a job to stop and keep its best plan so far; a closed job stays as it is."""
        job = self.jobs.cancel(id)
        if job is None:
            raise _no_job(id)
        return job

    def check(self, raw: bytes) -> dict[str, Any]:
        """Re-check a plan against its request and the stock, in a process of its own; return the report.

        Raises
        ------
        Problem
            ``malformed``, ``invalid``, ``busy`` if it takes too long.
        """
        try:
            request_document, plan_document = read_check(_sound(raw))
        except InvalidDocument as bad:
            raise invalid(bad.faults) from None
        faults: list[Fault] = []
        plan: dict[str, Any] = {}
        request: Request | None = None
        try:
            request, _ = self.clerks.read(self._kept_in_full(request_document), self.stock.snapshot(), len(raw))
        except InvalidDocument as bad:
            faults += [fault.under("/request") for fault in bad.faults]
        try:
            plan = sound_plan_document(plan_document)
        except InvalidDocument as bad:
            faults += [fault.under("/plan") for fault in bad.faults]
        if faults or request is None:
            raise invalid(faults)
        return self.clerks.check(request, self.stock.snapshot(request.needed), plan)

    def _take_in(self, document: Any, size: int, key: str | None, fingerprint: str) -> Job:
        try:
            document = self._kept_in_full(document)
            request, warnings = self.clerks.read(document, self.stock.snapshot(), size)
        except InvalidDocument as bad:
            raise invalid(bad.faults) from None
        longest = self.settings.time_limit
        if request.time_limit_s > longest:
            wrong = f"{request.time_limit_s:g} s is longer than this server solves"
            raise invalid([Fault("/time_limit_s", wrong, f"at most {longest:g} s")])
        job = Job(secrets.token_hex(8), "queued", now(), as_text(document), warnings)
        try:
            kept = self.records.add(job, key, fingerprint, self.settings.queue)
        except KeyTaken:
            raise Problem("key-reused", "this Idempotency-Key came with another body before; accepted: a new key") from None
        except QueueFull:
            raise Problem("busy", f"{self.settings.queue} jobs wait already", headers={"Retry-After": "10"}) from None
        if kept.id == job.id:
            self.jobs.submit(job, request)
        return kept

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


def _opened(raw: bytes) -> Any:
    """Return a body's plain values, or the body itself where its text has faults that reading will name beside all others."""
    try:
        text = read_text(raw, len(raw))
    except InvalidDocument as bad:
        raise Problem("malformed", bad.faults[0].wrong, bad.faults) from None
    return raw if text.faults else text.values


def _sound(raw: bytes) -> Any:
    """Return a body's plain values; raises Problem if its text has faults."""
    opened = _opened(raw)
    if isinstance(opened, bytes):
        raise invalid(read_text(raw, len(raw)).faults)
    return opened


def _no_job(id: str) -> Problem:
    return Problem("not-found", f"there is no plan {id!r}"[:200])
