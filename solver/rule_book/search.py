"""The ends of a search that prove nothing."""

from __future__ import annotations

from solver.rule_book.record import Hindrance, Rule

SO_FAR = "of {positions} positions {surveyed} surveyed, {built} tried, {proofs} proved impossible; neither a plan nor a proof"
"""How far a search came that ended without a plan and without a proof."""

RULES: tuple[Rule, ...] = (
    Rule(
        "search.time",
        "the time ran out before a plan or a proof was found",
        hindrance=Hindrance(
            place=260,
            remedy="a longer `time_limit_s`, fewer lies or tables",
            by_itself="the time ran out: " + SO_FAR,
        ),
    ),
    Rule(
        "search.work",
        "the work limit was reached before a plan or a proof was found",
        hindrance=Hindrance(
            place=270,
            remedy="a larger `work_limit`",
            by_itself="the work limit was reached: " + SO_FAR,
        ),
    ),
    Rule(
        "search.scope",
        "no plan was found, and not everything was tried",
        hindrance=Hindrance(
            place=275,
            remedy="a table with fewer blocked holes, or other lies",
            by_itself="no plan was found, and some fixtures were not tried: " + SO_FAR,
        ),
    ),
    Rule(
        "search.cancel",
        "the search was cancelled",
        hindrance=Hindrance(
            place=280,
            remedy="plan again",
            by_itself="the search was cancelled: " + SO_FAR,
        ),
    ),
    Rule(
        "search.check",
        "fixtures were found that the independent checker refuses",
        hindrance=Hindrance(
            place=290,
            remedy="report it: a fault of this program",
            sentence="fixtures that the independent checker refused are left out",
            by_itself="{dropped} fixtures were found and refused by the independent checker, a fault of this program: " + SO_FAR,
            turn=20,
        ),
    ),
    Rule(
        "search.witness",
        "two solvers disagree on whether a fixture is possible",
        hindrance=Hindrance(
            place=300,
            remedy="report it: a fault of this program",
            by_itself="two solvers disagree on a position, a fault of this program: " + SO_FAR,
        ),
    ),
    Rule(
        "search.no_reason",
        "no plan is possible, but no reason was found in the time left",
        hindrance=Hindrance(
            place=310,
            remedy="a longer `time_limit_s`",
            by_itself="no plan is possible, and no reason was found in the time left",
        ),
    ),
)
