"""Measured times as they are reported: what took how long, of which plan, over how many setups or pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.time_study.work import Rules, Work

NORMAL_MEDIAN = 0.6744897501960817
"""Median of the absolute values of a standard normal variable."""


@dataclass(frozen=True, slots=True)
class MeasuredTime:
    """One report: seconds of a setup, or of a cycle a weldment without its arc time.

    Parameters
    ----------
    number : int
        Its number among all reports.
    plan, rank : str, int
        The alternative that was built.
    count : int
        Setups or weldments that `seconds` is the mean of.
    """

    number: int
    plan: str
    rank: int
    work: Work
    seconds: float
    count: int = 1

    @property
    def weight(self) -> float:
        """Return how much it counts against one measured once: 1 to 2.

        Half of the variance is taken to be the fixture's own, which no number of pieces averages out, half the single piece's:
        1 / (1/2 + 1/(2 count)). Common practice, no source.
        """
        return 2 * self.count / (self.count + 1)


@dataclass(frozen=True, slots=True)
class Agreement:
    """How measured times lie beside predicted ones.

    Parameters
    ----------
    ratio : float
        Median of measured / predicted.
    scatter : float
        Robust standard deviation of measured / predicted about that: median of the absolute distances / 0.6745.
    miss_s, miss_share : float
        Median absolute difference, seconds; and as a share of the measured time.
    """

    count: int
    ratio: float
    scatter: float
    miss_s: float
    miss_share: float


def agreement(measured: Array, predicted: Array) -> Agreement | None:
    """Return how times agree; None without any. Both in seconds, above 0, shape (n,)."""
    if not len(measured):
        return None
    seen, said = measured, np.maximum(predicted, 1e-9)
    ratios, misses = seen / said, np.abs(seen - said)
    middle = float(np.median(ratios))
    scatter = float(np.median(np.abs(ratios - middle))) / NORMAL_MEDIAN
    return Agreement(len(seen), middle, scatter, float(np.median(misses)), float(np.median(misses / seen)))


def agreement_of(pairs: Sequence[tuple[float, float]]) -> Agreement | None:
    """Return how pairs of a measured and a predicted time agree; None without any."""
    columns = np.array(pairs, float).reshape(len(pairs), 2)
    return agreement(columns[:, 0], columns[:, 1])


def of_kind(reports: Sequence[MeasuredTime], kind: type[Work]) -> list[MeasuredTime]:
    """Return the reports of setups, or of cycles, by number."""
    return sorted((each for each in reports if isinstance(each.work, kind)), key=lambda each: each.number)


@dataclass(frozen=True, slots=True)
class ReportRows:
    """The forms of reports of one kind, one under the other: `counts` (n, m), all others (n,)."""

    names: tuple[str, ...]
    counts: Array
    own_s: Array
    alone: Array
    together: Array

    @classmethod
    def of(cls, kind: type[Work], reports: Sequence[MeasuredTime]) -> ReportRows:
        """Return the rows of reports, which are all of one kind."""
        forms = [each.work.form for each in reports]
        counts = np.array([each.counts for each in forms]).reshape(len(forms), len(kind.RULES) - 1)
        columns = [np.array([getattr(each, name) for each in forms]) for name in ("own_s", "alone", "together")]
        return cls(kind.RULES, counts, *columns)

    def some(self, chosen: Array) -> ReportRows:
        """Return the rows that are chosen, a truth value a row."""
        return ReportRows(self.names, self.counts[chosen], self.own_s[chosen], self.alone[chosen], self.together[chosen])

    def seconds(self, rules: Rules) -> Array:
        """Return what a rule book predicts, seconds, shape (n,)."""
        return np.asarray(self._first(rules) * self._factor(rules))

    def slopes(self, rules: Rules) -> Array:
        """Return by how much each time grows with each rule, shape (n, m + 1), in the order of `names`."""
        return np.column_stack((self.counts * self._factor(rules)[:, None], self._first(rules) * self.together))

    def _first(self, rules: Rules) -> Array:
        return np.asarray(self.counts @ np.array([rules[name] for name in self.names[:-1]]) + self.own_s)

    def _factor(self, rules: Rules) -> Array:
        return np.asarray(self.alone + self.together * rules[self.names[-1]])
