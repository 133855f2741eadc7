"""A job that has ended with a plan, its documents read once for all screens that show it."""

from __future__ import annotations

import json
import threading
from collections import OrderedDict
from dataclasses import dataclass

from inventory.stock import StockSnapshot
from inventory.store.errors import NotFound
from service.documents import read_plan, read_request
from service.drawings.sheets.misfits import misfits
from service.drawings.subject import Subject
from service.errors import NoPlanToDraw, StockChanged
from service.planning_jobs.planning_service import PlanningService
from service.records.job import Job
from solver.plans import Alternative, Plan
from solver.request import Request
from solver.weldment import LengthUnit

_KEPT = 24


@dataclass(frozen=True, slots=True)
class PlannedJob:
    """A job with its plan and its request as values."""

    job: Job
    plan: Plan
    request: Request
    currency: str

    @classmethod
    def of(cls, planning: PlanningService, id: str) -> PlannedJob:
        """Return a job by its id.

        Raises
        ------
        NotFound
        NoPlanToDraw
            It has no plan, or one without alternatives.
        """
        return cls.read(planning, planning.job(id))

    @classmethod
    def read(cls, planning: PlanningService, job: Job) -> PlannedJob:
        """Return a job that is at hand; raises NoPlanToDraw."""
        if job.plan is None or not job.plan["alternatives"]:
            raise NoPlanToDraw(job.state)
        plan, request = _READ.documents(job)
        return cls(job, plan, request, planning.settings.currency)

    @property
    def drawn_in(self) -> LengthUnit:
        """The unit the weldment was drawn in."""
        return self.request.weldment.units

    def alternative(self, rank: int) -> Alternative:
        """Return an alternative by its rank; raises NotFound with the ranks there are."""
        found = self.plan.alternative(rank)
        if found is None:
            ranks = ", ".join(str(one.rank) for one in self.plan.alternatives)
            raise NotFound("alternative", f"of rank {rank} in this plan; its ranks: {ranks}")
        return found

    def subject(self, alternative: Alternative, stock: StockSnapshot, units: LengthUnit) -> Subject:
        """Return one of its alternatives, or the one it was to keep, as it is drawn; raises StockChanged."""
        gone = [fault.wrong.removeprefix("the stock has no ") for fault in misfits(alternative, self.request, stock)]
        if gone:
            raise StockChanged(gone)
        return Subject(alternative, self.request, stock, currency=self.currency).shown_in(units)


class _ReadDocuments:
    """Plans and requests that were read lately: one with 80 pieces takes a tenth of a second, and never changes."""

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, threading.Lock()
        self._known: OrderedDict[tuple[object, ...], tuple[Plan, Request]] = OrderedDict()

    def documents(self, job: Job) -> tuple[Plan, Request]:
        """Return a job's plan and request."""
        key = (job.id, job.finished_at, job.attempts, hash(job.request))
        with self._lock:
            found = self._known.get(key)
            if found is not None:
                self._known.move_to_end(key)
                return found
        assert job.plan is not None
        made = read_plan(dict(job.plan)), read_request(json.loads(job.request))[0]
        with self._lock:
            self._known[key] = made
            while len(self._known) > self._most:
                self._known.popitem(last=False)
        return made


_READ = _ReadDocuments(_KEPT)
