"""One described piece as a document: an entry of `pins` or `avoid`."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Annotated, Any

from pydantic import Field

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown, suggestion
from inventory.stock import StockSnapshot
from inventory.tables import Hole, Table, hole_label, parse_hole
from service.documents.reading.fields import Document, Id, Whole, Within
from service.documents.reading.reading import Reading
from service.documents.tables import HOLE_LABEL, missing_hole
from solver.described_pieces import MOST, DescribedPiece, KeptPiece, column_letters
from solver.plans import Alternative, Role

EXAMPLES: list[dict[str, Any]] = [
    {"item": "stop-60-15", "part": "bar", "as": "side"}, {"hole": "T1/C9"}, {"row": 3}, {"part": "foot", "face": "side:2"},
]  # fmt: skip
ROW = limits.Limit(1, limits.LATTICE.high, "", whole=True)


class PieceDocument(Document):
    """A piece known by any of these; all that is given holds of one piece."""

    item: Annotated[Id | None, Field(description="id of its item")] = None
    hole: Annotated[
        str | None,
        Field(description="the hole it stands in itself, as a plan names it: C7 on any table, T2/B4 on one", max_length=200),
    ] = None
    row: Annotated[
        Annotated[Whole, Within(ROW)] | None, Field(description="number of a row of holes, from 1: one of its pegs stands in it")
    ] = None
    column: Annotated[
        str | None, Field(description="letters of a column of holes, such as C: one of its pegs stands in it", max_length=16)
    ] = None
    table: Annotated[Id | None, Field(description="id of the table it stands on")] = None
    part: Annotated[Id | None, Field(description="id of a part it touches")] = None
    face: Annotated[Id | None, Field(description="label of the face it touches, of that part or of any")] = None
    role: Annotated[Role | None, Field(alias="as", description="what it locates that part as, or any: support, side, end")] = None
    piece: Annotated[
        Id | None, Field(description="id of a piece of the alternative to keep: it stands exactly as that one stands there")
    ] = None

    def described(self, stock: StockSnapshot | None, tables: Sequence[str], keep: Alternative | None) -> DescribedPiece:
        """Return the value.

        Parameters
        ----------
        stock : StockSnapshot or None
            What items, tables and holes are looked up in; without it they are not judged.
        tables : sequence of str
            Ids of the tables of the request.
        keep : Alternative or None
            Where `piece` is looked up.

        Raises
        ------
        InvalidDocument
            With every fault.
        """
        faults: list[Fault] = []
        if stock is not None and self.item is not None and self.item not in stock.items:
            faults.append(
                Fault(
                    "/item",
                    f"there is no item {shown(self.item)}",
                    suggestion(self.item, stock.items, "an item of the catalogue"),
                )
            )
        known = [] if stock is None else [stock.tables[id] for id in tables if id in stock.tables]
        table, hole = self._hole(known, stock, faults)
        column = self._column(known, faults)
        if known and self.row is not None and self.row > max(one.rows for one in known):
            faults.append(
                Fault("/row", f"no table of the request has a row {self.row}", f"1 to {max(one.rows for one in known)}")
            )
        piece = self._piece(keep, faults)
        try:
            row = None if self.row is None else self.row - 1
            found = DescribedPiece(self.item, hole, row, column, table, self.part, self.face, self.role, piece)
        except InvalidDocument as refusal:
            faults += [fault for fault in refusal.faults if fault.pointer or not faults]
        if faults:
            raise InvalidDocument(faults)
        return found

    def _hole(self, known: Sequence[Table], stock: StockSnapshot | None, faults: list[Fault]) -> tuple[str | None, Hole | None]:
        """Return the table and the hole; faults are added."""
        if self.hole is None:
            return self.table, None
        named, slash, bare = self.hole.rpartition("/")
        try:
            hole = parse_hole(bare)
        except ValueError:
            faults.append(Fault("/hole", f"{shown(self.hole)} is no hole label", f"{HOLE_LABEL}, or with a table: T2/B4"))
            return self.table, None
        if slash and self.table is not None and self.table != named:
            faults.append(Fault("/hole", f"{shown(self.hole)} is on another table than {shown(self.table)}", "one table"))
        table = named if slash else self.table
        if slash and stock is not None and named not in stock.tables:
            faults.append(
                Fault(
                    "/hole",
                    f"there is no table {shown(named)}",
                    suggestion(named, stock.tables, "the id of a table before the slash"),
                )
            )
        own = [one for one in known if table is None or one.id == table]
        if own and not any(one.has(hole) for one in own):
            faults += missing_hole("/hole", hole, max(own, key=lambda one: one.columns * one.rows))
        return table, hole

    def _column(self, known: Sequence[Table], faults: list[Fault]) -> int | None:
        if self.column is None:
            return None
        try:
            column = parse_hole(f"{self.column}1")[0] if not self.column[-1:].isdigit() else None
        except ValueError:
            column = None
        if column is None:
            faults.append(Fault("/column", f"{shown(self.column)} is no column", "column letters, such as C or AA"))
            return None
        if known and column >= max(one.columns for one in known):
            most = column_letters(max(one.columns for one in known) - 1)
            faults.append(Fault("/column", f"no table of the request has a column {shown(self.column)}", f"A to {most}"))
        return column

    def _piece(self, keep: Alternative | None, faults: list[Fault]) -> KeptPiece | None:
        if self.piece is None:
            return None
        if keep is None:
            faults.append(Fault("/piece", "there is no alternative to keep it from", "a piece of `keep`, and `keep`"))
            return None
        found = KeptPiece.of(keep, self.piece)
        if found is None:
            ids = [placement.id for placement in keep.placements]
            faults.append(
                Fault("/piece", f"there is no piece {shown(self.piece)} in it", suggestion(self.piece, ids, "a piece of it"))
            )
        return found


def described_pieces(
    reading: Reading[Any], pointer: str, stock: StockSnapshot | None, tables: Sequence[str], keep: Alternative | None
) -> tuple[DescribedPiece, ...]:
    """Return the entries of a list of pieces, a stand-in for each that is at fault; their faults are kept in the reading."""
    if len(reading.entries(pointer)) > 2 * MOST:
        return ()
    found = []
    for k, entry in enumerate(reading.sound_models(pointer, PieceDocument)):
        described = None if entry is None else reading.made(partial(entry.described, stock, tables, keep), f"{pointer}/{k}")
        found.append(described or DescribedPiece(row=0))
    return tuple(found)


def piece_document(described: DescribedPiece) -> dict[str, Any]:
    """Return a described piece as the document it is read from."""
    given: dict[str, Any] = {
        "item": described.item,
        "hole": None if described.hole is None else hole_label(described.hole),
        "row": None if described.row is None else described.row + 1,
        "column": None if described.column is None else column_letters(described.column),
        "table": described.table,
        "part": described.part,
        "face": described.face,
        "as": described.role,
        "piece": None if described.piece is None else described.piece.id,
    }
    return {name: value for name, value in given.items() if value is not None}
