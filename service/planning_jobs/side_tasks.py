"""Processes beside the solving ones, for what may take long to read or to check: the server itself stays quick."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import TimeoutError
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import Any

from pebble import ProcessExpired

from inventory.errors import Fault, InvalidDocument
from inventory.stock import StockSnapshot
from service.documents import read_request
from service.documents.jobs import report_document
from service.http.problems import Problem
from service.planning_jobs.worker_pool import WorkerPool
from solver.request import Request

QUICK_BYTES = 16_000


@dataclass(frozen=True, slots=True)
class Read:
    """A request and what is odd about it, or its faults."""

    request: Request | None
    warnings: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()


class SideTasks:
    """Two processes, started when first needed.

    Parameters
    ----------
    limit_s : float
        A task that takes longer is ended.
    """

    def __init__(self, limit_s: float) -> None:
        self._bench, self._limit_s = WorkerPool(2, ("solver.checks", "service.planning_jobs.side_tasks")), limit_s

    def read(self, document: Any, stock: StockSnapshot, size: int) -> tuple[Request, tuple[str, ...]]:
        """Return a request and what is odd about it; a small one (`size` in bytes) is read here and now.

        Raises
        ------
        InvalidDocument
            With every fault.
        Problem
            ``busy`` if it takes too long, ``worker-died``.
        """
        small = size <= QUICK_BYTES
        found: Read = read_aside(document, stock) if small else self._done(read_aside, (document, stock), "reading")
        if found.request is None:
            raise InvalidDocument(found.faults)
        return found.request, found.warnings

    def check(self, request: Request, stock: StockSnapshot, plan: Mapping[str, Any]) -> dict[str, Any]:
        """Return the report of an independent check; raises Problem as `read` does."""
        report: dict[str, Any] = self._done(check_aside, (request, stock, plan), "the check")
        return report

    def stop(self) -> None:
        """End the processes."""
        self._bench.stop()

    def _done(self, task: Callable[..., Any], args: tuple[Any, ...], what: str) -> Any:
        for last in (False, True):
            try:
                return self._bench.run(task, args, self._limit_s).result()
            except TimeoutError:
                raise Problem("busy", f"{what} took longer than {self._limit_s:g} s") from None
            except ProcessExpired as died:
                raise Problem("worker-died", f"{what} ended with exit code {died.exitcode}") from None
            except BrokenProcessPool:
                if last:
                    raise
        raise AssertionError("unreachable")


def read_aside(document: Any, stock: StockSnapshot) -> Read:
    """Read a request; faults are returned, since an exception with values of its own does not travel between processes."""
    try:
        request, warnings = read_request(document, stock)
    except InvalidDocument as bad:
        return Read(None, faults=bad.faults)
    return Read(request, tuple(str(warning) for warning in warnings))


def check_aside(request: Request, stock: StockSnapshot, plan: Mapping[str, Any]) -> dict[str, Any]:
    """Check a plan and return its report as plain values."""
    from solver.checks import check

    report = check(request, stock, plan)
    return report_document(report.ok, tuple(report.findings))
