"""What if these rules were changed: the question, and what it does to each plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field

from inventory import limits
from inventory.errors import Fault
from service.documents.answers.answer import Answer
from service.documents.answers.catalogue import Next
from service.documents.problem import FaultDocument
from service.documents.reading.fields import Document, Id, Units, UpTo, Whole, Within
from service.documents.reading.reading import Reading
from service.documents.rules import in_mm, judged
from solver.plans import Status
from solver.rescoring.limits.limit_kind import Trespass
from solver.rescoring.rescored import Rescored, RescoredPlan

FORMAT = "holdwright.what-if/1"
MOST_PLANS = 2000
MOST_TOLD = 20
"""So many broken limits of an alternative are listed."""
NAMED_PLANS = limits.Limit(1, MOST_PLANS, "plans", whole=True)
Show = Literal["changed", "all"]
States = Literal["done", "cancelled"]


class ChangedRules(Document):
    """Rules as they would be: some numbers in place of each plan's own, or a whole rule book in place of each plan's."""

    units: Annotated[Units, Field(description="unit of the rules that are lengths: mm or inch")] = "mm"
    base: Annotated[Id | None, Field(description="a rule book that stands in place of each plan's own; absent: none does")] = None
    version: Annotated[Whole | None, Field(description="which of its versions; absent: the newest", ge=1)] = None
    set: Annotated[dict[str, float], UpTo(limits.ITEMS), Field(default_factory=dict, description="rules that differ, by name")]


class WhatIfBody(Document):
    """Changed rules, and which plans they are held against: those named, or those found by the same filter as lists of plans."""

    rules: Annotated[ChangedRules, Field(description="what is changed")]
    plans: Annotated[
        Annotated[list[Id], UpTo(MOST_PLANS)] | None, Field(description="ids of plans; absent: those that the filter finds")
    ] = None
    state: Annotated[States | None, Field(description="only plans of jobs in this state")] = None
    status: Annotated[Status | None, Field(description="only plans of this status")] = None
    name: Annotated[str | None, Field(description="part of the weldment's name, in any case", max_length=200)] = None
    since: Annotated[str | None, Field(description="only plans asked for from this moment on, with its offset")] = None
    until: Annotated[str | None, Field(description="only plans asked for before this moment, with its offset")] = None
    cursor: Annotated[str | None, Field(description="`next` of the answer before", max_length=400)] = None
    limit: Annotated[Whole, Within(NAMED_PLANS), Field(description="so many plans at once, the newest first")] = 1000
    show: Annotated[Show, Field(description="`changed`: list only plans whose price, ranking or allowance changes")] = "changed"
    check: Annotated[
        bool, Field(description="have what cannot be judged checked, plan by plan: slower, still without solving")
    ] = False
    re_solve: Annotated[
        bool | Annotated[list[Id], UpTo(MOST_PLANS)],
        Field(description="plan these again with the changed rules, as jobs of a batch; true: all that change"),
    ] = False


def read_what_if(raw: bytes) -> WhatIfBody:
    """Read the question; raises InvalidDocument with every fault of it. Lengths are in mm then."""
    reading = Reading(raw, WhatIfBody)
    given = reading.at("/rules/set")
    if isinstance(given, dict):
        sound = {name: value for name, value in given.items() if reading.sound(f"/rules/set/{limits.escaped(name)}")}
        reading.made(lambda: judged(in_mm(sound, reading.at("/rules/units"))), "/rules")
    if reading.document is not None:
        reading.add(_faults(reading.document))
    reading.finish()
    assert reading.document is not None
    rules = reading.document.rules
    converted = rules.model_copy(update={"set": in_mm(rules.set, rules.units), "units": "mm"})
    return reading.document.model_copy(update={"rules": converted})


def _faults(body: WhatIfBody) -> Iterable[Fault]:
    if not body.rules.set and body.rules.base is None:
        yield Fault("/rules/set", "no rule is changed", "rules with other numbers, or a base")
    if body.rules.version is not None and body.rules.base is None:
        yield Fault("/rules/version", "no rule book is named", "a base beside it")
    for field in ("since", "until"):
        given = getattr(body, field)
        if given is not None:
            try:
                moment(given)
            except ValueError:
                yield Fault(f"/{field}", f"{limits.shown(given)} is no moment", "such as 2027-03-01T12:00:00Z")


def moment(text: str) -> datetime:
    """Return a moment with its offset; raises ValueError."""
    at = datetime.fromisoformat(text)
    if at.tzinfo is None:
        raise ValueError("no offset")
    return at


class TrespassDocument(Answer):
    """A limit that is not kept, or of which that cannot be said without a check."""

    rule: str
    subject: str
    value: Annotated[float | None, Field(description="what was measured")]
    limit: Annotated[float | None, Field(description="what the changed rules ask of it")]
    unit: str
    why: Annotated[str, Field(description="why it cannot be judged from what is kept of the plan; empty if it is broken")] = ""


class CheckedDocument(Answer):
    """What the independent checker found of the whole alternative under the changed rules."""

    ok: bool
    failed: list[TrespassDocument]


class AlternativeEffectDocument(Answer):
    """What the changed rules do to one alternative."""

    rank: int
    new_rank: Annotated[int | None, Field(description="among those that are not known to be broken; null: it is")]
    total_before_cents: int
    total_after_cents: int
    setup_s: int
    cycle_s: int
    allowed: Annotated[Literal["yes", "no", "must be checked"], Field(description="whether the changed rules allow it")]
    broken: list[TrespassDocument]
    unjudged: list[TrespassDocument]
    checked: CheckedDocument | None = None


class PlanEffectDocument(Answer):
    """What the changed rules do to one plan."""

    plan: Annotated[str, Field(description="the job's id")]
    name: str
    status: str | None
    quantity: int | None
    changed: Annotated[dict[str, tuple[float, float]], Field(description="each rule that differs: from, to")]
    total_before_cents: Annotated[int, Field(description="of the alternative that was first")]
    total_after_cents: Annotated[int | None, Field(description="of the one that is first now; null: none is allowed")]
    first_after: Annotated[int | None, Field(description="the old rank of the one that is first now")]
    first_changes: bool
    ranking_changes: bool
    alternatives: list[AlternativeEffectDocument]


class NotScoredDocument(Answer):
    """A plan that the changed rules could not be held against."""

    plan: str
    name: str
    why: str


class ReSolvedDocument(Answer):
    """A plan that is planned again with the changed rules: the new job, or why it could not be taken in."""

    plan: str
    job: str | None
    why: str = ""
    faults: Annotated[list[FaultDocument], Field(default_factory=list)]


class WhatIfTotalsDocument(Answer):
    """Over all plans that were looked at, listed or not."""

    plans: Annotated[int, Field(description="plans the changed rules were held against")]
    price_changes: int
    first_changes: int
    ranking_changes: int
    broken: Annotated[int, Field(description="plans whose first alternative does not keep a limit any more")]
    must_be_checked: Annotated[int, Field(description="plans of whose first alternative that cannot be said")]
    total_before_cents: Annotated[int, Field(description="of the alternatives that were first")]
    total_after_cents: Annotated[int, Field(description="of the same alternatives under the changed rules")]


class WhatIfDocument(Answer):
    """What the changed rules do."""

    format: Annotated[Literal["holdwright.what-if/1"], Field(description=f'"{FORMAT}"')] = "holdwright.what-if/1"
    totals: WhatIfTotalsDocument
    plans: list[PlanEffectDocument]
    not_scored: list[NotScoredDocument]
    re_solved: list[ReSolvedDocument]
    next: Next


def trespass_document(each: Trespass) -> dict[str, Any]:
    """Return a limit that is not kept, or cannot be judged, as plain values."""
    return {
        "rule": each.rule, "subject": each.subject, "value": each.value, "limit": each.limit, "unit": each.unit, "why": each.why,
    }  # fmt: skip


_ALLOWED = {True: "yes", False: "no", None: "must be checked"}


def alternative_effect(each: Rescored) -> dict[str, Any]:
    """Return an alternative under changed rules as plain values."""
    return {
        "rank": each.score.rank,
        "new_rank": each.rank,
        "total_before_cents": each.score.cost.total_cents,
        "total_after_cents": each.cost.total_cents,
        "setup_s": each.setup_s,
        "cycle_s": each.cycle_s,
        "allowed": _ALLOWED[each.allowed],
        "broken": [trespass_document(one) for one in each.broken[:MOST_TOLD]],
        "unjudged": [trespass_document(one) for one in each.unjudged[:MOST_TOLD]],
        "checked": None,
    }


def plan_effect(job: Mapping[str, Any], found: RescoredPlan) -> dict[str, Any]:
    """Return a plan under changed rules as plain values; `job` has its `plan` (the id), `name`, `status`, `quantity`."""
    first = found.first
    return {
        **job,
        "changed": {name: list(pair) for name, pair in found.changed.items()},
        "total_before_cents": found.alternatives[0].score.cost.total_cents,
        "total_after_cents": None if first is None else first.cost.total_cents,
        "first_after": None if first is None else first.score.rank,
        "first_changes": found.first_changes,
        "ranking_changes": found.ranking_changes,
        "alternatives": [alternative_effect(each) for each in found.alternatives],
    }
