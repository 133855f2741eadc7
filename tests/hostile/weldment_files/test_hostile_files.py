"""Whatever a file holds, its reader's child ends in time with a fault that says something or a reading that is one, and nothing else is hurt.

A few of the files stand in a plain run, all of them in `.ci/slow hostile`.
"""

from __future__ import annotations

import gc
import os
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from inventory.errors import InvalidDocument
from service.exchange.weldments.child.fresh_child import MARGIN_S
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.child.loaded_process import LoadedProcess
from service.exchange.weldments.child.reading import read_weldment_file
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.reading_document import reading_document
from service.exchange.weldments.weldment_reading import WeldmentReading
from tests.hostile.weldment_files.hostile_files import SOUND, hostile_files

FILES = hostile_files()
FEW = (
    "STEP: brackets 100,000 deep", "STEP: assemblies in a circle", "block, cut after 7 twelfths", "zip bomb as dxf",
    "DXF: a block in itself", "DXF: coordinates of 1e308", "list, bytes changed, 9", "CSV: quotes that never close",
)  # fmt: skip
LIMITS = ReadingLimits(time_s=10, memory_mb=1000)
PARENT_MB = 400
"""What the parent may take more than at its start: the largest file, its copy in an order, an answer and what is read of it."""


@pytest.fixture(scope="module")
def process(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LoadedProcess]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tempfile, "tempdir", str(tmp_path_factory.mktemp("read")))
        loaded = LoadedProcess(READERS.values())
        yield loaded
        loaded.stop()


def memory_mb() -> float:
    gc.collect()
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def told(process: LoadedProcess, name: str) -> WeldmentReading | InvalidDocument:
    file, make = FILES[name]
    content = make()
    before, open_files, began = memory_mb(), len(os.listdir("/proc/self/fd")), time.monotonic()
    try:
        found: WeldmentReading | InvalidDocument = read_weldment_file(content, file, limits=LIMITS, child=process)
    except InvalidDocument as bad:
        found = bad
    took = time.monotonic() - began
    assert took < LIMITS.loading_s + LIMITS.time_s + 2 * MARGIN_S
    # The process that forks is one, and nothing of the child's is left.
    if (loaded := process._process) is not None:
        assert Path(f"/proc/{loaded.pid}/task/{loaded.pid}/children").read_text() == ""
    assert len(os.listdir("/proc/self/fd")) <= open_files + 2
    assert memory_mb() - before < PARENT_MB
    assert [each.name for each in Path(tempfile.gettempdir()).iterdir() if str(each) != process._home] == []
    return found


def judge(found: WeldmentReading | InvalidDocument) -> None:
    """A fault says what is wrong and what would be accepted, and is no slip of the reader's own; a reading tells of every body."""
    if isinstance(found, InvalidDocument):
        assert found.faults
        for fault in found.faults:
            assert fault.wrong.isprintable() and fault.accepted.isprintable() and fault.wrong and fault.accepted
            assert not fault.wrong.startswith("cannot be read: "), fault.wrong
        return
    assert reading_document(found)["format"] == "holdwright.reading/1"
    assert len({part.id for part in found.parts}) == len(found.parts)
    told_of = {body.part for body in found.bodies if body.part is not None}
    assert told_of == {part.id for part in found.parts}


@pytest.mark.parametrize("name", FEW)
def test_a_few_hostile_files_hurt_nobody(process: LoadedProcess, name: str) -> None:
    judge(told(process, name))


@pytest.mark.slow
@pytest.mark.parametrize("name", FILES)
def test_hostile_files_hurt_nobody(process: LoadedProcess, name: str) -> None:
    judge(told(process, name))


def test_the_files_that_are_damaged_are_sound(process: LoadedProcess) -> None:
    for file, make in SOUND.values():
        if file.rpartition(".")[2] in READERS:
            found = read_weldment_file(make(), file, limits=LIMITS, child=process)
            assert found.parts and not found.undecided, file


def test_there_are_some_hundreds_of_them_the_same_every_time() -> None:
    assert len(FILES) >= 200
    for name in ("block, bytes changed, 3", "drawing, numbers nan", "list, lines left out, 1"):
        assert FILES[name][1]() == FILES[name][1]() != SOUND[name.partition(",")[0]][1]()
