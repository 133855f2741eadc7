"""Tables of words on paper: columns as wide as they must be, the last one's words wrapped into what is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.drawings.paper.lettering import LINE, SMALL, width_mm
from service.drawings.paper.marks import Mark, TextLine, line

_GAP = 2.5
_LEAST_LAST = 30.0


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], wide_mm: float, top: float) -> tuple[list[Mark], float]:
    """Return a table with its upper left corner at (0, top), and its lower edge, mm.

    Parameters
    ----------
    headings : sequence of str
    rows : sequence of sequence of str
        A cell for each heading; those of the last column may wrap.
    wide_mm : float
        What the table may take.
    """
    lefts = _lefts(headings, rows, wide_mm)
    last = wide_mm - lefts[-1]
    y = top + LINE * SMALL
    marks: list[Mark] = [TextLine(head, (left, y), "words", SMALL, bold=True) for head, left in zip(headings, lefts, strict=True)]
    marks.append(line((0.0, y + 0.9), (wide_mm, y + 0.9), style="rule"))
    y += 0.6
    for row in rows:
        *cells, words = row
        lines = list(wrapped(words, SMALL, last))
        marks += [
            TextLine(cell, (left, y + LINE * SMALL), "words", SMALL) for cell, left in zip(cells, lefts, strict=False) if cell
        ]
        marks += [TextLine(text, (lefts[-1], y + (k + 1) * LINE * SMALL), "words", SMALL) for k, text in enumerate(lines) if text]
        y += LINE * SMALL * max(1, len(lines))
    return marks, y + 1.0


def _lefts(headings: Sequence[str], rows: Sequence[Sequence[str]], wide_mm: float) -> list[float]:
    """Return where each column starts, mm; where columns would leave the last one nothing, they are drawn together evenly."""
    widths = [
        max(width_mm(head, SMALL, True), *(width_mm(row[k], SMALL) for row in rows), 0.0) + _GAP
        for k, head in enumerate(headings[:-1])
    ]
    shrink = min(1.0, (wide_mm - _LEAST_LAST) / max(sum(widths), 1e-9))
    lefts = [0.0]
    for width in widths:
        lefts.append(lefts[-1] + shrink * width)
    return lefts


def wrapped(text: str, size: float, wide_mm: float) -> Iterator[str]:
    """Yield a text in lines of at most so much width; a word wider than that is broken."""
    current = ""
    for word in text.split():
        for piece in _broken(word, size, wide_mm):
            joined = f"{current} {piece}" if current else piece
            if current and width_mm(joined, size) > wide_mm:
                yield current
                current = piece
            else:
                current = joined
    yield current


def _broken(word: str, size: float, wide_mm: float) -> Iterator[str]:
    piece = ""
    for character in word:
        if piece and width_mm(piece + character, size) > wide_mm:
            yield piece
            piece = character
        else:
            piece += character
    yield piece
