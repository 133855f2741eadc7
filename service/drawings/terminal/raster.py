"""The top view of one plan in characters: holes, parts, pieces, welds, one character a tenth or so of a pitch."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from rich.text import Text

from inventory.shapes import Point2
from inventory.tables import hole_label
from service.drawings.projection import Silhouette
from service.drawings.scene import Scene
from service.text import printable


@dataclass(frozen=True, slots=True)
class Glyphs:
    """The characters of a drawing; the plain set needs no more than ASCII."""

    hole: str
    blocked: str
    part: str
    locator: str
    clamp: str
    carrier: str
    weld: str


FINE = Glyphs(hole="·", blocked="✕", part="░", locator="█", clamp="▓", carrier="▒", weld="#")
PLAIN = Glyphs(hole=".", blocked="x", part="-", locator="L", clamp="C", carrier="R", weld="#")
_STYLES = {
    "part": "cyan",
    "locator": "blue",
    "clamp": "yellow",
    "carrier": "green",
    "weld": "bold red",
    "id": "bold reverse",
    "": "dim",
}
_GUTTER = 4
_TALLEST = 45
_ROUNDED = 2
"""So many cells the window may gain as its edges are rounded to whole cells."""


def top_view_lines(scene: Scene, glyphs: Glyphs, width: int) -> Iterator[Text]:
    """Yield the drawing from the far edge to the near one, then the column letters, in lines of so many characters at most."""
    raster = _Raster(scene, max(40, width - _GUTTER))
    cells = raster.filled(scene, glyphs)
    labels = raster.row_labels()
    for row in range(raster.high - 1, -1, -1):
        line = Text(f"{labels.get(row, ''):>{_GUTTER - 1}} ", style="dim")
        for character, style in cells[row]:
            line.append(character, style=_STYLES[style])
        yield line
    letters = [" "] * raster.wide
    for column, label in raster.column_labels():
        if all(letters[k] == " " for k in range(max(0, column - 1), min(raster.wide, column + len(label)))):
            letters[column : column + len(label)] = label
    yield Text(" " * _GUTTER + "".join(letters[: raster.wide]), style="dim")


def key_line(glyphs: Glyphs) -> Text:
    """Return what the characters of the drawing stand for, in one line."""
    words = Text(" " * _GUTTER)
    for style in ("part", "locator", "clamp", "carrier", "weld"):
        words.append(getattr(glyphs, style) * 2, style=_STYLES[style])
        words.append(f" {style}   ")
    words.append(f"{glyphs.hole} hole   {glyphs.blocked} blocked", style="dim")
    return words


class _Raster:
    """The window as character cells, twice as high as wide, so that the drawing keeps its proportions.

    Cells are laid so that holes fall on cell centres: a whole number of cells to the pitch, or, where a wide table leaves less
    than a cell to a hole, of pitches to the cell.
    """

    def __init__(self, scene: Scene, columns: int) -> None:
        table, (x0, y0, x1, y1) = scene.table, scene.window
        fitting = min((columns - _ROUNDED) * table.pitch / (x1 - x0), 2 * _TALLEST * table.pitch / (y1 - y0))
        self.across = table.pitch / min(6, int(fitting) // 2 * 2 or 1) if fitting >= 1 else table.pitch * math.ceil(1 / fitting)
        self.up = 2 * self.across
        self.left = table.first[0] + self.across * round((x0 - table.first[0]) / self.across)
        self.low = table.first[1] + self.up * round((y0 - table.first[1]) / self.up)
        self.wide, self.high = round((x1 - self.left) / self.across) + 1, round((y1 - self.low) / self.up) + 1
        self.table = table

    def cell(self, point: Point2) -> tuple[int, int]:
        """Return the (column, row) of the cell a point falls in; it may lie outside the drawing."""
        return round((point[0] - self.left) / self.across), round((point[1] - self.low) / self.up)

    def filled(self, scene: Scene, glyphs: Glyphs) -> list[list[tuple[str, str]]]:
        """Return a (character, style) per cell: table, then bodies from low to high, welds, the pieces' ids."""
        cells = [[(" ", "")] * self.wide for _ in range(self.high)]
        for hole, centre in self._holes():
            self._put(cells, self.cell(centre), glyphs.blocked if hole in self.table.blocked_holes else glyphs.hole, "")
        for shape, character, style in _by_height(scene, glyphs):
            for column, row in self._covered(shape):
                self._put(cells, (column, row), character, style)
        for weld in scene.welds:
            for point in _along(weld.path, self.across / 2):
                self._put(cells, self.cell(point), glyphs.weld, "weld")
        for piece in scene.pieces:
            column, row = self.cell(piece.origin)
            for offset, character in enumerate(printable(piece.id)):
                self._put(cells, (column + offset - len(piece.id) // 2, row), character, "id")
        return cells

    def _put(self, cells: list[list[tuple[str, str]]], at: tuple[int, int], character: str, style: str) -> None:
        if 0 <= at[0] < self.wide and 0 <= at[1] < self.high:
            cells[at[1]][at[0]] = (character, style)

    def _covered(self, shape: Silhouette) -> Iterator[tuple[int, int]]:
        """Yield the cells whose centre the solid covers; at least the one under its middle."""
        x0, y0, x1, y1 = shape.box
        (first, bottom), (last, top) = self.cell((x0, y0)), self.cell((x1, y1))
        found = False
        for row in range(bottom, top + 1):
            for column in range(first, last + 1):
                if shape.covers(self.left + self.across * column, self.low + self.up * row):
                    found = True
                    yield column, row
        if not found:
            yield self.cell(((x0 + x1) / 2, (y0 + y1) / 2))

    def _holes(self) -> Iterator[tuple[tuple[int, int], Point2]]:
        for column in range(self.table.columns):
            for row in range(self.table.rows):
                yield (
                    (column, row),
                    (self.table.first[0] + self.table.pitch * column, self.table.first[1] + self.table.pitch * row),
                )

    def row_labels(self) -> dict[int, str]:
        """Return the table's row numbers by drawing row."""
        rows = (
            (self.cell((0.0, self.table.first[1] + self.table.pitch * row))[1], str(row + 1)) for row in range(self.table.rows)
        )
        return {at: label for at, label in rows if 0 <= at < self.high}

    def column_labels(self) -> list[tuple[int, str]]:
        """Return the table's column letters with the drawing column they start at."""
        first, pitch = self.table.first[0], self.table.pitch
        labels = ((self.cell((first + pitch * k, 0.0))[0], hole_label((k, 0))[:-1]) for k in range(self.table.columns))
        return [(at, label) for at, label in labels if 0 <= at < self.wide]


def _by_height(scene: Scene, glyphs: Glyphs) -> list[tuple[Silhouette, str, str]]:
    bodies = [(shape, glyphs.part, "part") for part in scene.parts for shape in part.shapes]
    for piece in scene.pieces:
        bodies += [(shape, getattr(glyphs, piece.purpose), piece.purpose) for shape in piece.shapes]
    return sorted(bodies, key=lambda body: body[0].high)


def _along(path: Iterable[Point2], step: float) -> Iterator[Point2]:
    points = [np.array(point) for point in path]
    for a, b in pairwise(points):
        pieces = max(1, int(np.ceil(np.linalg.norm(b - a) / step)))
        for k in range(pieces + 1):
            x, y = a + (b - a) * k / pieces
            yield float(x), float(y)
