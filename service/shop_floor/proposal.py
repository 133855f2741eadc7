"""The time rules that measured times speak for, as a proposal: whoever may change a rule book takes it, or does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.records.database import Database
from service.records.measured_times import NumberedReport, WantedReports, find_reports
from service.rule_books.reading import known_books, resolved_book
from solver.rule_book.book import RuleBook
from solver.time_study.study import TimeFit, time_study


@dataclass(frozen=True, slots=True)
class TimeProposal:
    """What a study proposes for a rule book: new values for the rules it could fit, and why."""

    rules: RuleBook
    setup: TimeFit
    cycle: TimeFit
    why: str

    @property
    def fits(self) -> tuple[TimeFit, TimeFit]:
        """Both halves of the study."""
        return self.setup, self.cycle

    @property
    def set(self) -> dict[str, float]:
        """The rules to change, with their new values: those of setups, or of cycles, together or not at all."""
        chosen = [fit for fit in self.fits if fit.worthwhile]
        return {each.rule: each.value for fit in chosen for each in fit.fitted if each.value != each.present}


def proposal(database: Database, book: str | None = None, version: int | None = None) -> TimeProposal:
    """Return what all reports that stand propose for a rule book, the latest 5,000 of them.

    Parameters
    ----------
    book, version : str, int, optional
        A kept rule book and its version; None: the book in use, and the newest version.

    Raises
    ------
    NotFound
        There is no such book, or version.
    DeadlinePassed
        The deadline in force passed.
    """
    if book is None:
        rules = known_books(database).in_use
    else:
        rules = database.read(lambda connection: resolved_book(connection, book, version))
    reports = database.read(lambda connection: find_reports(connection, WantedReports(standing=True)))
    setup, cycle = time_study([each.measured for each in reports], rules.resolved())
    return TimeProposal(rules, setup, cycle, _why(reports, setup, cycle))


def _why(reports: Sequence[NumberedReport], *fits: TimeFit) -> str:
    """Return the reason a rule book's journal keeps, up to 1,000 characters."""
    if not reports:
        return "nothing was measured yet"
    days = [each.report.measured_on for each in reports]
    counts = " and ".join(_many(fit.reports, fit.what) for fit in fits)
    said = f"fitted to {counts} measured {min(days)} to {max(days)}, reports up to number {max(each.number for each in reports)}"
    better = [
        f"{fit.what} times are missed by {100 * fit.left_out.miss_share:.0f} % instead of {100 * fit.before.miss_share:.0f} %"
        for fit in fits
        if fit.worthwhile and fit.left_out is not None and fit.before is not None
    ]
    return "; ".join((said, *better))


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
