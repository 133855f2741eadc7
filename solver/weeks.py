"""A week planned: a first week at once, better ones by the solver, and what would let in the jobs that are left over."""

from __future__ import annotations

from solver.deadline import Deadline
from solver.model.week.week_model import cheapest_week
from solver.week.first_week import first_week
from solver.week.left_over import left_over_job
from solver.week.prices import week_cost
from solver.week.values import Week, WeekAnswer, WeekStatus

REMEDY_SHARE = 0.05
"""The share of the time that is kept for saying what would help."""


def plan_week(
    week: Week, deadline: Deadline, work_limit: float | None = None, price_of: dict[str, int] | None = None
) -> WeekAnswer:
    """Return the best week found by a deadline.

    Parameters
    ----------
    work_limit : float or None
        Limit in the solver's deterministic units.
    price_of : mapping of item to cents, optional
        What a piece costs, for what would help.
    """
    found = cheapest_week(week, first_week(week), deadline.leaving(REMEDY_SHARE), work_limit)
    done = {each.job for each in found.assignments}
    waiting = [job for job in week.jobs if job.id not in done]
    left_over = tuple(left_over_job(week, job, found.assignments, price_of or {}) for job in waiting)
    cost = week_cost(week, found.assignments, [job.id for job in waiting])
    status: WeekStatus = "optimal" if found.proved else "feasible"
    return WeekAnswer(status, found.stopped_by, cost, found.bound_cents, found.fewest, found.assignments, left_over, found.work)
