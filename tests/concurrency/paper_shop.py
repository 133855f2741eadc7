"""A shop kept on paper: the plainest possible account of counts and reservations, to hold the store against.

It counts day by day and knows nothing of the store's arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass, field

LAST_DAY = 31


@dataclass
class Slip:
    """A reservation on paper; days are days of the month."""

    state: str
    first: int
    last: int
    pieces: dict[str, int]
    out: dict[str, int] = field(default_factory=dict)

    def holds(self, item: str, day: int, today: int) -> int:
        """Pieces it keeps from everybody else on a day."""
        last = max(self.last, today) if self.state == "on_the_table" else self.last
        in_force = self.state in ("reserved", "on_the_table") and self.first <= day <= last
        return self.out.get(item, 0) if in_force else 0


@dataclass
class PaperShop:
    """Counts, out of service, slips; `today` is the day of the month."""

    count: dict[str, int]
    broken: dict[str, int]
    slips: dict[int, Slip] = field(default_factory=dict)
    today: int = 1

    def free(self, item: str, first: int, last: int, without: int | None = None) -> int:
        """What could be promised on every day from first to last."""
        worst = max(
            sum(slip.holds(item, day, self.today) for number, slip in self.slips.items() if number != without)
            for day in range(first, last + 1)
        )
        return max(0, self.count[item] - self.broken[item] - worst)

    def short(self, pieces: dict[str, int], first: int, last: int, without: int | None = None) -> list[str]:
        """Items of which there are too few."""
        return [item for item, wanted in pieces.items() if wanted > self.free(item, first, last, without)]

    def hand_out(self, number: int) -> str | None:
        """Give a kit out; return why not, None if done."""
        slip = self.slips[number]
        if slip.state != "reserved" or self.today > slip.last:
            return "illegal"
        if self.today < slip.first and self.short(slip.pieces, self.today, slip.last, without=number):
            return "short"
        slip.first, slip.state = min(slip.first, self.today), "on_the_table"
        return None

    def take_back(self, number: int, item: str, whole: int, broken: int, missing: int) -> bool:
        """Take pieces of one item back; False if that cannot be."""
        slip = self.slips[number]
        if slip.state != "on_the_table" or not 0 < whole + broken + missing <= slip.out.get(item, 0):
            return False
        slip.out[item] -= whole + broken + missing
        self.count[item] = max(0, self.count[item] - missing)
        self.broken[item] = min(self.count[item], self.broken[item])
        self.broken[item] = min(self.count[item], self.broken[item] + broken)
        if not any(slip.out.values()):
            slip.state = "returned"
        return True

    def move(self, number: int, first: int, last: int) -> str | None:
        """Move a slip to other days; return why not, None if done."""
        slip = self.slips[number]
        if slip.state in ("returned", "released", "expired") or (slip.state == "on_the_table" and first != slip.first):
            return "illegal"
        needed = {item: pieces for item, pieces in slip.out.items() if pieces}
        if slip.state != "proposed" and self.short(needed, first, last, without=number):
            return "short"
        slip.first, slip.last = first, last
        return None
