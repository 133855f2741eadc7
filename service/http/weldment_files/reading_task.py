"""What a reading process does for the server: it has a file read in a child, and hands over what is answered, as bytes."""

from __future__ import annotations

import json
from dataclasses import dataclass

from inventory.errors import Fault, InvalidDocument
from service.documents.weldment_files.words import FileKind
from service.errors import NotInstalled
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.child.loaded_process import LoadedProcess
from service.exchange.weldments.child.reading import read_weldment_file
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.reading_document import reading_document
from service.exchange.weldments.weldment_reading import ReadingOptions, WeldmentReading

_loaded: list[LoadedProcess] = []
"""The process with the libraries loaded; none before the first file."""


@dataclass(frozen=True, slots=True)
class FileTask:
    """A file to be read for somebody who waits, and whether a picture is wanted of it."""

    content: bytes
    name: str
    options: ReadingOptions
    called: str
    declared: FileKind | None
    limits: ReadingLimits
    drawn: bool = False


@dataclass(frozen=True, slots=True)
class TaskAnswer:
    """What is answered: the reading as a document, or its picture; or the faults."""

    content: bytes = b""
    faults: tuple[Fault, ...] = ()
    absent: str = ""


def read_for_others(task: FileTask) -> TaskAnswer:
    """Read a file; what stands against it is told, not raised, so that it is the same on the other side."""
    try:
        reading = _reading(task)
    except InvalidDocument as bad:
        return TaskAnswer(faults=bad.faults)
    except NotInstalled as lacking:
        return TaskAnswer(absent=str(lacking))
    if task.drawn:
        from service.drawings.weldment.reading_picture import reading_svg

        return TaskAnswer(reading_svg(reading).encode())
    return TaskAnswer(json.dumps(reading_document(reading), ensure_ascii=False, allow_nan=False).encode())


def _reading(task: FileTask) -> WeldmentReading:
    if not _loaded:
        _loaded.append(LoadedProcess(READERS.values()))
    return read_weldment_file(task.content, task.name, task.options, task.called, task.declared, task.limits, _loaded[0])
