"""The demo shop: an invented workshop's two tables, its shelf of hardware and the jobs on its order book."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable

MAIN_JOB = "hinge-lug"


def job_names() -> tuple[str, ...]:
    """Return the demo jobs' names, the main one first."""
    names = sorted(entry.name.removesuffix(".json") for entry in _folder("jobs").iterdir() if entry.name.endswith(".json"))
    return MAIN_JOB, *(name for name in names if name != MAIN_JOB)


def job_document(name: str) -> bytes:
    """Return the request document of a demo job; raises KeyError if there is no such job."""
    if name not in job_names():
        raise KeyError(name)
    return (_folder("jobs") / f"{name}.json").read_bytes()


def stock_document() -> bytes:
    """Return the demo shop's stock file: tables, items, counts."""
    return _folder("stock.json").read_bytes()


def _folder(name: str) -> Traversable:
    return files(__name__) / name
