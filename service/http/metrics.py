"""Counts and times of the service, as Prometheus reads them (text exposition format 0.0.4)."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Iterable, Mapping

MEDIA_TYPE = "text/plain; version=0.0.4; charset=utf-8"
SECONDS = (0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000)

Labels = tuple[tuple[str, str], ...]


class Metrics:
    """Counters and histograms, safe to use from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._counts: dict[str, Counter[Labels]] = {}
        self._times: dict[str, dict[Labels, list[float]]] = {}
        self._help: dict[str, str] = {}

    def count(self, name: str, help: str, **labels: str) -> None:
        """Add one to a counter; its name ends in ``_total``."""
        with self._lock:
            self._help[name] = help
            self._counts.setdefault(name, Counter())[tuple(sorted(labels.items()))] += 1

    def observe(self, name: str, help: str, seconds: float, **labels: str) -> None:
        """Add one duration to a histogram; its name ends in ``_seconds``."""
        with self._lock:
            self._help[name] = help
            buckets = self._times.setdefault(name, {}).setdefault(tuple(sorted(labels.items())), [0.0] * (len(SECONDS) + 2))
            for index, bound in enumerate(SECONDS):
                buckets[index] += seconds <= bound
            buckets[-2] += 1
            buckets[-1] += seconds

    def text(self, gauges: Mapping[str, tuple[str, Iterable[tuple[Labels, float]]]]) -> str:
        """Return everything counted, and these gauges as they stand now (name -> help, labelled values)."""
        lines: list[str] = []
        with self._lock:
            for name, counts in sorted(self._counts.items()):
                lines += [f"# HELP {name} {self._help[name]}", f"# TYPE {name} counter"]
                lines += [f"{name}{_braced(labels)} {count}" for labels, count in sorted(counts.items())]
            for name, times in sorted(self._times.items()):
                lines += [f"# HELP {name} {self._help[name]}", f"# TYPE {name} histogram"]
                for labels, buckets in sorted(times.items()):
                    lines += _histogram(name, labels, buckets)
        for name, (help, values) in sorted(gauges.items()):
            lines += [f"# HELP {name} {help}", f"# TYPE {name} gauge"]
            lines += [f"{name}{_braced(labels)} {value:g}" for labels, value in values]
        return "\n".join(lines) + "\n"


def _histogram(name: str, labels: Labels, buckets: list[float]) -> list[str]:
    bounds = [*(f"{bound:g}" for bound in SECONDS), "+Inf"]
    lines = [f"{name}_bucket{_braced((*labels, ('le', bound)))} {count:g}" for bound, count in zip(bounds, buckets, strict=False)]
    return [*lines, f"{name}_sum{_braced(labels)} {buckets[-1]:.6f}", f"{name}_count{_braced(labels)} {buckets[-2]:g}"]


def _braced(labels: Labels) -> str:
    if not labels:
        return ""
    return "{" + ",".join(f'{name}="{_escaped(value)}"' for name, value in labels) + "}"


def _escaped(value: str) -> str:
    return value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
