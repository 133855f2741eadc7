"""`holdwright stock read`: an item of the shop's own from a CAD file and its marks, with a look at what came of it."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from service.command_line.exit_code import read_from
from service.command_line.plan import STANDARD_OUTPUT, refuse_unwritable
from service.command_line.printing.console import DONE, REFUSED, note, print_json, print_table, print_wrapped, read_input
from service.documents.item_files.marks import read_marks
from service.errors import InvalidSource
from service.exchange.items.item_check import counted
from service.exchange.items.item_reading import OPTIONS, ItemReading, marked_item, started_marks
from service.exchange.items.item_reading_document import item_reading_document, ordered, said
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.child.reading import read_weldment_file
from service.exchange.weldments.weldment_reading import WeldmentReading
from service.files import laid_out, read_bytes, write_text
from service.settings import Settings
from service.text import printable
from service.text_table import Column

_SOLIDS = (Column("no", right=True), Column("solid"), Column("what it is", wraps=True))


@dataclass(frozen=True, slots=True)
class ItemFile:
    """What is to be read, and what is to be written, as the command line's words."""

    file: Path
    marks: Path | None = None
    out: Path | None = None
    picture: Path | None = None
    start: Path | None = None


def read_item_file(words: ItemFile, as_json: bool) -> int:
    """Read a file, put its marks to it and write what was asked for; return the exit code."""
    if words.marks is None and words.start is None:
        accepted = "--marks FILE, or --start FILE to write marks to be filled in"
        raise InvalidSource("--marks", [Fault("", "is missing: a CAD file alone does not say what a pad is", accepted)])
    for target in (words.out, words.picture, words.start):
        if target is not None:
            refuse_unwritable(target)
    with read_from(words.marks or "--marks"):
        marks = None if words.marks is None else read_marks(read_input(words.marks))
    reading = _read(words.file)
    if words.start is not None:
        _put(words.start, laid_out(started_marks(reading, words.file.stem[:64])))
    if marks is None:
        _print_solids(words.file.name, reading)
        note(f"marks to be filled in: {words.start}; then holdwright stock read {words.file.name} --marks {words.start}")
        return DONE
    with read_from(words.marks):
        found = marked_item(reading, marks)
    if words.picture is not None:
        _put(words.picture, _picture(found, marks.pitch))
    if words.out is not None and found.sound:
        _put(words.out, laid_out(dict(found.document)))
    if as_json:
        print_json(item_reading_document(found))
    elif words.out != STANDARD_OUTPUT:
        _print(words, found)
    if not found.sound:
        note("the item is useless as it is" + ("" if words.out is None else f"; {words.out} was not written"))
    return DONE if found.sound else REFUSED


def _read(file: Path) -> WeldmentReading:
    settings = Settings.read()
    limits = ReadingLimits(settings.read_file_mb * 1_000_000, settings.read_file_time, settings.read_file_memory)
    with read_from(file):
        reading = read_weldment_file(read_bytes(file, limits.size), file.name, OPTIONS, limits=limits)
        if reading.kind != "step":
            raise InvalidDocument([Fault("", f"is a {reading.kind.upper()} file, without solids", "a STEP file")])
    return reading


def _print_solids(file: str, reading: WeldmentReading) -> None:
    print_wrapped(f"{printable(file)}: {len(reading.bodies)} solids")
    print_table(_SOLIDS, [(body.number, body.name, body.words or "not recognised") for body in reading.bodies], "no solids")


def _print(words: ItemFile, found: ItemReading) -> None:
    item = found.item
    print_wrapped(f"{item.id}: {item.kind.replace('_', ' ')}, {item.mass_kg:g} kg, {counted(len(item.contacts), 'pad')}")
    print_table(_SOLIDS, [(number, body.name, body.words) for number, body in enumerate(found.bodies, 1)], "no solids")
    for finding in ordered(found.findings):
        print_wrapped(printable(f"{finding.verdict}: {finding.subject}: {finding.text}"), "  ")
    if words.out is not None and found.sound:
        print(f"written: {words.out}")


def _picture(found: ItemReading, pitch: float | None) -> str:
    from service.drawings.items.item_sheet import items_svg
    from service.drawings.items.shown_items import ShownItems

    return items_svg(ShownItems((found.item,), pitch), said(found))


def _put(target: Path, text: str) -> None:
    if target == STANDARD_OUTPUT:
        sys.stdout.write(text + "\n")
    else:
        write_text(target, text + "\n")
