"""The price of a week: what each job pays with its days, and what a job that is left over counts with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from solver.week.values import Assignment, KitChoice, Week, WeekCost, WeekJob


def assignment_cost(job: WeekJob, there: Assignment) -> WeekCost:
    """Return what a job pays: setting up unless the set-up stays, its runs, its kit's calendar days, its lateness."""
    choice = there.choice
    return WeekCost(
        setup_cents=0 if there.stays_after is not None else choice.setup_cents,
        cycle_cents=choice.cycle_cents,
        tie_up_cents=choice.set_up.day_cents * ((there.last - there.from_day).days + 1),
        shortage_cents=choice.shortage_cents,
        weights_cents=choice.weights_cents,
        late_cents=late_cents(job, there.last),
    )


def late_cents(job: WeekJob, last: date) -> int:
    """Return the price of a job's lateness if `last` is its last day."""
    return job.late_cents_per_day * job.days_late(last)


def left_over_cents(week: Week, job: WeekJob) -> int:
    """Return what a job counts with that is left over: as if it were done right after the week, with its cheapest kit."""
    cheapest = min((_alone(choice, job.days) for choice in job.choices), default=0)
    end = (week.days[-1] - job.due).days + job.days
    return cheapest + job.late_cents_per_day * max(0, end)


def week_cost(week: Week, assignments: Sequence[Assignment], left_over: Iterable[str]) -> WeekCost:
    """Return the price of a week."""
    done = [assignment_cost(week.job(each.job), each) for each in assignments]
    waiting = WeekCost(left_over_cents=sum(left_over_cents(week, week.job(id)) for id in left_over))
    return sum(done, waiting)


def _alone(choice: KitChoice, days: int) -> int:
    return choice.setup_cents + choice.run_cents + choice.set_up.day_cents * days
