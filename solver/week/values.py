"""The question and the answer of a week, as values: which job stands on which table, from when to when, with which kit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

from solver.week.room import NeededRoom

WeekStatus = Literal["optimal", "feasible"]


@dataclass(frozen=True, slots=True)
class SetUp:
    """An alternative of a plan where it would stand: on one table, by so many columns and rows from where it was planned.

    Two jobs whose set-ups are equal in `kit` can follow each other without it being set again.

    Parameters
    ----------
    kit : str
        Names table, place, every piece, its hole, turn and setting: the same for the same kit at the same place.
    room : NeededRoom
        What it needs of the table, with its pieces, parts, ways and torch.
    pieces : mapping of item to count
        What it takes from the shelf; pieces that are bought are not among them.
    day_cents : int
        Day rates of all its pieces, bought ones too.
    load_kg : float or None
        Hardware and weldment; None where it is not known.
    """

    kit: str
    table: str
    columns: int
    rows: int
    room: NeededRoom
    pieces: Mapping[str, int]
    day_cents: int
    load_kg: float | None = None


@dataclass(frozen=True, slots=True)
class KitChoice:
    """One way to do a job: an alternative by its rank, at one place, with the lines of its price that no day changes, cents."""

    rank: int
    set_up: SetUp
    setup_cents: int
    cycle_cents: int
    shortage_cents: int = 0
    weights_cents: int = 0

    @property
    def run_cents(self) -> int:
        """What is paid whenever it is done: all lines but setting up and tie-up."""
        return self.cycle_cents + self.shortage_cents + self.weights_cents


@dataclass(frozen=True, slots=True)
class WeekJob:
    """A job of the week: not before `release`, `days` listed days in a row, late after `due`.

    `choices` may be empty: there is no plan for it, and it is left over.
    """

    id: str
    release: date
    due: date
    days: int
    late_cents_per_day: int
    choices: tuple[KitChoice, ...]

    def days_late(self, last: date) -> int:
        """Return the calendar days after `due` on which it is done, 0 if it is in time."""
        return max(0, (last - self.due).days)


@dataclass(frozen=True, slots=True)
class Week:
    """Days on which work is done, jobs, and what there is.

    Parameters
    ----------
    days : tuple of date
        Working days, ascending. Between the first and the last every calendar day counts for tie-up, pieces and tables.
    free : mapping of item to tuple of int
        Free pieces on each calendar day from the first to the last.
    most_kg : mapping of table to kg or None
        What each table carries; its keys are the tables of the week.
    """

    days: tuple[date, ...]
    jobs: tuple[WeekJob, ...]
    free: Mapping[str, tuple[int, ...]]
    most_kg: Mapping[str, float | None]
    seed: int = 1

    @property
    def first(self) -> date:
        """The first day."""
        return self.days[0]

    @property
    def length(self) -> int:
        """Calendar days from the first to the last, both included."""
        return (self.days[-1] - self.days[0]).days + 1

    def day(self, number: int) -> date:
        """Return a calendar day by its number from 0."""
        return self.first + timedelta(days=number)

    def number(self, day: date) -> int:
        """Return the number of a calendar day, 0 for the first."""
        return (day - self.first).days

    def pieces_free(self, item: str) -> tuple[int, ...]:
        """Return the free pieces of an item by day, none where it is not stocked."""
        return self.free.get(item, (0,) * self.length)

    def job(self, id: str) -> WeekJob:
        """Return a job by its id."""
        return next(job for job in self.jobs if job.id == id)


@dataclass(frozen=True, slots=True)
class Assignment:
    """A job with its kit and its days, both included.

    `stays_after` is the job whose set-up stands from before and is not set again; the kit is then held from the day after that
    job's last, else from `first`.
    """

    job: str
    choice: KitChoice
    first: date
    last: date
    stays_after: str | None = None
    held_from: date | None = None

    @property
    def from_day(self) -> date:
        """The first day its kit is held for it."""
        return self.first if self.held_from is None else self.held_from


@dataclass(frozen=True, slots=True)
class WeekCost:
    """The price of a week, line by line, integer cents; total is the sum of the others."""

    setup_cents: int = 0
    cycle_cents: int = 0
    tie_up_cents: int = 0
    shortage_cents: int = 0
    weights_cents: int = 0
    late_cents: int = 0
    left_over_cents: int = 0

    @property
    def total_cents(self) -> int:
        """All lines together."""
        return sum(getattr(self, name) for name in self.__dataclass_fields__)

    def __add__(self, other: WeekCost) -> WeekCost:
        """Return both, line by line."""
        return WeekCost(*(getattr(self, name) + getattr(other, name) for name in self.__dataclass_fields__))


@dataclass(frozen=True, slots=True)
class Hurdle:
    """What stands in the way of a job that is left over: a code that stays, and a sentence with the numbers."""

    code: Literal["no_plan", "days", "table", "pieces", "both"]
    text: str


@dataclass(frozen=True, slots=True)
class WeekRemedy:
    """What was tried and lets a job in with all others where they are: pieces to buy, an earlier release, or another table.

    `price_cents` is the price of the pieces; `then` the job as it would stand.
    """

    do: Literal["buy", "release", "table"]
    then: Assignment
    then_cents: int
    price_cents: int = 0
    buy: Mapping[str, int] = field(default_factory=dict)
    release: date | None = None


@dataclass(frozen=True, slots=True)
class LeftOverJob:
    """A job that found no days, why, and what would help, cheapest first; `cents` is what it counts with in the price."""

    job: str
    cents: int
    because: tuple[Hurdle, ...] = ()
    would_help: tuple[WeekRemedy, ...] = ()


@dataclass(frozen=True, slots=True)
class WeekAnswer:
    """Jobs with their days, and those left over.

    `fewest_left_over` says whether it is proved that no week leaves fewer over; `bound_cents` holds of all weeks that leave as
    few over as this one. `optimal`: both are proved, and the price is at the bound.
    """

    status: WeekStatus
    stopped_by: Literal["proof", "work", "time", "cancel"]
    cost: WeekCost
    bound_cents: int
    fewest_left_over: bool
    assignments: tuple[Assignment, ...]
    left_over: tuple[LeftOverJob, ...]
    work: float = 0.0

    @property
    def gap(self) -> float:
        """How much cheaper a week could still be, as a share of this one's price."""
        total = self.cost.total_cents
        return 0.0 if total <= 0 else max(0.0, (total - self.bound_cents) / total)
