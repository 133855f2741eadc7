"""What the child does: it takes one order, loads what reads such files, closes the fence, reads, and answers in JSON.

The order is a line of JSON on standard input, the file follows it. The answer goes to a file of the parent's.
"""

from __future__ import annotations

import contextlib
import gc
import json
import os
import select
import shutil
import signal
import sys
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from importlib import import_module
from itertools import islice
from pathlib import Path
from typing import Any

from inventory.errors import Fault, HoldwrightError, InvalidDocument
from service.exchange.weldments.child.fence import close_fence
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.readers import FileReader
from service.exchange.weldments.reading_document import reading_document
from service.exchange.weldments.weldment_reading import ReadingOptions, Remark, WeldmentReading
from service.text import printable

_MOST_OVERLAPS = 50


@dataclass(frozen=True, slots=True)
class ReadingOrder:
    """What is to be read, how, and within what.

    Parameters
    ----------
    called : str
        The weldment's name, by the user's word; empty: as the file says.
    named : str
        Its name if neither says one.
    """

    reader: FileReader
    options: ReadingOptions
    limits: ReadingLimits
    called: str = ""
    named: str = ""

    def line(self) -> bytes:
        """Return the order as one line of JSON."""
        return json.dumps(asdict(self)).encode() + b"\n"

    @classmethod
    def of_line(cls, line: bytes) -> ReadingOrder:
        """Return the order that a line says."""
        told = json.loads(line)
        reader, options = told["reader"], told["options"]
        for values, names in ((reader, ("suffixes", "media_types", "loads")), (options, ("as_bodies", "left_out", "filled"))):
            values.update({name: tuple(values[name]) for name in names})
        limits = ReadingLimits(**told["limits"])
        return cls(FileReader(**reader), ReadingOptions(**options), limits, told["called"], told["named"])


def main() -> None:
    """Do one order: standard input, answer to the file descriptor that the command line names."""
    answer = int(sys.argv[1])
    given = sys.stdin.buffer
    order = ReadingOrder.of_line(given.readline())
    load(order.reader)
    done(order, given.read(), answer)


def serve() -> None:
    """Import the modules that the first line of standard input names, then fork a child for each folder that one names.

    The folder holds the `order`; the child leaves its `answer` there. How it ended is told on standard output, a line of JSON
    each. The end of standard input ends this process, and so does a time in which nothing is asked.
    """
    for module in json.loads(_line(0)):
        import_module(module)
    gc.freeze()
    idle_s = float(sys.argv[1])
    while select.select([0], [], [], idle_s)[0]:
        folder = os.fsdecode(_line(0))
        if not folder:
            break
        child = os.fork()
        if not child:
            _be_child(Path(folder))
        os.write(1, json.dumps(_waited(child)).encode() + b"\n")
    shutil.rmtree(os.environ["HOME"], ignore_errors=True)  # its own, whoever asked may have died


def _be_child(folder: Path) -> None:
    try:
        os.setsid()
        os.chdir(folder)
        os.environ.update({"HOME": str(folder), "TMPDIR": str(folder)})
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nothing, stream)
        os.closerange(3, 1024)
        with open("order", "rb") as given:
            order, content = ReadingOrder.of_line(given.readline()), given.read()
        answer = os.open("answer", os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        load(order.reader)
        done(order, content, answer)
    finally:
        os._exit(1)


def _waited(child: int) -> dict[str, int]:
    """Return how a child ended, with whatever it left behind ended too."""
    _, status = os.waitpid(child, 0)
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(child, signal.SIGKILL)
    return {"exitcode": os.waitstatus_to_exitcode(status)}


def _line(stream: int) -> bytes:
    """Return the next line, byte by byte: what is read ahead could not be waited for."""
    line = b""
    while (byte := os.read(stream, 1)) not in (b"", b"\n"):
        line += byte
    return line


def load(reader: FileReader) -> None:
    """Import what a reader needs, and what is needed after it."""
    for module in modules_of(reader):
        import_module(module)


def modules_of(reader: FileReader) -> tuple[str, ...]:
    """Return what is imported before a file is opened."""
    return ("solver.laying.fit", "solver.rule_book", reader.home.partition(":")[0], *reader.loads)


def done(order: ReadingOrder, content: bytes, answer: int) -> None:
    """Close the fence, read, and write the answer to a file descriptor; nothing more happens in this process after it."""
    close_fence(Path.cwd(), order.limits)
    told = _answer(order, content)
    try:
        raw = json.dumps(told, allow_nan=False).encode()
    except (ValueError, TypeError, MemoryError) as error:
        raw = json.dumps({"failed": _failure(error)}).encode()
    if len(raw) > order.limits.answer:
        raw = json.dumps({"too_long": len(raw)}).encode()
    written = 0
    while written < len(raw):
        written += os.write(answer, raw[written:])
    os._exit(0)  # what libraries do at the end of a process could still run into a limit


def _answer(order: ReadingOrder, content: bytes) -> dict[str, Any]:
    try:
        reading = order.reader.read(content, order.named, order.options)
        if order.called:
            reading = replace(reading, name=order.called)
        return {"reading": reading_document(_with_overlaps(reading))}
    except InvalidDocument as bad:
        return {"faults": [[printable(text) for text in (f.pointer, f.wrong, f.accepted)] for f in bad.faults[:200]]}
    except MemoryError:
        return {"memory": True}
    except HoldwrightError as error:
        return {"faults": [["", printable(str(error)), "a file that can be read"]]}
    except RecursionError:
        return {"faults": [["", "the file is nested deeper than can be read", "a file that refers to itself less deeply"]]}
    except Exception as error:  # whatever libraries raise at a file that is damaged
        return {"memory": True} if _of_memory(error) else {"failed": _failure(error)}


def _with_overlaps(reading: WeldmentReading) -> WeldmentReading:
    """Return a reading with a remark on every two parts that overlap: they are no weldment that can be planned."""
    from solver.laying.fit import fit_faults
    from solver.rule_book import VALUES

    faults = islice(fit_faults(reading.parts, (), VALUES["fit.overlap"].default), _MOST_OVERLAPS)
    names = [part.id for part in reading.parts]
    return replace(reading, remarks=(*reading.remarks, *_told(faults, names)))


def _told(faults: Iterable[Fault], names: list[str]) -> Iterator[Remark]:
    for fault in faults:
        steps = fault.pointer.split("/")
        where = f"part {names[int(steps[2])]}" if steps[1:2] == ["parts"] and steps[2:3] else ""
        yield Remark("parts.fit", f"{fault.wrong}; a plan needs {fault.accepted}", where)


def _of_memory(error: BaseException) -> bool:
    words = f"{type(error).__name__} {error}"
    return any(word in words for word in ("bad_alloc", "OutOfMemory", "MemoryError", "Unable to allocate"))


def _failure(error: BaseException) -> str:
    return printable(f"{type(error).__name__}: {error}"[:300])
