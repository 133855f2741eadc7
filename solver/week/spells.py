"""When a job can be done: the listed days in a row on which it fits between its release and the week's end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from solver.week.values import KitChoice, Week, WeekJob


@dataclass(frozen=True, slots=True)
class Spell:
    """Calendar days by number, both included."""

    first: int
    last: int

    @property
    def days(self) -> range:
        """Each of its days."""
        return range(self.first, self.last + 1)

    def meets(self, other: Spell) -> bool:
        """Whether the two share a day."""
        return self.first <= other.last and other.first <= self.last


def spells(week: Week, job: WeekJob, *, early: bool = False) -> Iterator[Spell]:
    """Yield when a job can be done, the earliest first; `early`: before its release too."""
    for start in range(len(week.days) - job.days + 1):
        if early or week.days[start] >= job.release:
            yield Spell(week.number(week.days[start]), week.number(week.days[start + job.days - 1]))


def pieces_there(week: Week, choice: KitChoice, spell: Spell) -> bool:
    """Whether a kit's pieces are free on all days of a spell if nothing else takes any."""
    return all(week.pieces_free(item)[day] >= count for item, count in choice.set_up.pieces.items() for day in spell.days)


def choices_of(week: Week, job: WeekJob) -> Iterator[tuple[KitChoice, Spell]]:
    """Yield every way to do a job that fits if it is alone in the week."""
    for choice in job.choices:
        for spell in spells(week, job):
            if pieces_there(week, choice, spell):
                yield choice, spell
