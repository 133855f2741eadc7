"""What a model in space shows of one alternative: every body under a name of its own, with what it is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from inventory import limits
from inventory.items import KINDS, Purpose
from inventory.shapes import Array, Matrix, Point3, Prism, as_matrix
from inventory.tables import Table, hole_label
from service.drawings.models.curved_solids import CurvedSolid, of_piece, of_placed_part, of_prism
from service.drawings.subject import Subject
from service.palette import COLOURS
from solver.plans import Placement

Material = Literal["table", "part", "weld"] | Purpose
FILLS: Mapping[Material, str] = {
    "table": COLOURS["plate"],
    "part": COLOURS["steel"],
    "locator": COLOURS["petrol"],
    "clamp": COLOURS["ochre"],
    "carrier": COLOURS["sand"],
    "weld": COLOURS["madder"],
}
"""The colour of each kind of body."""
ROD_MM = 3.0
"""How thick a weld is shown."""


@dataclass(frozen=True, slots=True)
class ModelBody:
    """One body of a model.

    Parameters
    ----------
    name : str
        The id of the part, piece or weld; with stations, its station behind it. No other body has it.
    material : str
        What kind of body it is.
    solids : tuple of Prism
        In the table frame, mm.
    facts : mapping
        What is known of it besides, as JSON, by the words of plan and table: ``id``, ``item``, ``hole``, ``pitch`` ...
    curved : tuple of CurvedSolid
        Its solids with their true arcs, as many; empty if all their sides are straight.
    """

    name: str
    material: Material
    solids: tuple[Prism, ...]
    facts: Mapping[str, object]
    curved: tuple[CurvedSolid, ...] = ()

    @property
    def exact(self) -> tuple[CurvedSolid, ...]:
        """Its solids with their true arcs."""
        return self.curved or tuple(map(of_prism, self.solids))


def bodies(subject: Subject) -> Iterator[ModelBody]:
    """Yield the table's slab, the parts, the pieces and the welds of one alternative, no two under one name.

    Raises
    ------
    KeyError
        If the alternative names a table or an item the stock does not have.
    """
    return under_own_names(_bodies(subject))


def open_clamps(subject: Subject, taken: Iterable[str] = ()) -> Iterator[ModelBody]:
    """Yield the clamps that look otherwise when open, as they are then, under names that are not taken."""
    shut = (placement for placement in subject.alternative.placements if placement.open_solids is not None)
    opened = (_piece(each, subject, f"{each.id} open", each.open_solids or ()) for each in shut)
    yield from under_own_names((replace(body, facts={**body.facts, "open": True}) for body in opened), taken)


def weld_paths(subject: Subject) -> Iterator[tuple[str, int | None, tuple[Point3, ...]]]:
    """Yield each weld's id, its station and its path in the table frame, mm."""
    for station in subject.alternative.stations:
        frame = np.array(station.weldment_to_table, dtype=float)
        for weld in subject.request.weldment.welds:
            placed = np.array([(*point, 1.0) for point in weld.path]) @ frame.T
            yield weld.id, station.number, tuple((float(x), float(y), float(z)) for x, y, z, _ in placed)


def slab(table: Table) -> Prism:
    """Return a table's slab without its holes."""
    long, wide = table.size
    return Prism(((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide)), -table.thickness, 0.0)


def rods(path: Sequence[Point3]) -> Iterator[Prism]:
    """Yield an eight-sided rod of 3 mm along each leg of a polyline (mm)."""
    corners = [math.radians(angle) for angle in range(0, 360, 45)]
    outline = tuple((ROD_MM / 2 * math.cos(angle), ROD_MM / 2 * math.sin(angle)) for angle in corners)
    for start, end in pairwise(np.array(path, dtype=float)):
        length = float(np.linalg.norm(end - start))
        if length > limits.SPACING:
            yield Prism(outline, 0.0, length, frame=_along((end - start) / length, start))


def _along(direction: Array, origin: Array) -> Matrix:
    """Return a frame whose w runs along a unit direction."""
    frame = np.eye(4)
    across = np.cross(np.eye(3)[np.abs(direction).argmin()], direction)
    frame[:3, 0] = across / np.linalg.norm(across)
    frame[:3, 1] = np.cross(direction, frame[:3, 0])
    frame[:3, 2], frame[:3, 3] = direction, origin
    return as_matrix(frame)


def under_own_names(given: Iterable[ModelBody], others: Iterable[str] = ()) -> Iterator[ModelBody]:
    """Yield bodies, numbered where their name is taken by another before them or by one of the others."""
    taken = set(others)
    for body in given:
        names = (body.name, *(f"{body.name} ({number})" for number in range(2, len(taken) + 3)))
        name = next(name for name in names if name not in taken)
        taken.add(name)
        yield replace(body, name=name)


def _bodies(subject: Subject) -> Iterator[ModelBody]:
    alternative, stock = subject.alternative, subject.stock
    table = stock.tables[alternative.table]
    yield ModelBody("table", "table", (slab(table),), _lattice(table))
    sections = {part.id: part for part in subject.request.weldment.parts}
    for part in alternative.parts:
        curved = tuple(of_placed_part(sections.get(part.id), solid) for solid in part.solids)
        outer = "yes" if part.id in sections and sections[part.id].body else None
        known = _known(id=part.id, station=part.station, outer_body=outer)
        yield ModelBody(_named(part.id, part.station), "part", part.solids, known, curved)
    for placement in alternative.placements:
        yield _piece(placement, subject, placement.id, placement.solids)
    for id, station, path in weld_paths(subject):
        yield ModelBody(_named(id, station), "weld", tuple(rods(path)), _known(id=id, station=station))


def _lattice(table: Table) -> Mapping[str, object]:
    """Return where a table's holes are, by the words of its document, mm."""
    return {
        "id": table.id, "first": list(table.first), "pitch": table.pitch, "columns": table.columns, "rows": table.rows,
        "hole_diameter": table.hole_diameter, "blocked_holes": [hole_label(hole) for hole in sorted(table.blocked_holes)],
    }  # fmt: skip


def _named(id: str, station: int | None) -> str:
    return id if station is None else f"{id} / {station}"


def _piece(placement: Placement, subject: Subject, name: str, solids: tuple[Prism, ...]) -> ModelBody:
    item = subject.stock.items[placement.item]
    facts = _known(
        id=placement.id, item=item.id, item_name=item.name, hole=placement.hole, stands_on=placement.stands_on,
        turn=float(placement.turn), setting_mm=placement.setting_mm, station=placement.station,
    )  # fmt: skip
    return ModelBody(name, KINDS[item.kind].purpose, solids, facts, tuple(map(of_piece, solids)))


def _known(**facts: str | float | None) -> Mapping[str, object]:
    return {name: value for name, value in facts.items() if value is not None}
