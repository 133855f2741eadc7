"""What a check is asked with, and its report."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from inventory.errors import Fault, InvalidDocument
from service.documents.answers.answer import Kept
from service.documents.jobs.members import member_faults
from service.documents.plan_schema.lying import FindingDocument
from service.documents.plan_schema.plan import PlanDocument
from service.documents.request import RequestDocument
from solver.plans import Finding


class ReportDocument(BaseModel):
    """What an independent re-check of a plan found."""

    format: Literal["holdwright.report/1"]
    ok: bool
    findings: list[FindingDocument]


class CheckBody(BaseModel):
    """A request and the plan to be checked against it."""

    model_config = ConfigDict(extra="forbid")

    request: Annotated[dict[str, Any], Kept(RequestDocument), Field(description="a holdwright.request/1 document")]
    plan: Annotated[dict[str, Any], Kept(PlanDocument), Field(description="a holdwright.plan/1 document")]


def report_document(ok: bool, findings: tuple[Finding, ...]) -> dict[str, Any]:
    """Return a check's report as plain JSON values."""
    return {"format": "holdwright.report/1", "ok": ok, "findings": [asdict(finding) for finding in findings]}


def read_check(document: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the request and the plan of a check's body; raises InvalidDocument."""
    faults = member_faults(document, required=("request", "plan"), optional=())
    if not faults:
        faults = [
            Fault(f"/{name}", "is not an object", f"a holdwright.{name}/1 document")
            for name in ("request", "plan")
            if not isinstance(document[name], dict)
        ]
    if faults:
        raise InvalidDocument(faults)
    return document["request"], document["plan"]
