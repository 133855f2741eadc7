"""What is taken on each day: set-ups on tables, pieces of the shelf."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from solver.week.spells import Spell
from solver.week.values import Assignment, SetUp, Week


class ShelfDays:
    """Tables and pieces of a week, day by day, as jobs take them."""

    def __init__(self, week: Week, assignments: Iterable[Assignment] = ()) -> None:
        self._week = week
        self._standing: dict[tuple[str, int], list[SetUp]] = defaultdict(list)
        self._taken: dict[tuple[str, int], int] = defaultdict(int)
        for each in assignments:
            self.take(each.choice.set_up, Spell(week.number(each.from_day), week.number(each.last)))

    def take(self, set_up: SetUp, spell: Spell) -> None:
        """Have a set-up stand on days."""
        for day in spell.days:
            self._standing[set_up.table, day].append(set_up)
            for item, count in set_up.pieces.items():
                self._taken[item, day] += count

    def fits(self, set_up: SetUp, spell: Spell) -> bool:
        """Whether a set-up finds table and pieces on all days."""
        return self.room_for(set_up, spell) and not self.short(set_up, spell)

    def room_for(self, set_up: SetUp, spell: Spell) -> bool:
        """Whether a set-up finds room on its table, beside what stands there, on all days."""
        most = self._week.most_kg[set_up.table]
        for day in spell.days:
            beside = self._standing[set_up.table, day]
            if any(not set_up.room.apart(other.room) for other in beside):
                return False
            if beside and most is not None and _load([*beside, set_up], most) > most:
                return False
        return True

    def short(self, set_up: SetUp, spell: Spell) -> dict[str, int]:
        """Return the pieces missing for a set-up, by item: the most on any of the days."""
        missing: dict[str, int] = {}
        for item, count in set_up.pieces.items():
            free = self._week.pieces_free(item)
            most = max(count + self._taken[item, day] - free[day] for day in spell.days)
            if most > 0:
                missing[item] = most
        return missing

    def taken(self, item: str, day: int) -> int:
        """Return the pieces of an item on tables on a day."""
        return self._taken[item, day]


def _load(set_ups: Iterable[SetUp], most: float) -> float:
    return sum(most if each.load_kg is None else each.load_kg for each in set_ups)
