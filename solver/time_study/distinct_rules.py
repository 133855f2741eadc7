"""Which time rules the reports can tell: the others keep their present values, and it is said why.

A rule is fitted if enough reports have to do with it, if there are enough reports for all that are fitted, and if the reports
tell it from the others: the slopes of the times, a column a rule, each of length 1, have a condition number within 30 (D. A.
Belsley, E. Kuh, R. E. Welsch, Regression Diagnostics, Wiley 1980: from 30 on columns are too nearly dependent). Where they are
not told apart, of the rules involved the one that the least time is spent on keeps its value.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from inventory.shapes import Array
from solver.time_study.reports import MeasuredTime, ReportRows
from solver.time_study.work import WALK, Rules

CONDITION_MAX = 30.0
REPORTS_PER_RULE = 4
LEAST_REPORTS = 6
LEAST_PLANS = 3
LEAST_WITH_RULE = 3
"""So many reports at least for each rule fitted, in all, of so many plans, and with a part of its own for each rule. Practice."""
_INVOLVED = 0.3

Reason = Literal["too_few_reports", "too_few_plans", "not_met", "too_few_for_all", "not_told_apart"]


@dataclass(frozen=True, slots=True)
class KeptRule:
    """A rule that keeps its present value: `missing` more reports, or plans, at least would be needed; `others` go with it."""

    rule: str
    value: float
    reason: Reason
    text: str
    missing: int = 0
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ToldApart:
    """The rules to fit, in the order of the work's, and those that keep their values."""

    fitted: tuple[str, ...]
    kept: tuple[KeptRule, ...]
    condition: float | None


def told_apart(reports: Sequence[MeasuredTime], rows: ReportRows, rules: Rules, weights: Array) -> ToldApart:
    """Return which of the rules that the reports' times depend on they can tell.

    Parameters
    ----------
    weights : array, shape (n,)
        By what each report's slopes are multiplied before they are compared: one over what its residual is held against.
    """
    names = rows.names
    word = "setups" if WALK in names else "cycles"
    if reason := _too_few(reports, word):
        return ToldApart((), tuple(KeptRule(name, rules[name], *reason) for name in names), None)
    slopes = rows.slopes(rules) * weights[:, None]
    spent = np.abs(slopes).sum(axis=0) * np.array([max(rules[name], 1e-9) for name in names])
    met = np.count_nonzero(slopes, axis=0)
    kept: dict[int, KeptRule] = {}
    for place, name in enumerate(names):
        if met[place] < LEAST_WITH_RULE:
            kept[place] = KeptRule(
                name, rules[name], "not_met", _not_met(name, int(met[place])), LEAST_WITH_RULE - int(met[place])
            )
    while (free := [place for place in range(len(names)) if place not in kept]) and len(reports) < REPORTS_PER_RULE * len(free):
        least = min(free, key=lambda place: (spent[place], -place))
        wanted = REPORTS_PER_RULE * len(free)
        text = f"{len(reports)} {word} are reported; {wanted} would be needed to fit {len(free)} rules"
        kept[least] = KeptRule(names[least], rules[names[least]], "too_few_for_all", text, wanted - len(reports))
    condition = None
    while free := [place for place in range(len(names)) if place not in kept]:
        columns = slopes[:, free] / np.linalg.norm(slopes[:, free], axis=0)
        _, sizes, shares = np.linalg.svd(columns, full_matrices=False)
        condition = float(sizes[0] / sizes[-1]) if sizes[-1] > 0 else np.inf
        if condition <= CONDITION_MAX:
            break
        involved = [free[k] for k in range(len(free)) if abs(shares[-1][k]) >= _INVOLVED * np.abs(shares[-1]).max()]
        least = min(involved, key=lambda place: (spent[place], -place))
        others = tuple(names[place] for place in involved if place != least)
        text = f"the reported {word} do not tell it from {' and '.join(others)}, which then takes up what belongs to either"
        kept[least] = KeptRule(names[least], rules[names[least]], "not_told_apart", text, others=others)
    return ToldApart(tuple(names[place] for place in free), tuple(kept[place] for place in sorted(kept)), condition)


def _too_few(reports: Sequence[MeasuredTime], word: str) -> tuple[Reason, str, int] | None:
    plans = len({each.plan for each in reports})
    if len(reports) < LEAST_REPORTS:
        text = f"{len(reports)} {word} are reported; {LEAST_REPORTS} at least are needed, of {LEAST_PLANS} plans"
        return "too_few_reports", text, LEAST_REPORTS - len(reports)
    if plans < LEAST_PLANS:
        few = "1 plan" if plans == 1 else f"{plans} plans"
        return "too_few_plans", f"all reported {word} are of {few}; {LEAST_PLANS} at least are needed", LEAST_PLANS - plans
    return None


_MEETS = {
    "time.stack_s": "setups with a piece standing on another",
    "time.repeat_ratio": "setups of a plan that had been set before",
    "time.round_share": "cycles with more than one station",
}


def _not_met(name: str, met: int) -> str:
    return f"{met} {_MEETS.get(name, 'times it takes part in')} are reported; {LEAST_WITH_RULE} at least are needed"
