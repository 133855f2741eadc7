"""Pieces described by where they stand and what they do: what every alternative must, or must not, contain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import get_args

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.tables import Hole, hole_label
from solver.plans import Alternative, Placement, Role

StandingLevel = tuple[str, str | None, float, float | None]
"""Item, hole, turn and setting of a piece."""


@dataclass(frozen=True, slots=True)
class KeptPiece:
    """A piece of an alternative just as it stands there: the table, and the piece and what it stands on, down to the table."""

    id: str
    table: str
    levels: tuple[StandingLevel, ...]

    @staticmethod
    def of(alternative: Alternative, id: str) -> KeptPiece | None:
        """Return a piece of an alternative by its id; None if there is none, or it stands in a circle or on nothing."""
        placements = {placement.id: placement for placement in alternative.placements}
        levels: list[StandingLevel] = []
        next_down: str | None = id
        while next_down is not None:
            if next_down not in placements or len(levels) == len(placements):
                return None
            placement = placements[next_down]
            levels.append(standing_level(placement))
            next_down = placement.stands_on
        return KeptPiece(id, alternative.table, tuple(levels))


def standing_level(placement: Placement) -> StandingLevel:
    """Return how a piece stands, numbers rounded as plans tell places apart."""
    setting = None if placement.setting_mm is None else round(float(placement.setting_mm), 3)
    return placement.item, placement.hole, round(float(placement.turn) % 360.0, 6), setting


@dataclass(frozen=True, slots=True)
class DescribedPiece:
    """What a piece is known by: all that is given holds of one piece of an alternative.

    Parameters
    ----------
    item : str or None
        Its item.
    hole : (column, row) or None
        The hole in which it stands itself, from 0; not one that only another of its pegs takes, nor that of its carrier.
    row, column : int or None
        The row or column, from 0, in which one of its pegs stands on the table.
    table : str or None
        The table it stands on.
    part, face : str or None
        A part it touches, and the face it touches there; a face alone is one of any part.
    role : {"support", "side", "end"} or None
        As what it locates that part; without a part, any.
    piece : KeptPiece or None
        It stands exactly as this one: item, hole, turn and setting, and so does what it stands on.

    Raises InvalidDocument with every fault, at pointers by the documents' field names.
    """

    item: str | None = None
    hole: Hole | None = None
    row: int | None = None
    column: int | None = None
    table: str | None = None
    part: str | None = None
    face: str | None = None
    role: Role | None = None
    piece: KeptPiece | None = None

    def __post_init__(self) -> None:
        refuse(_faults(self))

    @property
    def placed(self) -> bool:
        """Whether it says where on a table the piece stands."""
        return any(place is not None for place in (self.hole, self.row, self.column, self.piece))

    @property
    def meets(self) -> bool:
        """Whether it says what the piece touches or locates: then it is the one on top of its stack."""
        return any(met is not None for met in (self.part, self.face, self.role))

    def words(self) -> str:
        """Return it in words, such as ``square-80 in C7 as side of rail``."""
        what = [self.item or "a piece"]
        if self.piece is not None:
            what.append(f"just as {self.piece.id}")
        what += [f"in {hole_label(self.hole)}"] if self.hole is not None else []
        what += [f"in row {self.row + 1}"] if self.row is not None else []
        what += [f"in column {column_letters(self.column)}"] if self.column is not None else []
        what += [f"on table {self.table}"] if self.table is not None else []
        part = f" of {self.part}" if self.part is not None else ""
        if self.face is not None:
            what.append(f"at {self.face}{part}")
        if self.role is not None:
            what.append(f"as {self.role}" + (part if self.face is None else ""))
        if part and self.face is None and self.role is None:
            what.append(f"at {self.part}")
        return " ".join(what)


def column_letters(column: int) -> str:
    """Return the letters of a column, from 0: ``2`` is ``C``."""
    return hole_label((column, 0))[:-1]


MOST = 50
"""Pieces that may be described in one list."""
_ROLES = get_args(Role)


def _faults(described: DescribedPiece) -> Iterator[Fault]:
    given: Mapping[str, object] = {field.name: getattr(described, field.name) for field in fields(described)}
    if all(value is None for value in given.values()):
        yield Fault("", "says nothing of the piece", "one or more of item, hole, row, column, table, part, face, as, piece")
    for name in ("item", "table", "part", "face"):
        if given[name] is not None:
            yield from limits.id_faults(f"/{name}", given[name])
    if described.role is not None:
        yield from limits.one_of_faults("/as", described.role, _ROLES)
    for name in ("row", "column"):
        number = given[name]
        if isinstance(number, int) and not 0 <= number < limits.LATTICE.high:
            yield Fault(f"/{name}", f"{number} is no {name} of a table", f"one of the first {limits.plain(limits.LATTICE.high)}")
