"""All measured times that stand, as they are drawn."""

from __future__ import annotations

from service.drawings.times.agreement_chart import ChartedTime
from service.records.database import Database
from service.records.measured_times import WantedReports, find_reports
from service.shop_floor.proposal import proposal


def charted_times(database: Database, plan: str | None = None) -> list[ChartedTime]:
    """Return the latest 5,000 reports that stand; a plan's own are told apart, and those that count little in a study of all.

    Raises
    ------
    DeadlinePassed
        The deadline in force passed.
    """
    reports = database.read(lambda connection: find_reports(connection, WantedReports(standing=True)))
    little = {one.number for fit in proposal(database).fits for one in fit.outliers}
    numbered = [(each.number, each.report) for each in reports]
    return [
        ChartedTime(number, one.what, one.predicted_s, one.counted_s, one.plan == plan, number in little)
        for number, one in numbered
    ]
