"""What a top view shows of one alternative, taken from the alternative, the request and the stock alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from inventory.items import KINDS, Purpose
from inventory.shapes import Point2, Point3, Prism
from inventory.stock import StockSnapshot
from inventory.tables import Table, parse_hole
from service.drawings.placing_order import numbers
from service.drawings.projection import Silhouette, silhouette
from service.drawings.subject import Subject
from service.steps import load_lines
from service.text import money
from solver.plans import Alternative, Change, PlacedPart, Placement, Role
from solver.request import Request
from solver.weldment import LengthUnit

Mark = Literal["support", "side", "end", "clamp", "rests"]
MARGIN_PITCHES = 1.5


@dataclass(frozen=True, slots=True)
class DrawnPart:
    """One part as it lies on the table; several stations repeat it under another label. `outer` says it is an outer body."""

    id: str
    shapes: tuple[Silhouette, ...]
    solids: tuple[Prism, ...] = ()
    outer: bool = False


@dataclass(frozen=True, slots=True)
class DrawnPiece:
    """One placed piece: where its origin stands, how it is turned and set, and what it locates.

    `number` is its place in the order the hands place them; `shapes` are its `solids` seen from above.
    """

    id: str
    item: str
    name: str
    purpose: Purpose
    origin: Point2
    hole: str | None
    turn: float
    stands_on: str | None
    setting_mm: float | None
    locates: tuple[tuple[str, Role], ...]
    shapes: tuple[Silhouette, ...]
    solids: tuple[Prism, ...] = ()
    number: int = 0
    station: int | None = None

    @property
    def place(self) -> str:
        """Where the piece stands, in words a fitter reads: a hole label or the piece under it."""
        return self.hole if self.hole is not None else f"on {self.stands_on}"


@dataclass(frozen=True, slots=True)
class ContactMark:
    """Where a piece meets a part, mm; `at` and `normal` are the point and the push into the part seen from above."""

    piece: str
    mark: Mark
    point: Point3
    push: Point3
    vee: bool = False

    @property
    def at(self) -> Point2:
        """The point in plan."""
        return self.point[:2]

    @property
    def normal(self) -> Point2:
        """The level part of the push."""
        return self.push[:2]


@dataclass(frozen=True, slots=True)
class DrawnWeld:
    """One weld: its path, and the torch's direction (from the nozzle towards the weld) at points along it."""

    id: str
    line: tuple[Point3, ...]
    torches: tuple[tuple[Point3, Point3], ...] = ()

    @property
    def path(self) -> tuple[Point2, ...]:
        """The path in plan."""
        return tuple((x, y) for x, y, _ in self.line)


@dataclass(frozen=True)
class Scene:
    """One alternative as a top view shows it: everything in the table frame, mm."""

    title: str
    weldment: str
    quantity: int
    table: Table
    parts: tuple[DrawnPart, ...]
    pieces: tuple[DrawnPiece, ...]
    marks: tuple[ContactMark, ...]
    welds: tuple[DrawnWeld, ...]
    lie: str
    total: str
    setup_s: int
    cycle_s: int
    load: tuple[str, ...] = ()
    """The load steps and the way out, a line each."""
    changes: tuple[Change, ...] | None = None
    units: LengthUnit = "mm"
    stations: int = 1

    @cached_property
    def part_box(self) -> tuple[float, float, float, float]:
        """Least and greatest x and y of the parts: x0, y0, x1, y1."""
        return _box(shape for part in self.parts for shape in part.shapes)

    @cached_property
    def window(self) -> tuple[float, float, float, float]:
        """What is worth showing of the table: parts and pieces with a margin."""
        bodies = [part.shapes for part in self.parts] + [piece.shapes for piece in self.pieces]
        x0, y0, x1, y1 = _box(shape for body in bodies for shape in body)
        margin = MARGIN_PITCHES * self.table.pitch
        return x0 - margin, y0 - margin, x1 + margin, y1 + margin


