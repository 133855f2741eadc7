"""Lattice tables and their hole labels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from inventory import limits
from inventory.errors import Fault, refuse

Hole = tuple[int, int]


def hole_label(hole: Hole) -> str:
    """Return the label of hole (column, row), both from 0: ``(2, 6)`` is ``C7``, ``(26, 0)`` is ``AA1``."""
    column, letters = hole[0], ""
    while column >= 0:
        letters = chr(ord("A") + column % 26) + letters
        column = column // 26 - 1
    return f"{letters}{hole[1] + 1}"


def parse_hole(label: str) -> Hole:
    """Return (column, row) of a label; raises ValueError if it is not column letters and a row number from 1."""
    letters = label.rstrip("0123456789")
    digits = label[len(letters) :]
    if not letters or not digits or not all("A" <= c <= "Z" for c in letters) or digits[0] == "0":
        raise ValueError(f"{label!r} is not a hole label such as C7 or AA12")
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    return column - 1, int(digits) - 1


@dataclass(frozen=True, slots=True)
class Table:
    """A flat plate with a square lattice of holes; lengths mm, slab from z = -thickness to 0.

    Hole (column c, row r) has its centre at ``first + pitch * (c, r)``. Every hole lies within the slab, blocked
    ones too. Raises InvalidDocument with every fault, at pointers by the documents' field names.
    """

    id: str
    size: tuple[float, float]
    first: tuple[float, float]
    pitch: float
    columns: int
    rows: int
    hole_diameter: float
    thickness: float
    blocked_holes: frozenset[Hole] = frozenset()
    max_load_kg: float | None = None

    def __post_init__(self) -> None:
        refuse(_table_faults(self))

    def has(self, hole: Hole) -> bool:
        """Whether the lattice has this hole, blocked or not."""
        return 0 <= hole[0] < self.columns and 0 <= hole[1] < self.rows

    @property
    def last_hole(self) -> str:
        """The label of the hole in the corner away from the first."""
        return hole_label((self.columns - 1, self.rows - 1))


def _table_faults(table: Table) -> Iterator[Fault]:
    yield from limits.id_faults("/id", table.id)
    sizes = [
        *limits.point_faults("/size", table.size, 2, limits.SIZE),
        *limits.point_faults("/first", table.first, 2, limits.LENGTH),
        *limits.PITCH.faults("/pitch", table.pitch),
        *limits.LATTICE.faults("/columns", table.columns),
        *limits.LATTICE.faults("/rows", table.rows),
        *limits.SIZE.faults("/hole_diameter", table.hole_diameter),
    ]
    yield from sizes
    yield from limits.SIZE.faults("/thickness", table.thickness)
    if table.max_load_kg is not None:
        yield from limits.LOAD_KG.faults("/max_load_kg", table.max_load_kg)
    if sizes:
        return
    if table.hole_diameter >= table.pitch:
        wrong = (
            f"holes of {limits.plain(table.hole_diameter)} mm at a pitch of {limits.plain(table.pitch)} mm run into each other"
        )
        yield Fault("/hole_diameter", wrong, f"less than the pitch, {limits.plain(table.pitch)} mm")
        return
    yield from _lattice_faults(table)
    for hole in sorted(table.blocked_holes):
        if not table.has(hole):
            yield Fault("/blocked_holes", f"there is no hole {hole_label(hole)}", f"holes A1 to {table.last_hole}")


def _lattice_faults(table: Table) -> Iterator[Fault]:
    """Yield a fault for each side on which the lattice runs off the slab."""
    radius = table.hole_diameter / 2
    for axis, (field, count) in enumerate((("columns", table.columns), ("rows", table.rows))):
        if table.first[axis] < radius:
            wrong = f"the first hole, {limits.plain(table.first[axis])} mm from the edge, is not whole"
            yield Fault(f"/first/{axis}", wrong, f"at least half the hole's diameter, {limits.plain(radius)} mm")
            continue
        room = table.size[axis] - radius - table.first[axis]
        if table.pitch * (count - 1) > room + 1e-9:
            most = max(0, int(room // table.pitch)) + 1
            wrong = f"{count} {field} at a pitch of {limits.plain(table.pitch)} mm run off the slab"
            yield Fault(f"/{field}", wrong, f"at most {most} on a slab of {limits.plain(table.size[axis])} mm")
