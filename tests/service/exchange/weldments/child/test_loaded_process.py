"""A process with the libraries loaded: many files, a child each; what a child does costs the next one nothing."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from inventory.errors import InvalidDocument
from service.exchange.weldments.child import reading
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.child.loaded_process import LoadedProcess
from service.exchange.weldments.child.reading import read_weldment_file
from service.exchange.weldments.readers import FileReader
from tests.service.exchange.weldments.child import small_reader

READERS = {"csv": FileReader("csv", (".csv",), ("text/csv",), small_reader.HOME)}
LIMITS = ReadingLimits(time_s=0.5, memory_mb=400)


@pytest.fixture
def process(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[LoadedProcess]:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(reading, "READERS", READERS)
    before = sorted(os.listdir("/proc/self/fd"))
    loaded = LoadedProcess(READERS.values())
    yield loaded
    loaded.stop()
    assert sorted(os.listdir("/proc/self/fd")) == before
    assert not list(tmp_path.iterdir())


def told(process: LoadedProcess, doing: str = "") -> str:
    """What is said of a file whose reader does that; its name if nothing is."""
    try:
        return read_weldment_file(f"do,with\n{doing},\n".encode(), "frame.csv", limits=LIMITS, child=process).name
    except InvalidDocument as bad:
        return bad.faults[0].wrong


def test_one_child_after_the_other_meets_its_limits_and_tells_of_them(process: LoadedProcess) -> None:
    assert told(process) == "frame"
    assert told(process, "attempt") == "done: []"
    assert told(process, "fault") == "is wrong"
    assert told(process, "spin") == told(process, "sleep") == "took longer than 0.5 s"
    assert told(process, "eat") == "needed more than 0.4 GB of memory"
    assert told(process, "abort") == "the process that read it was ended by signal SIGABRT"
    assert told(process, "fail").startswith("cannot be read: ValueError: \\x1b[31m odd \\n" + "x" * 200)
    assert told(process) == "frame"


def test_it_ends_by_itself_when_nothing_is_asked_and_is_started_again(process: LoadedProcess) -> None:
    process._idle_s = 0.2
    assert told(process) == "frame"
    ended = process._process
    assert ended is not None
    before = time.monotonic()
    assert ended.wait(20) == 0 and time.monotonic() - before < 20
    assert told(process) == "frame"
