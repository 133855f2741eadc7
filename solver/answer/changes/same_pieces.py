"""Which piece of the new plan is which piece that stands: one that stays or moves keeps its id."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from inventory.tables import parse_hole
from solver.plans import Alternative, Placement
from solver.position.kept_plan import StandingPiece, standing_by_id

ITEM, HOLE, TURN, SETTING = range(4)
STAYS, IS_SET, SAME_PLACE, ELSEWHERE = range(4)


def kept_ids(keep: Alternative, pieces: Sequence[StandingPiece], table: str) -> list[str | None]:
    """Return for each piece of a new plan on a table the id it has in the plan that stands, None for a piece from the shelf.

    Pieces of an item are one as good as another: those that stay are found first, then those that are only set anew, those that
    are turned in their hole, and those that have the shortest way.
    """
    before = standing_by_id(keep)
    found: list[str | None] = [None] * len(pieces)
    taken: set[str] = set()
    for _, number, id in sorted(_pairs(before, pieces, keep.table == table)):
        if found[number] is None and id not in taken:
            found[number] = id
            taken.add(id)
    return found


def _pairs(
    before: dict[str, StandingPiece], pieces: Sequence[StandingPiece], same_table: bool
) -> Iterator[tuple[tuple[int, int, int], int, str]]:
    """Yield each new piece with each standing one of its item, and what the hands have to do: kind, way, place in the plan."""
    for number, piece in enumerate(pieces):
        for place, (id, standing) in enumerate(before.items()):
            if standing[ITEM] == piece[ITEM]:
                yield (_kind(standing, piece) if same_table else ELSEWHERE, _way(standing, piece), place), number, id


def _kind(standing: StandingPiece, piece: StandingPiece) -> int:
    if standing == piece:
        return STAYS
    place, now = (entry[HOLE:SETTING] + entry[SETTING + 1 :] for entry in (standing, piece))
    if place == now:
        return IS_SET
    return SAME_PLACE if (place[0], *place[2:]) == (now[0], *now[2:]) else ELSEWHERE


def _way(standing: StandingPiece, piece: StandingPiece) -> int:
    """Return how far apart the holes of two pieces are, or of what they stand on, in steps along columns and rows."""
    (column, row), (other_column, other_row) = _root(standing), _root(piece)
    return abs(column - other_column) + abs(row - other_row)


def _root(piece: StandingPiece) -> tuple[int, int]:
    while len(piece) > SETTING + 1:
        piece = piece[SETTING + 1]
    return parse_hole(piece[HOLE] or "A1")


def new_ids(standing: Iterable[Placement], taken: set[str], prefix: str) -> Iterator[str]:
    """Yield ids that neither the pieces that stand nor `taken` have."""
    gone = taken | {placement.id for placement in standing}
    number = 0
    while True:
        number += 1
        if f"{prefix}{number}" not in gone:
            yield f"{prefix}{number}"
