"""What the marks of the drawings mean."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.drawings.paper.lettering import SMALL, width_mm
from service.drawings.paper.marks import Box, Disc, Group, Mark, Picture, Stroke, TextLine, arrow, line, rectangle, shifted
from service.drawings.views.contact_marks import along_push, bead, chevron, crossed_square, triangle

_ROW = 5.2
_SAMPLE = 9.0
_GAP = 4.0


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """One mark and what it means; the sample is drawn about (4, 0)."""

    sample: tuple[Mark, ...]
    words: str


def _body(style: str) -> Mark:
    return rectangle(Box(1.0, -1.6, 7.0, 1.6), style)


_PUSH = arrow((0.6, 0.0), (5.0, 0.0), "push")
_TAG = rectangle(Box(0.6, -1.7, 7.4, 1.7), "tag")
_HOLE = (
    Disc((2.5, 0.0), 1.3, "hole"),
    line((1.6, 0.0), (3.4, 0.0), style="cross"),
    line((2.5, -0.9), (2.5, 0.9), style="cross"),
    Stroke((((5.2, -1.0), (7.2, 1.0)), ((5.2, 1.0), (7.2, -1.0))), "blocked", closed=False),
)
_SIDE = (triangle((3.6, 0.0), (1.0, 0.0), "side"), along_push((6.2, 0.0), "side"))
_END = (triangle((3.6, 0.0), (1.0, 0.0), "end"), along_push((6.2, 0.0), "end"))

ENTRIES: tuple[LegendEntry, ...] = (
    LegendEntry((_body("part"),), "part"),
    LegendEntry((_body("part outer"),), "outer body: held by hand"),
    LegendEntry((_body("locator"),), "locates"),
    LegendEntry((_body("clamp"),), "clamps"),
    LegendEntry((_body("carrier"),), "carries"),
    LegendEntry((_body("hidden"),), "edge below a part"),
    LegendEntry(_SIDE, "side point: pushes that way; away from you"),
    LegendEntry(_END, "end point"),
    LegendEntry(tuple(crossed_square((4.0, 0.0))), "support point"),
    LegendEntry(tuple(chevron((4.5, 0.0), (1.0, 0.0))), "V-block"),
    LegendEntry((*_PUSH, Disc((6.0, 0.0), 1.0, "tip"), Disc((6.0, 0.0), 0.4, "dot")), "clamp and its push"),
    LegendEntry(tuple(bead([(1.0, 0.0), (7.0, 0.0)])), "weld"),
    LegendEntry((Disc((4.0, 0.0), 0.9, "bead"),), "upright weld"),
    LegendEntry(tuple(arrow((1.0, 0.0), (7.0, 0.0), "torch", head=1.4)), "torch comes that way"),
    LegendEntry((Disc((4.0, 0.0), 1.1, "torch-down"), Disc((4.0, 0.0), 0.35, "torch-head")), "torch comes from you"),
    LegendEntry(_HOLE, "hole of a piece; blocked hole"),
    LegendEntry(
        (_TAG, TextLine("4+5", (4.0, 0.9), "words", SMALL, "middle", bold=True)), "number in placing order, from the table up"
    ),
    LegendEntry((_TAG, TextLine("h 50", (4.0, 0.9), "words", SMALL, "middle")), "height it meets a part at"),
)
"""Every mark there is, in the order it is explained."""


def legend(wide_mm: float) -> Picture:
    """Return the legend in lines of at most so much width, mm."""
    marks, bottom = [], 0.0
    for number, (entry, x, y) in enumerate(_set(wide_mm)):
        words = TextLine(entry.words, (x + _SAMPLE, y + 0.35 * SMALL), "words", SMALL)
        marks.append(Group((*shifted(entry.sample, x, y), words), f"legend-{number}", entry.words))
        bottom = y + _ROW / 2
    return Picture(wide_mm, bottom, tuple(marks), "what the marks mean")


def _set(wide_mm: float) -> Iterator[tuple[LegendEntry, float, float]]:
    """Yield every entry with its place, line after line."""
    x, y = 0.0, _ROW / 2
    for entry in ENTRIES:
        wide = _SAMPLE + width_mm(entry.words, SMALL)
        if x > 0 and x + wide > wide_mm:
            x, y = 0.0, y + _ROW
        yield entry, x, y
        x += wide + _GAP
