"""In which order the hands change a plan: what is in the way leaves first, what carries stands before what it carries.

Where pieces wait for each other in a circle, or one that stays stands over another's place, one is taken off and put back later.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain
from typing import Final, Literal

When = Literal["before", "after"]
BEFORE: Final = "before"
AFTER: Final = "after"
Blocks = Callable[[str, When, str, When], bool]
"""Whether the second piece, standing where it is then, keeps the first from coming to where it is then, or from leaving it."""
ENOUGH = 6
"""More steps than so many a piece are not looked for: the next is taken as if nothing were in its way."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a piece is taken off, moved (or set) to where it is in the end, or added there; `room` is who needs its place."""

    do: Literal["take_off", "move", "add"]
    piece: str
    room: str | None = None


@dataclass(frozen=True)
class Standing:
    """What a piece stands on before and after, None: the table; a piece in only one of the two comes or goes.

    `stays` are the pieces that stand after as they stood before.
    """

    before: Mapping[str, str | None]
    after: Mapping[str, str | None]
    stays: frozenset[str]
    blocks: Blocks


@dataclass
class Hands:
    """The table while it is changed: where each piece stands, and who is not yet where it is in the end."""

    plan: Standing
    at: dict[str, When] = field(default_factory=dict)
    pending: list[str] = field(default_factory=list)
    room_for: dict[str, str] = field(default_factory=dict)
    """Of each piece taken off for a while, who needs its place."""

    def __post_init__(self) -> None:
        plan = self.plan
        self.at = {piece: AFTER if piece in plan.stays else BEFORE for piece in plan.before}
        gone = [piece for piece in reversed(list(plan.before)) if piece not in plan.after]
        self.pending = gone + [piece for piece in plan.after if piece not in plan.stays]

    def steps(self) -> Iterator[Step]:
        """Yield the steps, doing them."""
        left = ENOUGH * (len(self.plan.before) + len(self.plan.after))
        while self.pending:
            left -= 1
            free = next((piece for piece in self.pending if self._free(piece)), None)
            if free is not None or left < 0:
                yield self._done(free or self.pending[0])
                continue
            yield self._loosened()

    def _free(self, piece: str) -> bool:
        """Return whether a piece can do its step now; one that made room for another waits until that has done its own."""
        return self.room_for.get(piece) not in self.pending and self._obstacle(piece) is None

    def _done(self, piece: str) -> Step:
        self.pending.remove(piece)
        stood = self.at.pop(piece, None)
        if piece not in self.plan.after:
            return Step("take_off", piece)
        self.at[piece] = AFTER
        return Step("add" if stood is None else "move", piece)

    def _off(self, piece: str, waits: str) -> Step:
        """Take a standing piece off until another has done its step."""
        del self.at[piece]
        self.room_for = {other: whom for other, whom in self.room_for.items() if whom != piece}
        if piece != waits:
            self.room_for[piece] = waits
        if piece not in self.pending:
            self.pending.append(piece)
        return Step("take_off", piece, waits)

    def _loosened(self) -> Step:
        """Go along those who wait for each other, and do what the first that can be done or taken off lets be done."""
        waits = next((piece for piece in self.pending if self.room_for.get(piece) not in self.pending), self.pending[0])
        piece, seen = waits, []
        while piece not in seen:
            seen.append(piece)
            obstacle = self._obstacle(piece)
            if obstacle is None:
                return self._done(piece)
            if obstacle in self.at and self._over(obstacle) is None:
                return self._off(obstacle, waits)
            piece = obstacle
        loose = next((one for one in seen if one in self.at and self._over(one) is None), None)
        return self._done(waits) if loose is None else self._off(loose, waits)

    def _obstacle(self, piece: str) -> str | None:
        """Return who must do something before a piece can do its step, None if nobody."""
        over = self._over(piece) if piece in self.at else None
        return over if over is not None or piece not in self.plan.after else self._in_place(piece)

    def _over(self, piece: str) -> str | None:
        """Return who stands on a piece or over it, None if it can be lifted off."""
        loads = (other for other, when in self.at.items() if self._carrier(other, when) == piece)
        when = self.at[piece]
        over = (other for other in self._others(piece) if self.plan.blocks(piece, when, other, self.at[other]))
        return next(chain(loads, over), None)

    def _in_place(self, piece: str) -> str | None:
        """Return who is missing under a piece's last place, who is in it, or who would be shut in by the piece there."""
        carrier = self.plan.after[piece]
        if carrier is not None and self.at.get(carrier) != AFTER:
            return carrier
        for other in self._others(piece):
            if self.plan.blocks(piece, AFTER, other, self.at[other]):
                return other
        for other in self.pending:
            leaving = self.at.get(other) == BEFORE and self.plan.blocks(other, BEFORE, piece, AFTER)
            coming = other in self.plan.after and self.plan.blocks(other, AFTER, piece, AFTER)
            if other != piece and (leaving or coming):
                return other
        return None

    def _others(self, piece: str) -> list[str]:
        """Return who else stands: first those that have something to do anyway."""
        return sorted((other for other in self.at if other != piece), key=lambda other: other not in self.pending)

    def _carrier(self, piece: str, when: When) -> str | None:
        return (self.plan.before if when == BEFORE else self.plan.after)[piece]
