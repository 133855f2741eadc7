"""A weldment on one sheet: from above, from the front and from the right, with a list of its parts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.drawings.paper.lettering import LARGE, LINE, NORMAL, SMALL, fitted
from service.drawings.paper.marks import Box, Group, Mark, Picture, TextLine, name_of, rectangle, shifted
from service.drawings.paper.svg import as_svg
from service.drawings.paper.tables import table
from service.drawings.weldment.flat_views import VIEWS, flat_view
from service.drawings.weldment.shown_weldment import ShownWeldment
from service.text import length
from solver.weldment import Part, Weldment

_WIDE, _HIGH = 134.0, 90.0
_MARGIN, _GAP = 10.0, 5.0
_COLUMNS = ("part", "length or thickness", "material", "section")


def weldment_svg(weldment: Weldment) -> str:
    """Return the sheet as an SVG document."""
    return as_svg(views_sheet(weldment))


def views_sheet(weldment: Weldment) -> Picture:
    """Return three views and the list of parts: the front below the view from above, the right beside the front."""
    shown = ShownWeldment(weldment.name, weldment.units, tuple(enumerate(weldment.parts)), tuple(enumerate(weldment.welds)))
    views = {name: flat_view(shown, name, (_WIDE, _HIGH)) for name in VIEWS}
    column = _MARGIN + max(views["above"].width, views["front"].width) + _GAP
    wide = column + max(views["right"].width, _WIDE) + _MARGIN
    name = fitted(weldment.name or "weldment", LARGE, wide - 2 * _MARGIN, bold=True)
    marks: list[Mark] = [TextLine(name, (_MARGIN, _MARGIN + LARGE), "words", LARGE, bold=True)]
    top = _MARGIN + LARGE + _GAP
    below = top + _heading() + views["above"].height + _GAP
    marks += _view(views["above"], "above", (_MARGIN, top))
    marks += _view(views["front"], "front", (_MARGIN, below))
    marks += _view(views["right"], "right", (column, below))
    bottom = below + _heading() + max(views["front"].height, views["right"].height) + _GAP
    rows = [[part.id, length(part.length, weldment.units), part.material, section_words(part)] for part in weldment.parts]
    listed, high = table(_COLUMNS, rows, wide - 2 * _MARGIN, LINE * NORMAL)
    marks += shifted([TextLine("parts", (0.0, NORMAL), "words", NORMAL, bold=True), *listed], _MARGIN, bottom)
    paper = rectangle(Box(0.0, 0.0, wide, bottom + high + _MARGIN), "paper")
    words = f"{len(weldment.parts)} parts, {len(weldment.welds)} welds, from above, from the front and from the right."
    return Picture(wide, bottom + high + _MARGIN, (paper, *marks), weldment.name or "weldment", words)


def section_words(part: Part) -> str:
    """Return a part's section in words: ``square tube, width 50, wall 3``."""
    sizes = ", ".join(f"{name.replace('_', ' ')} {value:g}" for name, value in part.section.sizes.items())
    shape = part.section.shape.replace("_", " ")
    corners = f"{len(part.section.outline)} corners" + (f", {len(part.section.cutouts)} cut-outs" if part.section.cutouts else "")
    cuts = f"; {len(part.cuts)} cut{'s' if len(part.cuts) > 1 else ''}" if part.cuts else ""
    return f"{shape}, {sizes or corners}{cuts}"


def _heading() -> float:
    return LINE * NORMAL


def _view(picture: Picture, view: str, at: tuple[float, float]) -> Iterator[Mark]:
    """Yield a view under its heading; its groups' ids begin with the view's name, since every view has the same parts."""
    yield TextLine(f"from {'above' if view == 'above' else f'the {view}'}", (at[0], at[1] + SMALL), "quiet", SMALL)
    marks = tuple(_under(view, mark) for mark in shifted(picture.marks, at[0], at[1] + _heading()))
    yield Group(marks, name_of("view", view), picture.title)


def _under(view: str, mark: Mark) -> Mark:
    if not isinstance(mark, Group):
        return mark
    return replace(mark, id=name_of(view, mark.id), marks=tuple(_under(view, one) for one in mark.marks))
