"""The port behind which plans are computed: submit, cancel, progress."""

from __future__ import annotations

from typing import Any, Protocol

from service.records.job import Job
from service.records.writes import Asked
from solver.request import Request


class JobRunner(Protocol):
    """Something that takes saved jobs to an answer; the answer is written to the job's record."""

    def start(self) -> None:
        """Begin to take up jobs."""
        ...

    def stop(self) -> None:
        """Stop taking up jobs; those at work are given back to the queue."""
        ...

    @property
    def ready(self) -> bool:
        """Whether jobs can be taken up."""
        ...

    def submit(self, job: Job, request: Request) -> None:
        """Take up a job that has just been saved, with its request as already read."""
        ...

    def cancel(self, id: str, asked: Asked | None = None) -> Job | None:
        """Ask a job to stop and keep its best plan so far; return it, None if there is no such job."""
        ...

    def at_work(self, id: str) -> bool:
        """Whether the job is waiting or running here."""
        ...

    def events(self, id: str, start: int) -> list[dict[str, Any]] | None:
        """Return the progress events of a job from number `start` on; None if it neither runs here nor has just ended here."""
        ...
