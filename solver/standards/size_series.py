"""Series of sizes that standards name for hollow sections and bars: for saying of a size that it is not among them.

A size outside them may be made and sold all the same. Source of all of them: the standards named, source not checked.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

_SQUARES = "20 25 30 35 40 45 50 60 70 80 90 100 110 120 125 140 150 160 175 180 200 220 250 260 300 350 400"
_RECTANGLES = (
    "40x20 40x30 50x20 50x25 50x30 50x40 60x20 60x30 60x40 70x40 70x50 80x40 80x50 80x60 90x50 90x60 100x40 100x50 100x60 100x80 "
    "120x40 120x50 120x60 120x80 120x100 140x60 140x70 140x80 150x50 150x75 150x100 160x80 160x90 180x80 180x100 180x120 200x80 "
    "200x100 200x120 200x150 220x120 220x140 250x100 250x150 260x140 260x180 300x100 300x150 300x200 300x250 350x150 350x250 "
    "400x150 400x200 400x300 450x250 500x200 500x300"
)
_DIAMETERS = (
    "21.3 26.9 33.7 38 42.4 44.5 48.3 51 54 57 60.3 63.5 70 73 76.1 88.9 101.6 108 114.3 127 133 139.7 159 168.3 177.8 193.7 "
    "219.1 244.5 273 323.9 355.6 406.4 457 508 610 711 762 813 914 1016 1067 1168 1219"
)
_COLD_WALLS = "1.5 2 2.5 3 3.2 3.6 4 4.5 5 6 6.3 8 10 12 12.5 16 20 25 30"
_HOT_WALLS = "2.3 2.6 2.9 3 3.2 3.6 4 4.5 5 5.6 6 6.3 7.1 8 8.8 10 11 12 12.5 14.2 16 20 25 30 40 50"
_FLAT_WIDTHS = "10 12 15 16 20 25 30 35 40 45 50 60 65 70 75 80 90 100 110 120 130 140 150"
_FLAT_THICKNESSES = "3 4 5 6 8 10 12 15 20 25 30 35 40 50 60 80"
_SQUARE_BARS = "8 10 12 13 14 15 16 18 20 22 24 25 26 28 30 32 35 40 45 50 55 60 65 70 75 80 90 100 110 120 130 140 150"
_ROUND_BARS = (
    "8 10 12 13 14 15 16 18 19 20 22 24 25 26 27 28 30 32 35 36 38 40 42 45 48 50 52 55 60 63 65 70 73 75 80 85 90 95 100 105 "
    "110 115 120 125 130 135 140 145 150 155 160 165 170 175 180 190 200 220 250"
)


@dataclass(frozen=True, slots=True)
class SizeSeries:
    """What a standard names: the outsides, such as ``60x40``, and the thicknesses that go with them."""

    standard: str
    outsides: frozenset[str]
    thicknesses: frozenset[str] = frozenset()

    def lacks(self, outside: str, thickness: str = "") -> str:
        """Return what of a size is not in the series, empty if all of it is."""
        missing = [] if outside in self.outsides else [outside]
        if thickness and thickness not in self.thicknesses:
            missing.append(f"{thickness} thick")
        return " and ".join(missing)


def _series(standard: str, outsides: str, thicknesses: str = "") -> SizeSeries:
    return SizeSeries(standard, frozenset(outsides.split()), frozenset(thicknesses.split()))


SERIES: Mapping[str, SizeSeries] = {
    "cold square_tube": _series("EN 10219-2", _SQUARES, _COLD_WALLS),
    "cold rect_tube": _series("EN 10219-2", _RECTANGLES, _COLD_WALLS),
    "cold round_tube": _series("EN 10219-2", _DIAMETERS, _COLD_WALLS),
    "hot square_tube": _series("EN 10210-2", _SQUARES, _HOT_WALLS),
    "hot rect_tube": _series("EN 10210-2", _RECTANGLES, _HOT_WALLS),
    "hot round_tube": _series("EN 10210-2", _DIAMETERS, _HOT_WALLS),
    "flat_bar": _series("EN 10058", _FLAT_WIDTHS, _FLAT_THICKNESSES),
    "square_bar": _series("EN 10059", _SQUARE_BARS),
    "round_bar": _series("EN 10060", _ROUND_BARS),
}
"""By shape; of hollow sections, by how they are made too."""
