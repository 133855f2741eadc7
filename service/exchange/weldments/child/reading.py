"""A file read in a child: what it is, who reads it, what the child answers, and what is said of one that did not."""

from __future__ import annotations

import json
import logging
import signal
from collections.abc import Callable, Iterator
from pathlib import PurePath
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import NAME_LENGTH, name_faults, shown, suggestion
from service.documents.weldment_files.words import FileKind
from service.errors import how_it_ended
from service.exchange.weldments.child.fresh_child import Ended, in_fresh_child
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.child.work import ReadingOrder
from service.exchange.weldments.file_kind import READ, kind_of
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.reading_document import read_reading
from service.exchange.weldments.weldment_reading import ALL, ReadingOptions, WeldmentReading
from service.text import printable

log = logging.getLogger("holdwright.exchange")
_OF_LAYER = "layer:"
"""What a name begins with that is a layer's of a drawing: its reader knows those."""


def read_weldment_file(
    content: bytes,
    name: str,
    options: ReadingOptions | None = None,
    called: str = "",
    declared: FileKind | None = None,
    limits: ReadingLimits | None = None,
    child: Callable[[ReadingOrder, bytes], Ended] = in_fresh_child,
) -> WeldmentReading:
    """Return what a file holds, read in a child within its limits.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name; the ending says what it is, the rest what the weldment is called if nothing else does.
    called : str
        What the weldment is called, by the user's word.
    declared : FileKind or None
        What it was sent as, for one without a name.
    child : callable
        Does an order in a process of its own: `in_fresh_child`.

    Raises
    ------
    InvalidDocument
        If it cannot be read, or not within its limits; pointers are places in the file.
    NotInstalled
        If the library for such files is not there.
    """
    options, limits = options or ReadingOptions(), limits or ReadingLimits()
    refuse(name_faults("/name", called))
    if len(content) > limits.size:
        raise InvalidDocument([Fault("", f"{len(content):,} bytes", f"at most {limits.size:,} bytes")])
    kind = kind_of(content, name, declared)
    if kind not in READERS:
        others = "; ".join(READ[each] for each in READERS) or "none yet"
        raise InvalidDocument([Fault("", f"this release does not read {kind.upper()} files", others)])
    reader = READERS[kind]
    reader.refuse_absent()
    stem = printable(PurePath(name).stem)[:NAME_LENGTH]
    order = ReadingOrder(reader, options, limits, called, stem)
    reading = _reading(child(order, content), limits)
    refuse(_naming_faults(options, reading))
    return reading


def _naming_faults(options: ReadingOptions, reading: WeldmentReading) -> Iterator[Fault]:
    """Yield names of bodies that are not in the file."""
    known = {body.name for body in reading.bodies}
    for field in ("as_bodies", "left_out", "filled"):
        for index, name in enumerate(getattr(options, field)):
            if name != ALL and name not in known and not name.startswith(_OF_LAYER):
                yield Fault(
                    f"/{field}/{index}", f"there is no body {shown(name)} in the file", suggestion(name, known, "a body of it")
                )


def _reading(ended: Ended, limits: ReadingLimits) -> WeldmentReading:
    """Return the reading in an answer; raises InvalidDocument for one that is none, and for a child that gave none."""
    if ended.late or ended.exitcode in (-signal.SIGALRM, -signal.SIGXCPU):
        raise _refusal(f"took longer than {limits.time_s:g} s", "a file that is read within that time: fewer or simpler bodies")
    if ended.exitcode != 0 or not ended.answer:
        how = how_it_ended(ended.exitcode, "the process that read it")
        log.warning("reading a file: %s", how)
        raise _refusal(how, "a file that is not damaged; large ones in parts")
    told = _told(ended.answer, limits.answer)
    if "faults" in told:
        raise InvalidDocument([Fault(*(str(text) for text in fault[:3])) for fault in told["faults"]])
    if "memory" in told:
        wrong = f"needed more than {limits.memory_mb / 1000:g} GB of memory"
        raise _refusal(wrong, "a file that needs less: fewer or simpler bodies")
    if "too_long" in told:
        raise _refusal(f"the reading of it has more than {limits.answer:,} bytes", "a file of fewer bodies")
    if "failed" in told:
        log.warning("reading a file failed: %s", told["failed"])
        raise _refusal(f"cannot be read: {told['failed']}", "a file that is not damaged")
    return read_reading(told["reading"], limits.answer)


def _refusal(wrong: str, accepted: str) -> InvalidDocument:
    return InvalidDocument([Fault("", wrong, accepted)])


def _told(answer: bytes, most: int) -> dict[str, Any]:
    """Return what a child answered, which may be anything: who reads a hostile file is not to be trusted."""
    try:
        if len(answer) > most:
            raise ValueError("too long")
        told = json.loads(answer)
        known = {"faults": list, "memory": bool, "too_long": int, "failed": str, "reading": dict}
        if len(told) != 1 or not all(isinstance(value, known[key]) for key, value in told.items()):
            raise ValueError("no such answer")
        if "faults" in told and not (told["faults"] and all(isinstance(f, list) and len(f) == 3 for f in told["faults"])):
            raise ValueError("no faults")
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        log.warning("reading a file: the child's answer cannot be read: %s", error)
        raise _refusal("the process that read it gave no answer that can be read", "a file that is not damaged") from None
    return dict(told)
