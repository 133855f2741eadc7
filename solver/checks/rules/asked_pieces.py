"""Whether the alternative contains the pieces that the request pins, and none that it avoids."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.tables import Hole, parse_hole
from solver.checks.report import fail, passed
from solver.checks.scene.scene import Scene, SetPiece
from solver.described_pieces import DescribedPiece
from solver.plans import Finding, Placement


def check_asked_pieces(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield for each pin whether some piece of some station is as it says, and for each piece to avoid whether one is."""
    request = scenes[0].request
    pieces = [_AskedPiece(scene, piece) for scene in scenes for piece in scene.pieces.values()]
    for pin in request.pins:
        met = [piece.id for piece in pieces if piece.fits(pin)]
        subject = pin.words()
        yield (
            passed("request.pins", subject, f"met by {', '.join(met)}")
            if met
            else fail("request.pins", subject, "the request asks for such a piece, the plan has none")
        )
    for other in request.avoid:
        met = [piece.id for piece in pieces if piece.fits(other)]
        subject = other.words()
        yield (
            fail("request.avoid", subject, f"the request allows no such piece: {', '.join(met)}")
            if met
            else passed("request.avoid", subject, "no such piece")
        )


@dataclass(frozen=True)
class _AskedPiece:
    """A piece of a scene, held against descriptions."""

    scene: Scene
    piece: SetPiece

    @property
    def id(self) -> str:
        """Its id."""
        return self.piece.id

    def fits(self, described: DescribedPiece) -> bool:
        """Return whether all that is said of a piece holds of this one."""
        placement = self.piece.placement
        return (
            described.item in (None, placement.item)
            and described.table in (None, self.scene.table.id)
            and (described.hole is None or self._own_hole() == described.hole)
            and (described.row is None or any(row == described.row for _, row in self._holes()))
            and (described.column is None or any(column == described.column for column, _ in self._holes()))
            and (described.piece is None or self._stands_as(described))
            and self._meets(described)
        )

    def _own_hole(self) -> Hole | None:
        hole = self.piece.placement.hole
        return None if hole is None else parse_hole(hole)

    def _holes(self) -> list[Hole]:
        """Return the table's holes that its pegs take; none if it stands on another piece."""
        return [] if self.piece.carriers else [peg for peg in self.piece.pegs if peg is not None]

    def _stands_as(self, described: DescribedPiece) -> bool:
        kept = described.piece
        assert kept is not None
        wanted = [(item, hole, turn % 360.0, setting) for item, hole, turn, setting in kept.levels]
        return kept.table == self.scene.table.id and self._down_to_the_table() == wanted

    def _down_to_the_table(self) -> list[tuple[Any, ...]]:
        others: Mapping[str, Placement] = {piece.id: piece.placement for piece in self.scene.pieces.values()}
        found, at = [], others.get(self.id)
        while at is not None:
            setting = None if at.setting_mm is None else round(float(at.setting_mm), 3)
            found.append((at.item, at.hole, round(float(at.turn) % 360.0, 6), setting))
            at = others.get(at.stands_on or "")
        return found

    def _meets(self, described: DescribedPiece) -> bool:
        """Return whether it touches and locates as described, all of one part."""
        if not described.meets:
            return True
        placement = self.piece.placement
        touched = {contact.part for contact in placement.contacts} | {part for part, _ in placement.locates}
        faces = {(contact.part, contact.face) for contact in placement.contacts}
        roles = set(placement.locates)
        return any(
            described.part in (None, part)
            and (described.face is None or (part, described.face) in faces)
            and (described.role is None or (part, described.role) in roles)
            for part in touched
        )
