"""The rows of a cut list: what each asks for, or every fault with its row and column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import Limit, shown
from inventory.shapes import Point3
from service.exchange.cells import Unreadable, number, plain, whole
from service.exchange.csv_rows import MOST_FAULTS, beyond, heading_faults, headings, rows_of, text_of
from service.exchange.weldments.cut_list.row_cells import DIRECTION, SLANT, direction, end_cut, slant
from service.exchange.weldments.weldment_reading import MM_OF, DrawnUnit
from solver.standards.designations import DesignatedSection, designated
from solver.weldment import RESERVED, Material, Part, Pose

COLUMNS = (
    "part", "designation", "length", "quantity", "material", "start_cut", "end_cut", "x", "y", "z", "along", "up",
)  # fmt: skip
REQUIRED = ("part", "designation")
MOST_ROWS = 1000
_COUNT = Limit(1, limits.PARTS, "parts", whole=True)
_ORIGIN = Pose((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
_LYING = Pose((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
"""A plate that lies: its thickness upwards, its length along y."""


@dataclass(frozen=True, slots=True)
class CutRow:
    """One row of a cut list.

    Parameters
    ----------
    row : int
        Its number in the file.
    part : Part
        As asked for; at the origin if the row has no position.
    quantity : int
        How many.
    placed : bool
        Whether the row has a position.
    section : DesignatedSection
        What its designation stands for.
    """

    row: int
    part: Part
    quantity: int
    placed: bool
    section: DesignatedSection


def cut_rows(content: bytes, units: DrawnUnit, material: Material) -> list[CutRow]:
    """Return the rows of a cut list.

    Parameters
    ----------
    content : bytes
        CSV in UTF-8 or UTF-16, with commas, semicolons or tabs.
    units : DrawnUnit
        Of lengths and positions; designations are in mm always.
    material : Material
        Of rows that name none.

    Raises
    ------
    InvalidDocument
        With every fault, at pointers ``/rows/<row>/<column>``.
    """
    records = rows_of(text_of(content))
    heading_row, heading = next(records, (1, []))
    columns = headings(heading)
    faults = list(heading_faults(heading_row, columns, COLUMNS, REQUIRED))
    if faults:
        raise InvalidDocument(faults)
    rows: list[CutRow] = []
    names: dict[str, int] = {}
    for line, record in records:
        cells = {column: cell for column, cell in zip(columns, record, strict=False) if column and cell.strip()}
        found = _Row(line, cells, units, material)
        faults += [*beyond(line, columns, record), *found.faults]
        name = plain(cells.get("part", ""))
        if name in names:
            faults.append(
                Fault(f"/rows/{line}/part", f"{shown(name)} is in row {names[name]} too", "each part once, or a quantity")
            )
        names.setdefault(name, line)
        if found.row is not None:
            rows.append(found.row)
        if line > MOST_ROWS or len(faults) > MOST_FAULTS:
            faults.append(Fault(f"/rows/{line}", "too many rows or faults; reading ends here", f"at most {MOST_ROWS:,} rows"))
            break
    if not rows and not faults:
        faults.append(Fault("/rows", "no rows below the heading", "a row for each part"))
    if faults:
        raise InvalidDocument(faults)
    return rows


class _Row:
    """One row being read; `row` is None if it has faults."""

    def __init__(self, line: int, cells: Mapping[str, str], units: DrawnUnit, material: Material) -> None:
        self.line = line
        self.cells = cells
        self.mm = MM_OF[units]
        self.faults: list[Fault] = []
        self.row = self._read(material)

    def _read(self, usual: Material) -> CutRow | None:
        name = plain(self.cells.get("part", ""))
        self.faults += limits.id_faults(self._at("part"), name)
        if name == RESERVED:
            self.faults.append(Fault(self._at("part"), f"{RESERVED!r} is reserved for the table itself", "another name"))
        length = self._size("length")
        quantity = self._cell("quantity", whole, "a whole number", 1)
        if quantity is not None:
            self.faults += _COUNT.faults(self._at("quantity"), quantity)
        material = plain(self.cells.get("material", usual)).lower()
        self.faults += limits.one_of_faults(self._at("material"), material, get_args(Material))
        section = self._section(length)
        pose = self._pose(section is not None and section.thickness is not None)
        if pose is not None and pose[1] and (quantity or 1) > 1:
            wrong = f"{quantity} parts at one position"
            self.faults.append(Fault(self._at("quantity"), wrong, "a row for each part, or no position"))
        if section is None or pose is None or quantity is None or self.faults:
            return None
        return self._row(name, section, length, quantity, material, pose)

    def _row(
        self, name: str, section: DesignatedSection, length: float | None, quantity: int, material: Any, pose: tuple[Pose, bool]
    ) -> CutRow | None:
        plate = section.thickness is not None
        if plate and length is not None and section.along != length:
            wrong = f"{limits.plain(length)} mm; the designation says {limits.plain(section.along or 0)} mm"
            self.faults.append(Fault(self._at("length"), wrong, "the same, or nothing"))
        long = section.thickness if plate else length
        if long is None:
            self.faults.append(Fault(self._at("length"), "the length is missing", limits.SIZE.accepted))
            return None
        cuts = []
        for column in ("start_cut", "end_cut"):
            slanted = self._cell(column, slant, SLANT, None)
            if slanted is not None and plate:
                self.faults.append(Fault(self._at(column), "a plate has no slanted ends here", "an empty cell"))
            elif slanted is not None:
                cuts.append(end_cut(section.section, long, column == "end_cut", *slanted))
        if self.faults:
            return None
        try:
            part = Part(name, section.section, long, pose[0], material, section.name, tuple(cuts))
        except InvalidDocument as error:
            columns = {"cuts": "end_cut", "length": "length", "section": "designation"}
            self.faults += [
                Fault(self._at(columns.get(fault.pointer.split("/")[1], "part")), fault.wrong, fault.accepted)
                for fault in error.faults
            ]
            return None
        return CutRow(self.line, part, quantity, pose[1], section)

    def _section(self, length: float | None) -> DesignatedSection | None:
        text = plain(self.cells.get("designation", ""))
        if not text:
            self.faults.append(Fault(self._at("designation"), "empty", "the section's designation"))
            return None
        try:
            return designated(text, length)
        except InvalidDocument as error:
            self.faults += [Fault(self._at("designation"), fault.wrong, fault.accepted) for fault in error.faults]
            return None

    def _pose(self, plate: bool) -> tuple[Pose, bool] | None:
        """Return where the part sits, and whether the row says so; None with faults."""
        usual = _LYING if plate else _ORIGIN
        if not {"x", "y", "z", "along", "up"} & self.cells.keys():
            return usual, False
        before = len(self.faults)
        at: list[float] = []
        for axis in ("x", "y", "z"):
            if axis not in self.cells:
                self.faults.append(Fault(self._at(axis), f"a position without {axis}", "x, y and z, or none of them"))
            value = self._cell(axis, number, limits.COORDINATE.accepted, None)
            at.append(0.0 if value is None else float(value) * self.mm)
        along: Point3 | None = self._cell("along", direction, DIRECTION, usual.along)
        up: Point3 | None = self._cell("up", direction, DIRECTION, usual.up)
        if along is None or up is None or len(self.faults) > before:
            return None
        try:
            return Pose((at[0], at[1], at[2]), along, up), True
        except InvalidDocument as error:
            for fault in error.faults:
                field, *rest = fault.pointer.split("/")[1:]
                column = "xyz"[int(rest[0])] if field == "at" else field
                self.faults.append(Fault(self._at(column), fault.wrong, fault.accepted))
            return None

    def _size(self, column: str) -> float | None:
        value = self._cell(column, number, limits.SIZE.accepted, None)
        if value is None:
            return None
        size = float(value) * self.mm
        self.faults += limits.SIZE.faults(self._at(column), size)
        return size

    def _cell(self, column: str, reader: Any, accepted: str, absent: Any) -> Any:
        """Return what a cell holds, `absent` if it is empty; None, with a fault, if it cannot be read."""
        if column not in self.cells:
            return absent
        try:
            return reader(self.cells[column])
        except Unreadable as error:
            self.faults.append(Fault(self._at(column), f"{shown(plain(self.cells[column]))} {error}", accepted))
            return None

    def _at(self, column: str) -> str:
        return f"/rows/{self.line}/{column}"


def listed(rows: Sequence[CutRow]) -> int:
    """Return how many parts some rows ask for."""
    return sum(row.quantity for row in rows)
