"""The plan on the wire, around its alternatives: how far the answer is proved, why there is none, what would help."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from inventory.errors import InvalidDocument
from service.documents.plan_schema.alternative import AlternativeDocument
from service.documents.plan_schema.fixture import Building, Lenient, Number
from service.documents.plan_schema.lying import FindingDocument
from service.documents.reading.fields import Whole
from solver.plans import (
    Alternative,
    LeftOut,
    Omission,
    Permission,
    Plan,
    Purchase,
    PurchaseLine,
    Reason,
    Refused,
    Relaxation,
    Repair,
    Status,
    StoppedBy,
)
from solver.weldment import StoredVersion

Total = Annotated[Whole, Field(description="total of its plan, cents")]
RepairPlan = Annotated[AlternativeDocument, Field(description="what it leads to, one complete answer")]


class ReasonDocument(Lenient):
    """Why there is no plan, or a part of why."""

    rule: Annotated[str, Field(description="the rule it comes from")]
    subject: Annotated[str, Field(description="what it is about")]
    text: Annotated[str, Field(description="a sentence with the numbers")]

    def to_domain(self) -> Reason:
        """Return the reason as a value."""
        return Reason(self.rule, self.subject, self.text)


class PurchaseLineDocument(Lenient):
    """Pieces of one item to buy."""

    item: Annotated[str, Field(description="id of the item")]
    count: Annotated[Whole, Field(description="pieces")]
    price_cents: Annotated[Whole, Field(description="price of all of them, cents")]

    @property
    def line(self) -> PurchaseLine:
        """The line as a value."""
        return PurchaseLine(self.item, self.count, self.price_cents)


class PurchaseDocument(PurchaseLineDocument):
    """A repair: buy these pieces."""

    do: Annotated[Literal["buy"], Field(description='"buy"')]
    also: Annotated[list[PurchaseLineDocument], Field(default_factory=list, description="more to buy with it")]
    then_total_cents: Total
    plan: RepairPlan

    def to_domain(self) -> Purchase:
        """Return the repair as a value."""
        return Purchase((self.line, *(more.line for more in self.also)), _outcome(self.plan))


class RelaxationDocument(Lenient):
    """A repair: let a rule ask for less."""

    do: Annotated[Literal["relax"], Field(description='"relax"')]
    rule: Annotated[str, Field(description="name of the rule")]
    given: Annotated[Number, Field(alias="from", description="its value as asked")]
    value: Annotated[Number, Field(alias="to", description="a value that works")]
    then_total_cents: Total
    plan: RepairPlan

    def to_domain(self) -> Relaxation:
        """Return the repair as a value."""
        return Relaxation(self.rule, self.given, self.value, _outcome(self.plan))


class PermissionDocument(Lenient):
    """A repair: allow another table, another side down, or fewer stations."""

    do: Annotated[Literal["allow"], Field(description='"allow"')]
    rule: Annotated[str, Field(description="tables, lie.down or stations")]
    given: Annotated[str, Field(alias="from", description="what the request allows")]
    other: Annotated[str, Field(alias="to", description="what works")]
    then_total_cents: Total
    plan: RepairPlan

    def to_domain(self) -> Permission:
        """Return the repair as a value."""
        return Permission(self.rule, self.given, self.other, _outcome(self.plan))


class OmissionDocument(Lenient):
    """A repair: drop pins, or pieces to avoid."""

    do: Annotated[Literal["drop_pin", "drop_avoid"], Field(description="drop_pin, or drop_avoid if no pin is dropped")]
    pins: Annotated[list[Whole], Field(default_factory=list, description="which entries of `pins` are dropped, from 0")]
    avoid: Annotated[list[Whole], Field(default_factory=list, description="which entries of `avoid` are dropped, from 0")]
    subject: Annotated[str, Field(description="the same in words")] = ""
    then_total_cents: Total
    plan: RepairPlan

    def to_domain(self) -> Omission:
        """Return the repair as a value."""
        return Omission(tuple(self.pins), tuple(self.avoid), self.subject, _outcome(self.plan))


RepairDocument = Annotated[
    PurchaseDocument | RelaxationDocument | PermissionDocument | OmissionDocument, Field(discriminator="do")
]


class RefusedDocument(Lenient):
    """Why there is no plan, and what would help."""

    because: Annotated[list[ReasonDocument], Field(description="reasons that together leave no way")]
    would_help: Annotated[list[RepairDocument], Field(default_factory=list, description="repairs that work, cheapest first")]


class LeftOutDocument(Lenient):
    """Fixtures that were not tried although the request allows them."""

    code: Annotated[str, Field(description="what was left out, by a word that stays")]
    text: Annotated[str, Field(description="the same in a sentence")]
    could_cost_cents: Annotated[Whole | None, Field(description="none of them costs less, cents; null if not known")] = None

    def to_domain(self) -> LeftOut:
        """Return what was left out as a value."""
        return LeftOut(self.code, self.text, self.could_cost_cents)


class StoredWeldmentName(Lenient):
    """A stored weldment, and which version of it."""

    id: Annotated[str, Field(description="id of the stored weldment")]
    version: Annotated[Whole, Field(description="its version")]
    fingerprint: Annotated[str, Field(description="SHA-256 of what that version says, in hexadecimal")]

    def to_domain(self) -> StoredVersion:
        """Return the name as a value."""
        return StoredVersion(self.id, self.version, self.fingerprint)


class PlanDocument(Lenient):
    """The answer to one request."""

    format: Annotated[Literal["holdwright.plan/1"], Field(description='"holdwright.plan/1"')]
    status: Annotated[Status, Field(description="how far the answer is proved")]
    stopped_by: Annotated[StoppedBy | None, Field(description="what ended the search")] = None
    cost_bound_cents: Annotated[Number | None, Field(description="no plan can cost less, cents")] = None
    gap: Annotated[Number | None, Field(description="(best - bound) / best")] = None
    solve_s: Annotated[Number | None, Field(description="seconds the search took")] = None
    rules_version: Annotated[Whole, Field(description="version of the rule book")] = 1
    rules_book: Annotated[str, Field(description='the rule book; "default": the built-in numbers')] = "default"
    weldment: Annotated[
        StoredWeldmentName | None, Field(description="the stored weldment it was made for; null if the request had its own")
    ] = None
    rules: Annotated[dict[str, Number], Field(default_factory=dict, description="the resolved rule book, by dotted name")]
    stock_version: Annotated[Whole, Field(description="state of the stock it was made from")] = 1
    seed: Annotated[Whole, Field(description="seed of the search")] = 1
    alternatives: Annotated[list[AlternativeDocument], Field(description="complete answers, cheapest first")]
    refused: Annotated[RefusedDocument | None, Field(description="why there is none, and what would help")] = None
    findings: Annotated[list[FindingDocument], Field(default_factory=list, description="what was checked of the plan as a whole")]
    work: Annotated[dict[str, Number], Field(default_factory=dict, description="what the search did, counted")]
    left_out: Annotated[list[LeftOutDocument], Field(default_factory=list, description="what was not tried")]

    def to_domain(self) -> Plan:
        """Return the plan as a value; raises InvalidDocument with every unsound solid and missing way out."""
        making, refused = Building(), self.refused
        offered = () if refused is None else refused.would_help
        repairs: tuple[Repair, ...] = making.each("/refused/would_help", offered, lambda repair: repair.to_domain())
        return making.whole(
            Plan(
                status=self.status, stopped_by=self.stopped_by, cost_bound_cents=self.cost_bound_cents, gap=self.gap,
                solve_s=self.solve_s, rules=self.rules, rules_version=self.rules_version,
                rules_book=self.rules_book, stock_version=self.stock_version, seed=self.seed,
                weldment=None if self.weldment is None else self.weldment.to_domain(),
                alternatives=making.each("/alternatives", self.alternatives, AlternativeDocument.to_domain),
                refused=None if refused is None else Refused(tuple(one.to_domain() for one in refused.because), repairs),
                findings=tuple(finding.to_domain() for finding in self.findings), work=self.work,
                left_out=tuple(each.to_domain() for each in self.left_out),
            )
        )  # fmt: skip


def _outcome(plan: AlternativeDocument) -> Alternative:
    try:
        return plan.to_domain()
    except InvalidDocument as unsound:
        raise InvalidDocument([fault.under("/plan") for fault in unsound.faults]) from None
