"""Counts and times of the service, for Prometheus."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from prometheus_client import CollectorRegistry, Counter, Histogram
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4, generate_latest
from prometheus_client.metrics_core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

MEDIA_TYPE: Final = CONTENT_TYPE_PLAIN_0_0_4
_ANSWER_S = (0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30, 100)
_SOLVE_S = (0.1, 0.3, 1, 3, 10, 30, 60, 100, 300, 1000, 3600)
_GAPS = (0.0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
_SIZES = ((2, "1-2"), (4, "3-4"), (8, "5-8"), (16, "9-16"))
_LARGEST = "17-"
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
_CONFLICTS = frozenset({"short", "changed", "count", "step", "in-use"})
"""Problems that are conflicts over stock: somebody else has the pieces, or has changed what was read."""


def size_class(parts: int) -> str:
    """Return the size of a job as its figures are told apart: by how many parts the weldment has, ``3-4``."""
    return next((name for most, name in _SIZES if parts <= most), _LARGEST)


def known_method(method: str) -> str:
    """Return a method as it is told apart: callers may make up others."""
    return method if method in _METHODS else "other"


class Metrics:
    """What is counted and timed in one application. Labels come from lists of ours, so no caller can make up new ones."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry(auto_describe=True)

        def counter(name: str, help: str, *labels: str) -> Counter:
            return Counter(f"holdwright_{name}", help, labels, registry=self.registry)

        def histogram(name: str, help: str, buckets: Iterable[float], *labels: str) -> Histogram:
            return Histogram(f"holdwright_{name}", help, labels, buckets=tuple(buckets), registry=self.registry)

        self._requests = counter("requests", "answers, by route and status; 499: the caller left", "method", "route", "status")
        self._request_s = histogram("request_seconds", "time to answer", _ANSWER_S, "route")
        self._problems = counter("problems", "problems answered, by kind", "kind")
        self._conflicts = counter("stock_conflicts", "writes refused because of what others did with the stock", "kind")
        self._jobs = counter("jobs_ended", "plan jobs ended, by state and the plan's status", "state", "status")
        self._solve_s = histogram("solve_seconds", "time of solves, by status and parts", _SOLVE_S, "status", "parts")
        self._gap = histogram("plan_gap", "gap of the plans that were answered, by parts", _GAPS, "parts")
        self._failed_checks = counter("checks_failed", "plans that failed their check and were not shown; a fault of the program")

    def answered(self, method: str, route: str | None, status: int, seconds: float, problem: str | None) -> None:
        """Count one answer; `route` is None for an address that does not exist."""
        known = "other" if route is None else known_method(method)
        self._requests.labels(known, route or "other", str(status)).inc()
        self._request_s.labels(route or "other").observe(seconds)
        if problem is not None:
            self._problems.labels(problem).inc()
            if problem in _CONFLICTS:
                self._conflicts.labels(problem).inc()

    def job_ended(self, state: str, status: str, parts: int, solve_s: float | None, gap: float | None) -> None:
        """Count one job that has ended."""
        self._jobs.labels(state, status).inc()
        if solve_s is not None:
            self._solve_s.labels(status, size_class(parts)).observe(solve_s)
        if gap is not None:
            self._gap.labels(size_class(parts)).observe(gap)

    def checks_failed(self, plans: int) -> None:
        """Count plans that failed their check."""
        self._failed_checks.inc(plans)

    def text(self, now: Iterable[Metric]) -> bytes:
        """Return everything counted, and these figures of the moment, in the text exposition format 0.0.4."""
        moment = CollectorRegistry(auto_describe=False)
        moment.register(_OfTheMoment(now))
        return _without_births(generate_latest(self.registry)) + generate_latest(moment)


class _OfTheMoment(Collector):
    def __init__(self, now: Iterable[Metric]) -> None:
        self._now = tuple(now)

    def collect(self) -> Iterable[Metric]:
        return self._now


def gauge(
    name: str, help: str, value: float | None = None, label: str = "", by_label: Iterable[tuple[str, float]] = ()
) -> Metric:
    """Return a figure of the moment: one value, or one for each value of a label."""
    family = GaugeMetricFamily(f"holdwright_{name}", help, value=value, labels=None if value is not None else (label,))
    for each, figure in by_label:
        family.add_metric((each,), figure)
    return family


def _without_births(text: bytes) -> bytes:
    """Leave out when each series was begun: as many lines again, which nobody asks for."""
    kept = [line for line in text.splitlines(keepends=True) if b"_created" not in line.partition(b"{")[0]]
    return b"".join(kept)
