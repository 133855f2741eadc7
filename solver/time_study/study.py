"""The time rules fitted to measured setups and cycles, with how sure each is and how much better times are predicted with them.

Residuals are shares of the time predicted today: a setup of forty minutes scatters more than one of five. Each is multiplied by
the square root of its report's weight. Beside the reports stands what is known without them: a present value of seconds is
right to within its own size, or the default's if that is more, a share to within 0.2, one standard deviation each (practice).
So few reports move a rule a little where many would move it far.

A server starts without `scipy.special`: the function that asks it imports it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.rule_book import VALUES
from solver.time_study.distinct_rules import KeptRule, told_apart
from solver.time_study.reports import Agreement, MeasuredTime, ReportRows, agreement, of_kind
from solver.time_study.robust import Beforehand, Estimate, Residuals, covariance, robust_estimate
from solver.time_study.work import CycleWork, Rules, SetupWork, What, Work

CONFIDENCE = 0.95
LEAST_SCATTER = 0.005
"""Times are told to the second or the minute: a scatter below 0.5 % of the time is not believed. Practice."""
OUTLIER_WEIGHT = 0.5
SHARE_DEVIATION = 0.2
_PRECISION, _ROUGH = 1e-7, 1e-4
MOST_FOLDS = 20
_STEPS: Mapping[str, float] = {"s": 0.1, "-": 0.001, "share": 0.001}


@dataclass(frozen=True, slots=True)
class FittedRule:
    """A rule as the reports have it.

    Parameters
    ----------
    value : float
        The estimate, rounded to 0.1 s or 0.001: what is proposed.
    low, high : float
        Between them lies the true value in 95 of 100 such studies, if the rest of the price's form holds; within the legal range.
    at_limit : bool
        The estimate is an end of the rule's legal range.
    learnt : float
        How much of what was open about it before the reports have settled, a share of the variance from 0 to 1.
    """

    rule: str
    present: float
    value: float
    standard_error: float
    low: float
    high: float
    at_limit: bool
    learnt: float

    @property
    def differs(self) -> bool:
        """Return whether the present value lies outside the interval."""
        return not self.low <= self.present <= self.high


@dataclass(frozen=True, slots=True)
class Outlier:
    """A report that counts little, because nothing like it was measured elsewhere; `weight` from 0 (none) to 1."""

    number: int
    plan: str
    rank: int
    seconds: float
    predicted_s: float
    weight: float


@dataclass(frozen=True, slots=True)
class TimeFit:
    """What the reports of one kind, setups or cycles, say of the rules they depend on.

    Parameters
    ----------
    fitted, kept : tuple
        Rules with a new value, and those that keep theirs, with the reason.
    scatter : float or None
        Robust standard deviation of the residuals, a share of the time; None if nothing was fitted.
    condition : float or None
        Condition number of the fitted rules' columns.
    before, after : Agreement or None
        Measured beside predicted, by the present rules and by the fitted ones.
    left_out : Agreement or None
        Each report predicted by rules fitted without the reports of its plan: what to expect of the next plan.
    """

    what: What
    reports: int
    plans: int
    fitted: tuple[FittedRule, ...]
    kept: tuple[KeptRule, ...]
    outliers: tuple[Outlier, ...]
    scatter: float | None
    condition: float | None
    before: Agreement | None
    after: Agreement | None
    left_out: Agreement | None

    @property
    def worthwhile(self) -> bool:
        """Whether the present rules should give way: one at least lies outside its interval, and other plans are missed by less.

        Who fits the same reports again after taking a proposal over is not told to go on and on.
        """
        if self.before is None or self.left_out is None:
            return False
        return any(rule.differs for rule in self.fitted) and self.left_out.miss_share < self.before.miss_share


def beforehand(name: str, rules: Rules) -> float:
    """Return how far off a present value may well be, as a standard deviation, in the rule's unit."""
    return max(rules[name], VALUES[name].default) if VALUES[name].unit == "s" else SHARE_DEVIATION


def time_study(reports: Sequence[MeasuredTime], rules: Rules) -> tuple[TimeFit, TimeFit]:
    """Return what measured setups, and measured cycles, say of the time rules; the same for the same reports in any order.

    Parameters
    ----------
    rules : mapping
        The present rule book, resolved.

    Raises
    ------
    DeadlinePassed
        The deadline in force passed.
    """
    return _fit("setup", SetupWork, reports, rules), _fit("cycle", CycleWork, reports, rules)


