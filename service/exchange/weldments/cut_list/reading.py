"""A cut list as a weldment: placed parts where their rows say, the others laid out beside them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import plain
from service.exchange.weldments.cut_list.list_rows import CutRow, cut_rows, listed
from service.exchange.weldments.weldment_reading import DrawnUnit, ReadBody, ReadingOptions, Remark, WeldmentReading
from solver.weldment import Part, Pose

APART = 50.0
"""Between parts that are laid out, mm."""
WIDE = 5000.0
"""Parts are laid out side by side up to this width, mm, then behind one another."""


def read_csv(content: bytes, name: str, options: ReadingOptions) -> WeldmentReading:
    """Return the parts of a cut list.

    Parameters
    ----------
    content : bytes
        CSV: `COLUMNS` of `list_rows`.
    name : str
        Of the weldment.
    options : ReadingOptions
        Units of lengths (mm unless they say), material of rows that name none, names left out.

    Raises
    ------
    InvalidDocument
        With every fault, at pointers ``/rows/<row>/<column>``.
    """
    units: DrawnUnit = options.units or "mm"
    rows = cut_rows(content, units, options.material)
    if (count := listed(rows)) > limits.PARTS:
        raise InvalidDocument([Fault("/rows", f"{count} parts", f"at most {limits.PARTS} parts")])
    named = [(row, part) for row in rows for part in _copies(row, {each.part.id for each in rows})]
    kept = [(row, part) for row, part in named if part.id not in options.left_out]
    placed = [part for row, part in kept if row.placed]
    loose = [part for row, part in kept if not row.placed]
    laid = {part.id: part for part in (*placed, *_laid_out(loose, _beyond(placed)))}
    bodies = [_body(number, row, part, laid) for number, (row, part) in enumerate(named, start=1)]
    remarks: list[Remark] = []
    if loose:
        text = f"{len(loose)} of {len(kept)} parts have no position and are laid out beside each other; they are to be placed"
        remarks.append(Remark("parts.laid_out", text))
    parts = tuple(laid[part.id] for _, part in kept)
    return WeldmentReading("csv", "", units, name, parts, tuple(bodies), tuple(remarks))


def _copies(row: CutRow, names: set[str]) -> Iterable[Part]:
    """Yield the parts of a row, numbered if there are several; a number that another row has for its name is passed over."""
    if row.quantity == 1:
        yield row.part
        return
    stem = row.part.id[: limits.ID_LENGTH - 4]
    numbers = (f"{stem}-{k}" for k in range(1, row.quantity + len(names) + 1))
    free = [each for each in numbers if each not in names]
    for id in free[: row.quantity]:
        names.add(id)
        yield replace(row.part, id=id)


def _beyond(placed: Sequence[Part]) -> float:
    """Return the y beyond which nothing is placed, mm."""
    tops = [float(_corners(part)[:, 1].max()) for part in placed]
    return max(tops) + APART if tops else 0.0


def _corners(part: Part) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    outline = np.array(part.section.outline)
    ends = [np.column_stack([outline, np.full(len(outline), w)]) for w in (0.0, part.length)]
    frame = part.pose.frame()
    corners: np.ndarray[tuple[int, int], np.dtype[np.float64]] = np.vstack(ends) @ frame[:3, :3].T + frame[:3, 3]
    return corners


def _laid_out(parts: Sequence[Part], first_y: float) -> Iterable[Part]:
    """Yield parts side by side on z = 0, each with its longest side along x or as a plate lies, from y = `first_y` on."""
    x, y, deepest = 0.0, first_y, 0.0
    for part in parts:
        corners = _corners(part)
        low, size = corners.min(axis=0), np.ptp(corners, axis=0)
        if y > first_y and y + size[1] > first_y + WIDE:
            x, y, deepest = x + deepest + APART, first_y, 0.0
        at = (x - float(low[0]), y - float(low[1]), -float(low[2]))
        if not all(math.isfinite(c) and abs(c) <= limits.COORDINATE.high for c in at):
            wrong = f"{len(parts)} parts without a position take more room than {plain(limits.COORDINATE.high)} mm"
            raise InvalidDocument([Fault("/rows", wrong, "positions, or fewer parts")])
        yield replace(part, pose=Pose((at[0] + 0.0, at[1] + 0.0, at[2] + 0.0), part.pose.along, part.pose.up))
        y += float(size[1]) + APART
        deepest = max(deepest, float(size[0]))


def _body(number: int, row: CutRow, part: Part, laid: dict[str, Part]) -> ReadBody:
    where = f"row {row.row}"
    remarks = []
    if row.section.not_in_series:
        text = f"{row.section.not_in_series}; it is taken as it is written"
        remarks.append(Remark("size.not_in_series", text, where))
    if part.id not in laid:
        return ReadBody(number, part.id, "left_out")
    return ReadBody(number, part.id, "part", part.id, _words(row, part), remarks=tuple(remarks))


def _words(row: CutRow, part: Part) -> str:
    words = row.section.name + ("" if row.section.thickness is not None else f", {plain(round(part.length, 3))} mm")
    ends = len({cut.normal[2] > 0 for cut in part.cuts})
    return words + (f", slanted at {'both ends' if ends == 2 else 'one end'}" if ends else "")
