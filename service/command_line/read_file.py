"""`holdwright read`: a weldment from a file of another program, a report of what became of every body, a picture."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from inventory.errors import Fault, InvalidDocument
from service.command_line.exit_code import read_from
from service.command_line.plan import STANDARD_OUTPUT, refuse_unwritable
from service.command_line.printing.console import DONE, REFUSED, print_json
from service.documents.weldment import weldment_document
from service.errors import InvalidSource
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.child.reading import read_weldment_file
from service.exchange.weldments.reading_document import reading_document
from service.exchange.weldments.weldment_reading import ReadingOptions, WeldmentReading
from service.files import laid_out, read_bytes, write_text
from service.settings import Settings

_OPTIONS: Mapping[str, str] = {
    "/units": "--units", "/thickness_mm": "--thickness", "/thickness_by_layer": "--layer-thickness", "/gap_mm": "--gap",
    "/as_bodies": "--as-body", "/left_out": "--leave-out", "/filled": "--fill-holes",
    "/material": "--material", "/name": "--name",
}  # fmt: skip
"""Of each option of reading, its word on the command line."""


@dataclass(frozen=True, slots=True)
class FileToRead:
    """What is to be read and how, as the command line's words; options that are not given are None."""

    file: Path
    out: Path | None = None
    report: Path | None = None
    picture: Path | None = None
    name: str = ""
    units: str | None = None
    thickness: float | None = None
    layer_thickness: Sequence[str] = ()
    gap: float | None = None
    as_body: Sequence[str] = ()
    leave_out: Sequence[str] = ()
    fill_holes: Sequence[str] = ()
    material: str | None = None

    def options(self) -> ReadingOptions:
        """Return the options of reading; raises InvalidSource with the option's word."""
        given: dict[str, Any] = {
            "units": self.units, "thickness_mm": self.thickness, "gap_mm": self.gap, "material": self.material,
            "thickness_by_layer": dict(_layer(text) for text in self.layer_thickness),
            "as_bodies": tuple(self.as_body), "left_out": tuple(self.leave_out),
            "filled": tuple(self.fill_holes),
        }  # fmt: skip
        try:
            return ReadingOptions(**{key: value for key, value in given.items() if value is not None})
        except InvalidDocument as bad:
            raise _by_option(bad) or bad from None


def read_file(words: FileToRead, as_json: bool) -> int:
    """Read a file and write what was asked for; return the exit code."""
    options = words.options()
    for target in (words.out, words.report, words.picture):
        if target is not None:
            refuse_unwritable(target)
    settings = Settings.read()
    limits = ReadingLimits(settings.read_file_mb * 1_000_000, settings.read_file_time, settings.read_file_memory)
    with read_from(words.file):
        content = read_bytes(words.file, limits.size)
        try:
            reading = read_weldment_file(content, words.file.name, options, words.name, limits=limits)
        except InvalidDocument as bad:
            raise _by_option(bad) or bad from None
    decided = not reading.undecided and reading.weldment is not None
    _write(words, reading, decided)
    if as_json:
        print_json(reading_document(reading))
    elif words.out != STANDARD_OUTPUT:
        from service.command_line.printing.reading import print_reading

        print_reading(words.file.name, reading, words.out if decided else None)
    return DONE if decided else REFUSED


def _write(words: FileToRead, reading: WeldmentReading, decided: bool) -> None:
    if words.report is not None:
        _put(words.report, laid_out(reading_document(reading)))
    if words.picture is not None:
        from service.drawings.weldment.reading_picture import reading_svg

        _put(words.picture, reading_svg(reading).removesuffix("\n"))
    if words.out is not None and decided and reading.weldment is not None:
        _put(words.out, laid_out(weldment_document(reading.weldment)))


def _put(target: Path, text: str) -> None:
    if target == STANDARD_OUTPUT:
        sys.stdout.write(text + "\n")
    else:
        write_text(target, text + "\n")


def _by_option(bad: InvalidDocument) -> InvalidSource | None:
    """Return faults of options under the options' words; None if they are the file's."""
    for pointer, option in _OPTIONS.items():
        faults = [fault for fault in bad.faults if fault.pointer == pointer or fault.pointer.startswith(f"{pointer}/")]
        if faults:
            return InvalidSource(option, [Fault("", fault.wrong, fault.accepted) for fault in faults])
    return None


def _layer(text: str) -> tuple[str, float]:
    """Return a layer and its plates' thickness, mm."""
    layer, _, thickness = text.rpartition("=")
    try:
        return layer, float(thickness if layer else "")
    except ValueError:
        wrong = Fault("", f"{text!r} is no layer with a thickness", "LAYER=MM, such as CUT=8")
        raise InvalidSource("--layer-thickness", [wrong]) from None