def scene(subject: Subject) -> Scene:
    """Return what a top view of one alternative shows.

    Raises
    ------
    KeyError
        If the alternative names a table or an item the stock does not have.
    """
    alternative, request, stock = subject.alternative, subject.request, subject.stock
    table = stock.tables[alternative.table]
    count = numbers(alternative)
    pieces = tuple(_piece(placement, stock, table, count[placement.id]) for placement in alternative.placements)
    purposes = {piece.id: piece.purpose for piece in pieces}
    outer = {part.id for part in request.weldment.bodies}
    vees = {placement.id for placement in alternative.placements if stock.items[placement.item].kind == "vee"}
    return Scene(
        title=f"Rank {alternative.rank}: {alternative.title}",
        weldment=request.weldment.name or "weldment",
        quantity=request.quantity,
        table=table,
        parts=tuple(DrawnPart(_label(part), _shapes(part.solids), part.solids, part.id in outer) for part in alternative.parts),
        pieces=pieces,
        marks=tuple(_marks(alternative.placements, purposes, vees)),
        welds=tuple(_welds(alternative, request)),
        lie=_lie(alternative),
        stations=len(alternative.stations),
        total=money(alternative.cost.total_cents, subject.currency),
        setup_s=alternative.setup_s,
        cycle_s=alternative.cycle_s,
        load=tuple(load_lines(alternative)),
        changes=alternative.changes,
        units=request.weldment.units,
    )


def _lie(alternative: Alternative) -> str:
    """Return in words how the weldments lie: how many stations, if there are several, side down and turns."""
    count, turns = len(alternative.stations), dict.fromkeys(f"{station.turn:g}°" for station in alternative.stations)
    return f"{f'{count} stations, ' if count > 1 else ''}{alternative.down} down, turned {' and '.join(turns)}"


def _label(part: PlacedPart) -> str:
    return part.id if part.station is None else f"{part.id} / {part.station}"


def _shapes(solids: Iterable[Prism]) -> tuple[Silhouette, ...]:
    return tuple(silhouette(solid) for solid in solids)


def _piece(placement: Placement, stock: StockSnapshot, table: Table, number: int) -> DrawnPiece:
    item = stock.items[placement.item]
    return DrawnPiece(
        id=placement.id, item=item.id, name=item.name, purpose=KINDS[item.kind].purpose,
        origin=_origin(placement, table), hole=placement.hole,
        turn=placement.turn, stands_on=placement.stands_on, setting_mm=placement.setting_mm, locates=placement.locates,
        shapes=_shapes(placement.solids), solids=placement.solids, number=number, station=placement.station,
    )  # fmt: skip


def _origin(placement: Placement, table: Table) -> Point2:
    """Return where the piece's local origin stands, mm: its hole, or the origin of its first solid's frame."""
    if placement.hole is not None:
        column, row = parse_hole(placement.hole)
        return table.first[0] + table.pitch * column, table.first[1] + table.pitch * row
    frame = placement.solids[0].frame
    return float(frame[0][3]), float(frame[1][3])


def _marks(placements: Iterable[Placement], purposes: Mapping[str, Purpose], vees: Set[str]) -> Iterable[ContactMark]:
    for placement in placements:
        for contact in placement.contacts:
            roles = [role for part, role in placement.locates if part == contact.part]
            yield ContactMark(
                placement.id,
                _mark(purposes[placement.id], roles, contact.normal[2]),
                contact.at,
                contact.normal,
                placement.id in vees,
            )


def _mark(purpose: Purpose, roles: Sequence[Role], upward: float) -> Mark:
    """Name a contact: a clamp's, a support from below, or the level role of the piece for this part."""
    if purpose == "clamp":
        return "clamp"
    level = [role for role in roles if role != "support"]
    if "support" in roles and (upward > 0.5 or not level):
        return "support"
    if level:
        return "end" if level == ["end"] else "side"
    return "rests"


def _welds(alternative: Alternative, request: Request) -> Iterable[DrawnWeld]:
    for station in alternative.stations:
        frame = np.array(station.weldment_to_table, dtype=float)
        torches = {(weld.id, weld.station): weld.samples for weld in alternative.welds}
        for weld in request.weldment.welds:
            path = np.array([(*point, 1.0) for point in weld.path]) @ frame.T
            line = tuple((float(x), float(y), float(z)) for x, y, z, _ in path)
            yield DrawnWeld(weld.id, line, torches.get((weld.id, station.number), ()))


def _box(shapes: Iterable[Silhouette]) -> tuple[float, float, float, float]:
    points = np.array([point for shape in shapes for point in shape.rings[0]])
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)
