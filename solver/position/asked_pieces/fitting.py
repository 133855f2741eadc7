"""Which candidates are a described piece: wherever they stand, and at each of some seats.

A candidate is one as soon as one of its pieces is. What a piece touches and locates is said of the one on top; a hole, row or
column of the one at the bottom, which stands on the table itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from inventory.shapes import Array, turned
from inventory.tables import Table, parse_hole
from solver.described_pieces import DescribedPiece, KeptPiece
from solver.geometry.hulls import Flags
from solver.geometry.tolerances import CARRIES, SLOPING
from solver.hardware.candidates import Candidate
from solver.hardware.matching import Match
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidWeldment
from solver.plans import Role
from solver.position.kept_plan import piece_setting
from solver.position.seats import Seat, usable_holes
from solver.request import Request, Without


def may_fit(described: DescribedPiece, candidate: Candidate, laid: LaidWeldment, table: str) -> bool:
    """Return whether a candidate on a table is such a piece at some seat, whatever serves as a part's side and end."""
    if described.table not in (None, table):
        return False
    items = [level.item.id for level in candidate.stack.levels]
    if described.piece is not None and not _same_stack(described.piece, items, table):
        return False
    own = [items[depth] for depth in _depths(described, len(items))]
    if not own or (described.item is not None and described.item not in own):
        return False
    return not described.meets or any(True for _ in parts_met(described, candidate, laid))


def _depths(described: DescribedPiece, levels: int) -> list[int]:
    """Return which pieces of a stack of so many may be meant, from the table up."""
    depths = set(range(levels))
    if described.meets:
        depths &= {levels - 1}
    if described.hole is not None or described.row is not None or described.column is not None:
        depths &= {0}
    if described.piece is not None:
        depths &= {len(described.piece.levels) - 1}
    return sorted(depths)


def _same_stack(piece: KeptPiece, items: Sequence[str], table: str) -> bool:
    """Return whether a stack of items on a table has a piece's items up to it, from the table up."""
    own = [item for item, *_ in reversed(piece.levels)]
    return piece.table == table and list(items[: len(own)]) == own


def parts_met(described: DescribedPiece, candidate: Candidate, laid: LaidWeldment) -> Iterator[int]:
    """Yield the parts (by index) that a candidate touches and may locate as described."""
    for part in dict.fromkeys(meeting.part for meeting in candidate.meetings):
        own = [meeting for meeting in candidate.meetings if meeting.part == part]
        if described.part not in (None, laid.parts[part].id):
            continue
        if described.face is not None and all(meeting.face != described.face for meeting in own):
            continue
        if described.role is not None and candidate.clamp:
            continue
        if described.role == "support" and not any(meeting.normal[2] > CARRIES for meeting in own):
            continue
        if described.role in ("side", "end") and all(meeting.sideways is None for meeting in own):
            continue
        yield part


def has_place(pin: DescribedPiece, table: Table, without: Without) -> bool:
    """Return whether a table has a usable hole where a pinned piece must stand."""
    if pin.table not in (None, table.id) or (pin.piece is not None and pin.piece.table != table.id):
        return False
    columns, rows = np.nonzero(usable_holes(table, without))
    there = np.ones(len(rows), dtype=bool)
    own = pin.hole if pin.piece is None else parse_hole(pin.piece.levels[-1][1] or "A1")
    for axis, asked, of in ((columns, pin.column, 0), (rows, pin.row, 1)):
        there &= True if own is None else axis == own[of]
        alone = asked is None or (own is not None and asked != own[of])  # another of its pegs may stand there
        there &= True if alone else axis == asked
    return bool(there.any())


def pinned_settings(request: Request) -> list[tuple[str, float]]:
    """Return the settings that pieces must have because they are pinned as they stand, each with its item."""
    tops = [pin.piece.levels[0] for pin in request.pins if pin.piece is not None]
    return [(item, setting) for item, _, _, setting in tops if setting is not None]


def stack_may_be(pin: DescribedPiece, stack: Stack) -> bool:
    """Return whether one of a stack's pieces may be a pinned one, as far as its items say."""
    items = [level.item.id for level in stack.levels]
    if pin.piece is not None and not _same_stack(pin.piece, items, pin.piece.table):
        return False
    meant = [items[depth] for depth in _depths(pin, len(items))]
    return bool(meant) and pin.item in (None, *meant) and (pin.role is None or stack.push is None)


def may_serve(role: Role, match: Match) -> bool:
    """Return whether a pad that meets a face may serve in a role there."""
    normal = match.pad.normal
    return bool(normal[2] > CARRIES if role == "support" else float(np.hypot(normal[0], normal[1])) > SLOPING)


def settled(described: DescribedPiece) -> bool:
    """Return whether a candidate that may fit does, wherever it stands and whatever serves as a part's side and end."""
    return not described.placed and described.role in (None, "support")


def at_seats(described: DescribedPiece, candidates: Sequence[Candidate], seats: Sequence[Seat]) -> Flags:
    """Return at which seats each candidate that may fit stands as described, (seats, candidates)."""
    found = np.ones((len(seats), len(candidates)), dtype=bool)
    if not described.placed or not candidates:
        return found
    most = max(len(candidate.holes) for candidate in candidates)
    pegs = np.array([[*candidate.holes, *[candidate.hole] * (most - len(candidate.holes))] for candidate in candidates])
    own = np.array([candidate.hole for candidate in candidates])
    for quarter in sorted({seat.quarter for seat in seats}):
        rows = [number for number, seat in enumerate(seats) if seat.quarter == quarter]
        turn = np.rint(turned(90.0 * quarter)[:2, :2].T).astype(int)
        shifts = np.array([seats[row].shift for row in rows])[:, None]
        stands_in, pegs_in = own @ turn + shifts, pegs @ turn + shifts[:, None]
        found[rows] = _in_holes(described, stands_in, pegs_in)
        if described.piece is not None:
            same = [_stands_as(described.piece, candidate, quarter) for candidate in candidates]
            found[rows] &= np.array(same, dtype=bool) & _in_hole(stands_in, described.piece.levels[-1][1])
    return found


def _in_holes(described: DescribedPiece, stands_in: Array, pegs_in: Array) -> Flags:
    """Return which holes (seats, candidates, 2) and pegs' holes (seats, candidates, pegs, 2) are as described."""
    found = np.ones(stands_in.shape[:2], dtype=bool)
    if described.hole is not None:
        found &= (stands_in == described.hole).all(axis=2)
    for axis, wanted in enumerate((described.column, described.row)):
        if wanted is not None:
            found &= (pegs_in[..., axis] == wanted).any(axis=2)
    return found


def _in_hole(stands_in: Array, label: str | None) -> Flags:
    if label is None:
        return np.zeros(stands_in.shape[:2], dtype=bool)
    here: Flags = (stands_in == parse_hole(label)).all(axis=2)
    return here


def _stands_as(piece: KeptPiece, candidate: Candidate, quarter: int) -> bool:
    """Return whether a candidate's lowest pieces are turned and set as a piece and what it stands on."""
    return all(
        round((level.turn + 90.0 * quarter) % 360.0, 6) == turn and piece_setting(candidate, depth) == setting
        for depth, (level, (_, _, turn, setting)) in enumerate(zip(candidate.stack.levels, reversed(piece.levels), strict=False))
    )
