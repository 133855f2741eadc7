"""The lists of one alternative as tables: its pieces in the order they are placed, its kit bin by bin."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from service.drawings.duties import duties
from service.drawings.placing_order import placing_order
from service.drawings.subject import Subject
from service.steps import CHANGE_COLUMNS, change_rows
from service.text import length, printable
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
    alternative = subject.alternative
    stationed = any(one.station is not None for one in alternative.placements)
    columns = [
        Column("no", right=True), Column("piece"), *([Column("station", right=True)] if stationed else []), Column("item"),
        Column("bin"), Column("where"), Column("turn", right=True), Column("set", right=True), Column("does", wraps=True),
    ]  # fmt: skip
    rows, names = _placement_rows(subject, stationed), [subject.stock.items[one.item].name for one in placing_order(alternative)]
    named = [_printable([*row, name]) for row, name in zip(rows, names, strict=True)]
    if fits([*columns, NAME], named, width):
        return table_lines([*columns, NAME], named, width)
    return table_lines(columns, [_printable(row) for row in rows], width)


def kit_lines(subject: Subject, width: int) -> Iterator[str]:
    """Yield what is fetched from each bin: the item, its name, how many, and how many of them must be bought first."""
    lines = sorted(subject.alternative.kit, key=lambda line: (_natural(line.bin), _natural(line.item)))
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


def _placement_rows(subject: Subject, stationed: bool) -> list[list[str]]:
    alternative, units = subject.alternative, subject.request.weldment.units
    does, bins = duties(subject), {line.item: line.bin for line in alternative.kit}
    rows = []
    for number, one in enumerate(placing_order(alternative), 1):
        station = ["" if one.station is None else str(one.station)] if stationed else []
        setting = "" if one.setting_mm is None else length(one.setting_mm, units)
        place = one.hole if one.hole is not None else f"on {one.stands_on}"
        bin = bins.get(one.item, "")
        rows.append([str(number), one.id, *station, one.item, bin, place, f"{one.turn:g}", setting, does[one.id]])
    return rows


def _name(subject: Subject, item: str) -> str:
    known = subject.stock.items.get(item)
    return "" if known is None else known.name


def _natural(text: str) -> tuple[tuple[str, int], ...]:
    """Return what texts are ordered by, so that bin A2 comes before A10."""
    return tuple((word, int(number or 0)) for word, number in re.findall(r"([^0-9]*)([0-9]*)", text))


def _printable(row: Sequence[str]) -> list[str]:
    return [printable(cell) for cell in row]
