"""A plain run leaves the long suites out (`.ci/slow` runs them) and uses every core, unless only a few files are asked for."""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest

from tests.databases import database  # noqa: F401 - a fixture for every test

FEW_FILES = 3
LONGEST_FIRST = ("documents", "oracle", "properties", "solver", "service", "outside", "guides", "benchmarks")
"""Folders of the tests whose single files take long; a file's tests share a worker, and short ones at the end leave none idle."""
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read when NumPy is loaded: every core has a worker already
os.environ["HOLDWRIGHT_CACHE_MB"] = "0"  # a test that wants tables on disk says where


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """Start no worker where only a few files are named; else as many as there are cores."""
    paths = [Path(argument.split("::")[0]) for argument in config.args]
    few = len(paths) <= FEW_FILES and all(path.suffix == ".py" for path in paths)
    return 0 if few or config.option.collectonly else None


@pytest.fixture
def interruptible() -> Iterator[None]:
    """Let SIGINT interrupt this process and those it starts, whether or not whoever started the tests had it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Spare the garbage collector what is imported and collected: all of it stays to the end, nothing of it needs a second look."""
    gc.disable()
    found = yield
    gc.freeze()
    gc.enable()
    return found


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Begin with the folders whose files take longest, so that all workers end together; leave slow tests out unless chosen."""
    places = {folder: place for place, folder in enumerate(LONGEST_FIRST)}
    items.sort(key=lambda item: places.get("/".join(item.nodeid.split("/")[1:2]), len(places)))
    if config.option.markexpr:
        return
    slow = [item for item in items if item.get_closest_marker("slow")]
    if slow:
        config.hook.pytest_deselected(items=slow)
        items[:] = [item for item in items if item not in slow]
