"""What the health routes say: each thing the server depends on, and the figures of the moment."""

from __future__ import annotations

from collections.abc import Iterable

from inventory.errors import HoldwrightError
from service.http.metrics import Labels
from service.planning_jobs.desk import Desk


def readiness(desk: Desk) -> dict[str, str]:
    """Return "ok" or what is wrong, for the records of jobs, the stock and the workers."""
    checks = {}
    try:
        desk.records.open_jobs()
        checks["records"] = "ok"
    except HoldwrightError as error:
        checks["records"] = str(error)
    try:
        desk.stock.snapshot()
        checks["stock"] = "ok"
    except HoldwrightError as error:
        checks["stock"] = str(error)
    checks["workers"] = "ok" if desk.jobs.ready else "the worker processes are not up"
    return checks


def gauges(desk: Desk, streams: int) -> dict[str, tuple[str, Iterable[tuple[Labels, float]]]]:
    """Return the figures of the moment: jobs by state, open event streams."""
    jobs = [((("state", state),), float(count)) for state, count in desk.records.counts().items()]
    return {
        "holdwright_jobs": ("plan jobs in the records, by state", jobs),
        "holdwright_event_streams": ("progress streams open now", [((), float(streams))]),
    }
