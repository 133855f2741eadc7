"""A table of words and figures as lines of text, laid out to a width, no cell cut."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

_GAP = "  "
_LEAST_TEXT = 24


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    heading : str
        What stands above it.
    wraps : bool
        Whether long cells may go on in the next line; ids and numbers never do.
    right : bool
        Whether cells end at the column's right edge, as numbers do.
    group : str
        What stands above neighbouring headings that belong together.
    """

    heading: str
    wraps: bool = False
    right: bool = False
    group: str = ""


def table_lines(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int | None = None) -> Iterator[str]:
    """Yield a table's lines, no cell cut.

    Texts that may wrap share what width the others leave; where that is too little, every row is stacked, one line a cell.

    Parameters
    ----------
    columns : sequence of Column
    rows : sequence of sequence of str
        A cell for each column.
    width : int, optional
        Characters a line may have; None: any number.
    """
    widths = _widths(columns, rows, width)
    if widths is None:
        yield from _stacked(columns, rows, width or 0)
        return
    if any(column.group for column in columns):
        yield _group_line(columns, widths)
    yield from _row_lines(columns, [column.heading for column in columns], widths)
    for row in rows:
        yield from _row_lines(columns, row, widths)


def fits(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int) -> bool:
    """Return whether `table_lines` shows the rows side by side in so many characters, none of them stacked."""
    return _widths(columns, rows, width) is not None


def _widths(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int | None) -> list[int] | None:
    """Return each column's width; None if the table does not fit."""
    whole = [max(map(len, cells)) for cells in zip([column.heading for column in columns], *rows, strict=True)]
    for group, members in groupby(range(len(columns)), lambda index: columns[index].group):
        indices = list(members)
        if group:
            lacking = len(group) - (sum(whole[index] for index in indices) + len(_GAP) * (len(indices) - 1))
            whole[indices[-1]] += max(0, lacking)
    if width is None:
        return whole
    wrapping = [index for index, column in enumerate(columns) if column.wraps]
    left = width - len(_GAP) * (len(columns) - 1) - sum(whole[index] for index in range(len(columns)) if index not in wrapping)
    # The shorter texts first: what they do not need is left for the longer ones.
    for place, index in enumerate(sorted(wrapping, key=lambda index: whole[index])):
        share = left // (len(wrapping) - place)
        if whole[index] > share:
            least = max(_LEAST_TEXT, *(_longest_word(row[index]) for row in rows))
            if share < least:
                return None
            whole[index] = share
        left -= whole[index]
    return whole if left >= 0 else None


def _longest_word(text: str) -> int:
    return max(map(len, text.split()), default=0)


def _group_line(columns: Sequence[Column], widths: Sequence[int]) -> str:
    """Return the line above the headings: each group's name over its columns, drawn out to their width."""
    parts = []
    for group, members in groupby(range(len(columns)), lambda index: columns[index].group):
        indices = list(members)
        across = sum(widths[index] for index in indices) + len(_GAP) * (len(indices) - 1)
        parts.append(f"{group} ".ljust(across, "-")[:across] if group else " " * across)
    return _GAP.join(parts).rstrip()


def _row_lines(columns: Sequence[Column], cells: Sequence[str], widths: Sequence[int]) -> Iterator[str]:
    folded = [_wrapped(cell, width) for cell, width in zip(cells, widths, strict=True)]
    for number in range(max(map(len, folded))):
        lines = [cell[number] if number < len(cell) else "" for cell in folded]
        placed = [
            line.rjust(width) if column.right else line.ljust(width)
            for column, line, width in zip(columns, lines, widths, strict=True)
        ]
        yield _GAP.join(placed).rstrip()


def wrapped(text: str, width: int, indent: str = "") -> list[str]:
    """Return a text folded between words, what goes on indented; a word that is wider than a line stays whole."""
    return textwrap.wrap(text, width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False)


def _wrapped(text: str, width: int) -> list[str]:
    return wrapped(text, max(1, width)) if len(text) > width else [text]


def _stacked(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int) -> Iterator[str]:
    """Yield a block a row: its first cell, then a line for every other cell that says something."""
    names = [f"{column.group} {column.heading}".strip() for column in columns]
    margin = max(map(len, names[1:]), default=0)
    for number, row in enumerate(rows):
        if number:
            yield ""
        yield row[0]
        for name, cell in list(zip(names, row, strict=True))[1:]:
            if cell:
                first, *rest = _wrapped(cell, width - margin - 2 * len(_GAP))
                yield f"{_GAP}{name.ljust(margin)}{_GAP}{first}"
                yield from (" " * (margin + 2 * len(_GAP)) + line for line in rest)
