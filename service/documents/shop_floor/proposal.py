"""What a study of measured times proposes for a rule book, on the wire."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field

from service.documents.answers.answer import Answer
from service.documents.shop_floor.reports import AgreementDocument, Kind, agreement_document
from solver.rule_book.book import RuleBook
from solver.time_study.distinct_rules import KeptRule, Reason
from solver.time_study.study import FittedRule, Outlier, TimeFit

FORMAT = "holdwright.time-proposal/1"


class UncertaintyDocument(Answer):
    """How sure a fitted rule is."""

    present: Annotated[float, Field(description="its value now")]
    proposed: Annotated[float, Field(description="the estimate, rounded to 0.1 s or 0.001")]
    standard_error: Annotated[float, Field(description="of the estimate")]
    low: Annotated[float, Field(description="lower end of the interval that holds the true value in 95 of 100 such studies")]
    high: Annotated[float, Field(description="upper end of that interval")]
    differs: Annotated[bool, Field(description="the present value lies outside the interval")]
    at_limit: Annotated[bool, Field(description="the estimate is an end of the rule's legal range")]
    learnt: Annotated[float, Field(description="how much of what was open about it the reports have settled, 0 to 1")]


class KeptRuleDocument(Answer):
    """A rule that the reports do not tell; it keeps its value."""

    rule: str
    kept_at: Annotated[float, Field(description="its present value")]
    reason: Annotated[Reason, Field(description="why, by a code that stays")]
    text: Annotated[str, Field(description="why, in words")]
    missing: Annotated[int, Field(description="so many more reports, or plans, at least would be needed; 0: others, not more")]
    others: Annotated[list[str], Field(description="the rules it is not told from")]


class OutlierDocument(Answer):
    """A report that counts little or nothing."""

    number: int
    plan: str
    rank: int
    what: Kind
    seconds: Annotated[float, Field(description="as it is held beside the prediction: without arc time")]
    predicted_s: Annotated[float, Field(description="by the proposed rules")]
    weight: Annotated[float, Field(description="how much it counts, from 0 to 1")]


class FitDocument(Answer):
    """How well setups, or cycles, are predicted."""

    reports: int
    plans: int
    worthwhile: Annotated[
        bool,
        Field(description="whether `set` has these rules: one lies outside its interval, and other plans are missed by less"),
    ]
    scatter: Annotated[
        float | None, Field(description="robust standard deviation, as a share of the time; null: nothing was fitted")
    ]
    condition: Annotated[float | None, Field(description="condition number of the fitted rules' columns; 30 at most")]
    before: Annotated[AgreementDocument | None, Field(description="measured beside predicted by the present rules")]
    after: Annotated[AgreementDocument | None, Field(description="by the proposed rules")]
    left_out: Annotated[
        AgreementDocument | None,
        Field(description="each plan by rules fitted without its own reports: what to expect of the next"),
    ]


class BothFits(Answer):
    """Setups and cycles, which depend on different rules."""

    setup: FitDocument
    cycle: FitDocument


class TimeProposalDocument(Answer):
    """Time rules that measured times speak for; nothing is changed until somebody makes a version of them."""

    model_config = ConfigDict(frozen=True, validate_by_name=True, validate_by_alias=True, json_schema_extra={"examples": []})

    format: Annotated[Literal["holdwright.time-proposal/1"], Field(description=f'"{FORMAT}"')]
    base: Annotated[str, Field(description="the rule book it is made for")]
    base_version: Annotated[int, Field(description="the version of it")]
    set: Annotated[dict[str, float], Field(description="rules to change, by dotted name, in their own unit")]
    uncertainty: Annotated[dict[str, UncertaintyDocument], Field(description="every fitted rule, by dotted name")]
    not_identified: list[KeptRuleDocument]
    outliers: list[OutlierDocument]
    fit: BothFits
    why: Annotated[str, Field(description="the reason to keep with the new version")]


def proposal_document(rules: RuleBook, changes: dict[str, float], fits: Iterable[TimeFit], why: str) -> dict[str, Any]:
    """Return a proposal as plain JSON values."""
    both = tuple(fits)
    return TimeProposalDocument(
        format="holdwright.time-proposal/1",
        base=rules.base,
        base_version=rules.version,
        set=changes,
        uncertainty={each.rule: _uncertainty(each) for fit in both for each in fit.fitted},
        not_identified=[_kept(each) for fit in both for each in fit.kept],
        outliers=[_outlier(fit, each) for fit in both for each in fit.outliers],
        fit=BothFits(**{fit.what: _fit(fit) for fit in both}),
        why=why,
    ).plain()


def _uncertainty(rule: FittedRule) -> UncertaintyDocument:
    return UncertaintyDocument(
        present=rule.present, proposed=rule.value, standard_error=round(rule.standard_error, 4), low=round(rule.low, 3),
        high=round(rule.high, 3), differs=rule.differs, at_limit=rule.at_limit, learnt=round(rule.learnt, 3),
    )  # fmt: skip


def _kept(rule: KeptRule) -> KeptRuleDocument:
    return KeptRuleDocument(
        rule=rule.rule, kept_at=rule.value, reason=rule.reason, text=rule.text, missing=rule.missing, others=list(rule.others)
    )


def _outlier(fit: TimeFit, one: Outlier) -> OutlierDocument:
    return OutlierDocument(
        number=one.number, plan=one.plan, rank=one.rank, what=fit.what, seconds=one.seconds,
        predicted_s=round(one.predicted_s, 1), weight=round(one.weight, 3),
    )  # fmt: skip


def _fit(fit: TimeFit) -> FitDocument:
    return FitDocument.model_validate(
        {
            "reports": fit.reports,
            "plans": fit.plans,
            "worthwhile": fit.worthwhile,
            "scatter": None if fit.scatter is None else round(fit.scatter, 4),
            "condition": None if fit.condition is None else round(fit.condition, 1),
            "before": agreement_document(fit.before),
            "after": agreement_document(fit.after),
            "left_out": agreement_document(fit.left_out),
        }
    )
