"""The lists of one alternative as tables: its pieces in the order they are placed, its kit bin by bin."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.drawings.place_lines import PlaceLine, kit_by_bin, place_lines
from service.drawings.run_settings import setting_tables
from service.drawings.subject import Subject
from service.steps import CHANGE_COLUMNS, change_rows
from service.text import printable
from service.text_table import Column, fits, table_lines

NAME = Column("what it is", wraps=True)


def placement_lines(subject: Subject, width: int) -> Iterator[str]:
    """Yield the pieces in the order they are placed: what each is, its bin, place, turn and setting, and what it does.

    Where the width is too small for the items' names they are left to the list of the kit.

    Raises
    ------
    KeyError
        If the alternative names an item the stock does not have.
    """
    lines = list(place_lines(subject))
    stationed = any(line.station is not None for line in lines)
    columns = [
        Column("no", right=True), Column("piece"), *([Column("station", right=True)] if stationed else []), Column("item"),
        Column("bin"), Column("where"), Column("turn", right=True), Column("set", right=True), Column("does", wraps=True),
    ]  # fmt: skip
    rows = [_printable(_row(line, stationed)) for line in lines]
    named = [[*row, *_printable([line.name])] for row, line in zip(rows, lines, strict=True)]
    if fits([*columns, NAME], named, width):
        return table_lines([*columns, NAME], named, width)
    return table_lines(columns, rows, width)


def kit_lines(subject: Subject, width: int) -> Iterator[str]:
    """Yield what is fetched from each bin: the item, its name, how many, and how many of them must be bought first."""
    lines = kit_by_bin(subject)
    buys = any(line.buy for line in lines)
    columns = [
        Column("bin"), Column("item"), Column("pieces", right=True), *([Column("to buy", right=True)] if buys else []), NAME,
    ]  # fmt: skip
    rows = [
        [line.bin, line.item, str(line.count), *([str(line.buy) if line.buy else ""] if buys else []), _name(subject, line.item)]
        for line in lines
    ]
    return table_lines(columns, [_printable(row) for row in rows], width)


def change_lines(subject: Subject, width: int) -> Iterator[str]:
    """Yield the steps of the hands from what stands; nothing where nothing stands or changes."""
    rows = change_rows(subject.alternative.changes or (), subject.request.weldment.units)
    return table_lines(CHANGE_COLUMNS, [_printable(row) for row in rows], width) if rows else iter(())


def setting_lines(subject: Subject, width: int) -> Iterator[str]:
    """Yield what pieces are set to for each weldment of a run; nothing where one weldment is all there is."""
    request = subject.request
    for found in setting_tables(subject.alternative, request.weldment.name or "first", request.weldment.units, request.quantity):
        columns = [Column(printable(heading)) for heading in found.columns]
        yield from table_lines(columns, [_printable(row) for row in found.rows], width)


def _row(line: PlaceLine, stationed: bool) -> list[str]:
    station = ["" if line.station is None else str(line.station)] if stationed else []
    return [str(line.number), line.piece, *station, line.item, line.bin, line.where, line.turn, line.setting, line.does]


def _name(subject: Subject, item: str) -> str:
    known = subject.stock.items.get(item)
    return "" if known is None else known.name


def _printable(row: Sequence[str]) -> list[str]:
    return [printable(cell) for cell in row]
