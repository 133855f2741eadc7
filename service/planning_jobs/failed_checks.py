"""How many plans failed their check while a job was solved: counted where it is logged, kept whatever becomes of the solve."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from service.planning_jobs.job_folder import JobFolder

WHERE_LOGGED = "solver.answer.alternative"
"""The logger of the one place where a plan is checked before anybody sees it; an error there is a plan that failed."""
_FILE = "failed_checks.json"


class _Count(logging.Handler):
    def __init__(self, folder: JobFolder) -> None:
        super().__init__(logging.ERROR)
        self._folder, self._plans = folder, 0

    def emit(self, record: logging.LogRecord) -> None:
        self._plans += 1
        with suppress(OSError):  # the folder is gone if nobody wants the answer any more
            self._folder.put(_FILE, {"plans": self._plans})


@contextmanager
def counting_failed_checks(folder: JobFolder) -> Iterator[None]:
    """Count the plans that fail their check meanwhile, into the job's folder."""
    logger, count = logging.getLogger(WHERE_LOGGED), _Count(folder)
    logger.addHandler(count)
    try:
        yield
    finally:
        logger.removeHandler(count)


def failed_checks(folder: JobFolder) -> int:
    """Return how many plans failed their check."""
    found = folder.get(_FILE)
    return 0 if found is None else int(found["plans"])
