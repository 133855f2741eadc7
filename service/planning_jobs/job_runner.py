"""The port behind which jobs are solved: who takes saved jobs to their answers, here or on other machines.

The job's record is the truth: an adapter only says which job is next. What it is told is a call to look there.
"""

from __future__ import annotations

from typing import Protocol

from service.records.job import Job


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

    def submit(self, job: Job) -> None:
        """Take up a job that has just been saved, as soon as its turn comes."""
        ...

    def cancel(self, id: str) -> None:
        """Have a job whose record says that it is to stop do so soon, if it is solved here."""
        ...
