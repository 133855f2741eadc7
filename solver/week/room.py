"""What a set-up needs of a table, as an upright rectangle: pieces open and shut, parts, their ways in and out, torch and hand.

In words: two set-ups may stand on one table on the same day if the rectangles round all that each of them needs are apart. That
asks for more than is needed - a set-up never reaches into the other's notch - and never for too little.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NeededRoom:
    """An upright rectangle on a table, mm of its frame, grown by half of the distance that set-ups keep from each other."""

    left: float
    low: float
    right: float
    high: float

    def apart(self, other: NeededRoom) -> bool:
        """Whether the two share no more than an edge."""
        beside = self.right <= other.left or other.right <= self.left
        return beside or self.high <= other.low or other.high <= self.low

    def shifted(self, dx: float, dy: float) -> NeededRoom:
        """Return the rectangle elsewhere."""
        return NeededRoom(self.left + dx, self.low + dy, self.right + dx, self.high + dy)


EVERYWHERE = NeededRoom(float("-inf"), float("-inf"), float("inf"), float("inf"))
"""A set-up beside which nothing stands."""
