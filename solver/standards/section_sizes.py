"""Sizes of sections that are rolled, drawn and kept by merchants: what a form offers beside sizes typed in.

Source: named in each table, source not checked. A size that is offered here is not promised to be sold, and one that is not may
be typed in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import product
from typing import Literal

from inventory.limits import plain
from solver.sections.profiles import PROFILES

UNCHECKED = "source not checked"


@dataclass(frozen=True, slots=True)
class StandardSize:
    """One size of a shape: the section's sizes by the documents' field names, and what people call it."""

    sizes: Mapping[str, float]
    name: str


@dataclass(frozen=True, slots=True)
class SizeTable:
    """The sizes of one shape in one unit, and where they are published."""

    shape: str
    units: Literal["mm", "inch"]
    source: str
    sizes: tuple[StandardSize, ...]
    usual: int = 0
    """Which of them a form offers first."""


def size_table(shape: str, units: str) -> SizeTable | None:
    """Return the sizes of a shape in a unit, None where there are none, as of plates of any outline."""
    return _TABLES.get((shape, units))


def _rows(shape: str, text: str, called: str = "") -> tuple[StandardSize, ...]:
    """Return sizes from rows such as ``50x3 4 5``: all but the last size by x, then each last size that goes with them."""
    fields = PROFILES[shape].sizes
    found = []
    for row in text.split(","):
        head, *more = row.split()
        *first, last = head.split("x")
        for each in (last, *more):
            values = tuple(map(float, (*first, each)))
            found.append(StandardSize(dict(zip(fields, values, strict=True)), called + " x ".join(map(plain, values))))
    return tuple(found)


def _squares(shape: str, text: str) -> tuple[StandardSize, ...]:
    """Return sizes of square tubes, named by both sides."""
    return tuple(
        StandardSize(size.sizes, f"{plain(size.sizes['width'])} x {plain(size.sizes['width'])} x {plain(size.sizes['wall'])}")
        for size in _rows(shape, text)
    )


def _named(shape: str, names: Iterable[tuple[str, tuple[float, ...]]]) -> tuple[StandardSize, ...]:
    """Return sizes that are known by a name of their own."""
    return tuple(StandardSize(dict(zip(PROFILES[shape].sizes, values, strict=True)), name) for name, values in names)


def _flats(widths: Iterable[float], thicknesses: Iterable[float], unit: str = "") -> tuple[StandardSize, ...]:
    return tuple(
        StandardSize({"width": width, "thickness": thick}, f"{plain(width)} x {plain(thick)}{unit}")
        for width, thick in product(widths, thicknesses)
        if thick < width
    )


def _index(sizes: tuple[StandardSize, ...], name: str) -> int:
    return next(k for k, size in enumerate(sizes) if size.name == name)


def _channels() -> tuple[StandardSize, ...]:
    """Return the channels by their names; series by series, each by its height."""
    named = [(f"{series} {row.split('x')[0]}", row) for series, rows in (("UPE", _UPE), ("UPN", _UPN)) for row in rows.split(",")]
    named += [(f"PFC {name}", row) for name, row in _PFC]
    return _named("channel", ((name, tuple(map(float, row.split("x")))) for name, row in named))


def _table(shape: str, units: Literal["mm", "inch"], source: str, sizes: tuple[StandardSize, ...], usual: str) -> SizeTable:
    return SizeTable(shape, units, f"{source}, {UNCHECKED}", sizes, _index(sizes, usual))


_SQUARE = (
    "20x2,25x2 3,30x2 3,40x2 3 4,50x2 3 4 5,60x3 4 5,70x3 4 5,80x3 4 5 6,90x4 5,100x3 4 5 6 8,120x4 5 6 8,140x5 6 8,"
    "150x5 6 8 10,160x6 8,180x6 8 10,200x6 8 10"
)
_RECTANGLES = (
    "40x20x2 3,50x25x2 3,50x30x2 3,60x30x2 3,60x40x2 3 4,80x40x3 4 5,80x60x3 4 5,90x50x3 4 5,100x40x3 4 5,100x50x3 4 5 6,"
    "100x60x4 5 6,100x80x4 5 6,120x60x4 5 6,120x80x4 5 6,140x80x4 5 6,150x100x5 6 8,160x80x5 6 8,180x100x5 6 8,200x100x5 6 8"
)
_TUBES = (
    "21.3x2 2.5,26.9x2 2.5,33.7x2.5 3,42.4x2.5 3 4,48.3x2.5 3 3.2 4,60.3x3 4 5,76.1x3 4 5,88.9x3 4 5,101.6x4 5,114.3x4 5 6,"
    "139.7x4 5 6,168.3x4 5 6,219.1x5 6 8"
)
_ANGLES = (
    "20x20x3,25x25x3 4,30x30x3 4,35x35x4,40x40x4 5,45x45x4.5,50x50x4 5 6,60x60x5 6 8,65x65x7,70x70x6 7,75x75x6 8,80x80x8 10,"
    "90x90x7 8 9 10,100x100x8 10 12,120x120x10 12,130x130x12,150x150x10 12 15,160x160x15,180x180x16 18,200x200x16 18 20 24,"
    "250x250x28 35,30x20x3 4,40x20x4,40x25x4,45x30x4,50x30x5,60x30x5,60x40x5 6,65x50x5,70x50x6,75x50x6 8,80x40x6 8,80x60x7,"
    "100x50x6 8,100x65x7 8 10,100x75x8 10 12,120x80x8 10 12,125x75x8 10 12,135x65x8 10,150x75x9 10 12 15,150x90x10 12 15,"
    "150x100x10 12,200x100x10 12 15,200x150x12 15 18"
)
# UPE and UPN: read in two published tables each (DIN 1026-2 and EN 10365; DIN 1026-1). PFC: source not checked.
_UPE = (
    "80x50x4x7,100x55x4.5x7.5,120x60x5x8,140x65x5x9,160x70x5.5x9.5,180x75x5.5x10.5,200x80x6x11,220x85x6.5x12,240x90x7x12.5,"
    "270x95x7.5x13.5,300x100x9.5x15,330x105x11x16,360x110x12x17,400x115x13.5x18"
)
_UPN = (
    "50x38x5x7,65x42x5.5x7.5,80x45x6x8,100x50x6x8.5,120x55x7x9,140x60x7x10,160x65x7.5x10.5,180x70x8x11,200x75x8.5x11.5,"
    "220x80x9x12.5,240x85x9.5x13,260x90x10x14,280x95x10x15,300x100x10x16,320x100x14x17.5,350x100x14x16,380x102x13.5x16,"
    "400x110x14x18"
)
_PFC = (
    ("100 x 50 x 10", "100x50x5x8.5"), ("125 x 65 x 15", "125x65x5.5x9.5"), ("150 x 75 x 18", "150x75x5.5x10"),
    ("150 x 90 x 24", "150x90x6.5x12"), ("180 x 75 x 20", "180x75x6x10.5"), ("180 x 90 x 26", "180x90x6.5x12.5"),
    ("200 x 75 x 23", "200x75x6x12.5"), ("200 x 90 x 30", "200x90x7x14"), ("230 x 75 x 26", "230x75x6.5x12.5"),
    ("230 x 90 x 32", "230x90x7.5x14"), ("260 x 75 x 28", "260x75x7x12"), ("260 x 90 x 35", "260x90x8x14"),
    ("300 x 90 x 41", "300x90x9x15.5"), ("300 x 100 x 46", "300x100x9x16.5"), ("380 x 100 x 54", "380x100x9.5x17.5"),
    ("430 x 100 x 64", "430x100x11x19"),
)  # fmt: skip
_SQUARE_INCH = (
    "1x0.065 0.12,1.25x0.12,1.5x0.12 0.1875,2x0.125 0.1875 0.25,2.5x0.1875 0.25,3x0.125 0.1875 0.25,4x0.1875 0.25 0.375"
)
_RECTANGLES_INCH = (
    "2x1x0.12,3x1.5x0.125 0.1875,3x2x0.125 0.1875 0.25,4x2x0.125 0.1875 0.25,4x3x0.1875 0.25,6x2x0.1875 0.25,6x4x0.25"
)
_PIPES = (
    ("pipe 1/2, schedule 40", (0.84, 0.109)), ("pipe 3/4, schedule 40", (1.05, 0.113)), ("pipe 1, schedule 40", (1.315, 0.133)),
    ("pipe 1 1/4, schedule 40", (1.66, 0.14)), ("pipe 1 1/2, schedule 40", (1.9, 0.145)), ("pipe 2, schedule 40", (2.375, 0.154)),
    ("pipe 2 1/2, schedule 40", (2.875, 0.203)), ("pipe 3, schedule 40", (3.5, 0.216)), ("pipe 4, schedule 40", (4.5, 0.237)),
)  # fmt: skip
_ANGLES_INCH = (
    "1x1x0.125,1.25x1.25x0.125,1.5x1.5x0.125 0.1875,2x2x0.125 0.1875 0.25,2.5x2.5x0.1875 0.25,3x3x0.1875 0.25 0.375,"
    "4x4x0.25 0.375,2.5x2x0.1875 0.25,3x2x0.1875 0.25,4x3x0.25 0.375"
)
_CHANNELS_INCH = (
    ("C3 x 4.1", (3.0, 1.41, 0.17, 0.273)), ("C4 x 5.4", (4.0, 1.584, 0.184, 0.296)), ("C5 x 6.7", (5.0, 1.75, 0.19, 0.32)),
    ("C6 x 8.2", (6.0, 1.92, 0.2, 0.343)), ("C8 x 11.5", (8.0, 2.26, 0.22, 0.39)),
)  # fmt: skip
_FLAT_WIDTHS, _FLAT_THICKNESSES = (20, 25, 30, 40, 50, 60, 70, 80, 100, 120, 150), (4, 5, 6, 8, 10, 12, 15, 20, 25)
_FLAT_WIDTHS_INCH, _FLAT_THICKNESSES_INCH = (0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4, 6), (0.125, 0.1875, 0.25, 0.375, 0.5, 0.75)
_BARS = "8,10,12,14,15,16,18,20,22,24,25,28,30,32,35,40,45,50,60"
_BARS_INCH = "0.25,0.375,0.5,0.625,0.75,0.875,1,1.25,1.5,2"

_ALL = (
    _table("square_tube", "mm", "EN 10219-2", _squares("square_tube", _SQUARE), "50 x 50 x 3"),
    _table("rect_tube", "mm", "EN 10219-2", _rows("rect_tube", _RECTANGLES), "60 x 40 x 3"),
    _table("round_tube", "mm", "EN 10219-2", _rows("round_tube", _TUBES), "48.3 x 3"),
    _table("angle", "mm", "EN 10056-1, root and toe radii left out", _rows("angle", _ANGLES), "50 x 50 x 5"),
    _table("channel", "mm", "EN 10365, root radii and the slope of UPN left out", _channels(), "UPE 80"),
    _table("flat_bar", "mm", "EN 10058", _flats(_FLAT_WIDTHS, _FLAT_THICKNESSES), "50 x 8"),
    _table("round_bar", "mm", "EN 10060", _rows("round_bar", _BARS), "20"),
    _table("square_tube", "inch", "ASTM A500", _squares("square_tube", _SQUARE_INCH), "2 x 2 x 0.1875"),
    _table("rect_tube", "inch", "ASTM A500", _rows("rect_tube", _RECTANGLES_INCH), "3 x 2 x 0.1875"),
    _table("round_tube", "inch", "ASME B36.10M", _named("round_tube", _PIPES), "pipe 1 1/2, schedule 40"),
    _table("angle", "inch", "ASTM A6, root and toe radii left out", _rows("angle", _ANGLES_INCH), "2 x 2 x 0.1875"),
    _table("channel", "inch", "ASTM A6, flanges drawn without their slope", _named("channel", _CHANNELS_INCH), "C4 x 5.4"),
    _table("flat_bar", "inch", "common bar sizes", _flats(_FLAT_WIDTHS_INCH, _FLAT_THICKNESSES_INCH), "2 x 0.25"),
    _table("round_bar", "inch", "common bar sizes", _rows("round_bar", _BARS_INCH), "0.75"),
)
_TABLES: Mapping[tuple[str, str], SizeTable] = {(table.shape, table.units): table for table in _ALL}
