"""A child that reads a file: what it answers, what it may not do, and what is said of one that met a limit."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from inventory.errors import Fault, InvalidDocument
from service.exchange.weldments.child import reading
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.child.reading import read_weldment_file
from service.exchange.weldments.readers import FileReader
from service.exchange.weldments.weldment_reading import ReadingOptions
from tests.service.exchange.weldments.child import small_reader

READER = FileReader("csv", (".csv",), ("text/csv",), small_reader.HOME)
LIMITS = ReadingLimits(time_s=1.0, memory_mb=400)


@pytest.fixture(autouse=True)
def _reader(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(reading, "READERS", {"csv": READER})
    before, others = sorted(os.listdir("/proc/self/fd")), children()
    yield
    assert sorted(os.listdir("/proc/self/fd")) == before
    assert not list(tmp_path.iterdir())
    assert children() == others


def children() -> set[str]:
    """The processes started from here that have not ended, or that nobody has asked after."""
    return {id for tasks in Path("/proc/self/task").iterdir() for id in (tasks / "children").read_text().split()}


def asked(doing: str) -> Fault:
    """The one fault of a file whose reader does that."""
    with pytest.raises(InvalidDocument) as refusal:
        read_weldment_file(f"do,with\n{doing},\n".encode(), "frame.csv", limits=LIMITS)
    return refusal.value.faults[0]


def test_a_reading_comes_over_as_it_was_made() -> None:
    found = read_weldment_file(b"do,with\n", "a frame.csv", ReadingOptions(units="inch"), limits=LIMITS)
    assert (found.kind, found.name, found.units, found.bodies) == ("csv", "a frame", "inch", small_reader.BODIES)
    assert [(part.id, part.section, part.length) for part in found.parts] == [
        (part.id, part.section, part.length) for part in small_reader.PARTS
    ]
    assert [remark.code for remark in found.remarks] == ["file.note"]


def test_a_child_can_do_nothing_but_read() -> None:
    stays = small_reader.to_stay(os.getpid())
    stays.touch()
    try:
        assert asked("attempt").wrong == "done: []"
        assert stays.exists() and not Path("/tmp/holdwright-stray").exists()
    finally:
        stays.unlink()


def test_a_child_that_is_late_is_ended_and_the_limit_told() -> None:
    assert asked("spin").wrong == "took longer than 1 s"
