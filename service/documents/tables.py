"""The table document: a flat plate with a square lattice of holes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field

from inventory import limits
from inventory.errors import Fault, InvalidDocument, refuse
from inventory.tables import Hole, Table, hole_label, parse_hole
from service.documents.reading.fields import (
    Exactly,
    Id,
    Length,
    Measured,
    Point2,
    Size,
    ValueDocument,
    Whole,
    Within,
    pair,
)
from service.documents.reading.reading import Reading

FORMAT = "holdwright.table/1"
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "id": "T1", "size": [1600, 1000], "first": [40, 40], "pitch": 40, "columns": 39, "rows": 24,
    "hole_diameter": 14, "thickness": 20, "blocked_holes": ["C7", "Z12"], "max_load_kg": 400,
}  # fmt: skip


class TableDocument(Measured, ValueDocument[Table]):
    """A flat plate with a square lattice of holes; hole labels are column letters and row numbers."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.table/1"], Field(description=f'"{FORMAT}"')]
    id: Annotated[Id, Field(description="the table's own id, 1 to 64 characters")]
    size: Annotated[list[Size], Exactly(2, "numbers"), Field(description="the slab's extent in x and y")]
    first: Annotated[Point2, Field(description="centre of hole A1 from the slab's lower-left corner")]
    pitch: Annotated[float, Length(limits.PITCH), Field(description="distance of neighbouring holes")]
    columns: Annotated[Whole, Within(limits.LATTICE), Field(description="columns of holes, along x")]
    rows: Annotated[Whole, Within(limits.LATTICE), Field(description="rows of holes, along y")]
    hole_diameter: Annotated[Size, Field(description="diameter of every hole, less than the pitch")]
    thickness: Annotated[Size, Field(description="the slab is solid from z = -thickness to 0")]
    blocked_holes: Annotated[
        list[str], Field(default_factory=list, description="labels of holes that cannot be used, such as C7")
    ]
    max_load_kg: Annotated[
        Annotated[float, Within(limits.LOAD_KG)] | None, Field(description="most the table may carry, parts and hardware, kg")
    ] = None

    def _built(self) -> Table:
        faults: list[Fault] = []
        table = self._without_blocked(faults)
        blocked: set[Hole] = set()
        for index, label in enumerate(self.blocked_holes):
            try:
                hole = parse_hole(label)
            except ValueError:
                faults.append(Fault(f"/blocked_holes/{index}", f"{limits.shown(label)} is no hole label", HOLE_LABEL))
                continue
            blocked.add(hole)
            faults += missing_hole(f"/blocked_holes/{index}", hole, table)
        refuse(faults)
        assert table is not None
        return replace(table, blocked_holes=frozenset(blocked))

    def _without_blocked(self, faults: list[Fault]) -> Table | None:
        try:
            return Table(
                self.id, pair(self.size), pair(self.first), self.pitch, self.columns, self.rows,
                self.hole_diameter, self.thickness, frozenset(), self.max_load_kg,
            )  # fmt: skip
        except InvalidDocument as refusal:
            faults += refusal.faults
            return None


HOLE_LABEL = "column letters and a row number from 1, such as C7 or AA12"


def missing_hole(pointer: str, hole: Hole, table: Table | None) -> Iterator[Fault]:
    """Yield a fault if the table, where there is one, has no such hole."""
    if table is not None and not table.has(hole):
        yield Fault(pointer, f"table {limits.shown(table.id)} has no hole {hole_label(hole)}", f"holes A1 to {table.last_hole}")


def read_table(raw: bytes | str | dict[str, Any]) -> Table:
    """Read a table document; raises InvalidDocument with every fault."""
    reading = Reading(raw, TableDocument)
    reading.finish()
    assert reading.document is not None
    return reading.document.to_domain()


def table_document(table: Table) -> dict[str, Any]:
    """Return a table as the document it is read from, in mm."""
    return {
        "format": FORMAT, "id": table.id, "size": list(table.size), "first": list(table.first), "pitch": table.pitch,
        "columns": table.columns, "rows": table.rows, "hole_diameter": table.hole_diameter, "thickness": table.thickness,
        "blocked_holes": [hole_label(hole) for hole in sorted(table.blocked_holes)], "max_load_kg": table.max_load_kg,
    }  # fmt: skip