def _fit(what: What, kind: type[Work], all_reports: Sequence[MeasuredTime], rules: Rules) -> TimeFit:
    reports = of_kind(all_reports, kind)
    rows = ReportRows.of(kind, reports)
    measured = np.array([each.seconds for each in reports])
    today = rows.seconds(rules)
    before = agreement(measured, today)
    plans = len({each.plan for each in reports})
    scales = np.sqrt([each.weight for each in reports]) / np.maximum(today, 1.0)
    found = told_apart(reports, rows, rules, scales)
    if not found.fitted:
        return TimeFit(what, len(reports), plans, (), found.kept, (), None, None, before, None, None)
    question = _Question(rows, measured, scales, rules, found.fitted)
    estimate = question.answer()
    built = [each.plan for each in reports]
    fitted = _rules(question, estimate, built)
    said = rows.seconds({**rules, **{each.rule: each.value for each in fitted}})
    outliers = tuple(
        Outlier(each.number, each.plan, each.rank, each.seconds, float(expected), float(weight))
        for each, expected, weight in zip(reports, said, estimate.weights, strict=True)
        if weight < OUTLIER_WEIGHT
    )
    without = _left_out(built, question, estimate)
    return TimeFit(
        what, len(reports), plans, fitted, found.kept, outliers, estimate.scale, found.condition,
        before, agreement(measured, said), agreement(measured, without),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Question:
    """What some rules are by some reports: their rows and times, by what residuals are multiplied, the present rule book."""

    rows: ReportRows
    measured: Array
    scales: Array
    rules: Rules
    names: tuple[str, ...]

    def some(self, chosen: Array) -> _Question:
        """Return the question put to some of the reports only, a truth value each."""
        return _Question(self.rows.some(chosen), self.measured[chosen], self.scales[chosen], self.rules, self.names)

    def book(self, values: Array) -> dict[str, float]:
        """Return the rule book with these values of the rules asked about."""
        return {**self.rules, **dict(zip(self.names, map(float, values), strict=True))}

    def answer(self, near: Estimate | None = None) -> Estimate:
        """Return the estimate, within the rules' legal ranges; `near`, if given, is that of nearly the same reports."""
        precision = _PRECISION if near is None else _ROUGH
        return robust_estimate(self.problem, self.present, least_scale=LEAST_SCATTER, precision=precision, near=near)

    @property
    def present(self) -> Array:
        """The present values."""
        return np.array([self.rules[name] for name in self.names])

    @property
    def problem(self) -> Residuals:
        """What is to be made small."""
        places = [self.rows.names.index(name) for name in self.names]
        legal = [VALUES[name] for name in self.names]
        return Residuals(
            lambda values: np.asarray((self.rows.seconds(self.book(values)) - self.measured) * self.scales),
            lambda values: np.asarray(self.rows.slopes(self.book(values))[:, places] * self.scales[:, None]),
            np.array([each.low for each in legal], float),
            np.array([each.high for each in legal], float),
            Beforehand(self.present, np.array([beforehand(name, self.rules) for name in self.names])),
        )


def _rules(question: _Question, estimate: Estimate, plans: Sequence[str]) -> tuple[FittedRule, ...]:
    from scipy.special import stdtrit

    names, rules = question.names, question.rules
    reach = float(stdtrit(len(question.measured) - len(names), 0.5 + CONFIDENCE / 2))
    errors = np.sqrt(np.diag(covariance(question.problem, estimate, plans)))
    found = []
    for name, value, error in zip(names, map(float, estimate.values), map(float, errors), strict=True):
        legal = VALUES[name]
        step = _STEPS[legal.unit]
        rounded = round(round(value / step) * step, 6)
        low, high = (min(max(edge, legal.low), legal.high) for edge in (value - reach * error, value + reach * error))
        at_limit = min(value - legal.low, legal.high - value) < step / 2
        learnt = 1 - (error / beforehand(name, rules)) ** 2
        proposed = min(max(rounded, legal.low), legal.high)
        found.append(FittedRule(name, rules[name], proposed, error, low, high, at_limit, learnt))
    return tuple(found)


def _left_out(plans: Sequence[str], question: _Question, estimate: Estimate) -> Array:
    """Return each report's time by rules fitted to the reports of other plans; with many plans some are left out together."""
    fold_of = {plan: place % MOST_FOLDS for place, plan in enumerate(sorted(set(plans)))}
    folds = np.array([fold_of[plan] for plan in plans])
    said = np.zeros(len(plans))
    for fold in range(max(folds) + 1):
        look()
        found = question.some(folds != fold).answer(estimate)
        said[folds == fold] = question.rows.some(folds == fold).seconds(question.book(found.values))
    return said
