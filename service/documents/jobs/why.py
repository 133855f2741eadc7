"""What a finished plan is asked, and the answer: what a fixture with a choice forced costs more, or why there is none."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from inventory import limits
from inventory.errors import Fault
from inventory.stock import StockSnapshot
from service.documents.pins.piece_document import PieceDocument, described_pieces
from service.documents.plan_document import plan_document
from service.documents.plan_schema.alternative import AlternativeDocument
from service.documents.plan_schema.plan import LeftOutDocument, RefusedDocument
from service.documents.reading.fields import Document, UpTo, Whole, Within
from service.documents.reading.reading import Reading
from service.text import money
from solver.described_pieces import MOST, DescribedPiece
from solver.plans import Plan, Status, StoppedBy
from solver.request import Request, unknown_faults
from solver.why import WhyAnswer, WhyQuestion

FORMAT = "holdwright.why/1"


class WhyBody(Document):
    """Pieces to force into a fixture and out of it, and the alternative it is compared with."""

    rank: Annotated[
        Whole, Within(limits.RANK), Field(description="the alternative it is compared with; `piece` names its pieces")
    ] = 1
    pins: Annotated[list[PieceDocument], UpTo(MOST), Field(default_factory=list, description="pieces it must contain")]
    avoid: Annotated[list[PieceDocument], UpTo(MOST), Field(default_factory=list, description="pieces it may not contain")]
    time_limit_s: Annotated[
        Annotated[float, Within(limits.TIME_LIMIT)] | None,
        Field(description="seconds to look for it; as the request's if absent"),
    ] = None


class WhyDocument(BaseModel):
    """What forcing a choice leads to."""

    model_config = ConfigDict(json_schema_extra={"examples": []})

    format: Annotated[Literal["holdwright.why/1"], Field(description=f'"{FORMAT}"')]
    rank: Annotated[int, Field(description="the alternative it is compared with")]
    asked: Annotated[str, Field(description="what was forced, in words")]
    text: Annotated[str, Field(description="the answer in one sentence")]
    status: Annotated[
        Status, Field(description="how far it is proved: of optimal the difference is exact, of infeasible there is none")
    ]
    stopped_by: Annotated[StoppedBy | None, Field(description="what ended the search")]
    difference_cents: Annotated[
        int | None, Field(description="how much more the fixture found costs, cents; less than 0: so much less; null: none found")
    ]
    least_difference_cents: Annotated[
        int | None, Field(description="how much more any such fixture costs at least, as far as proved, cents; null if not known")
    ]
    gap: Annotated[float | None, Field(description="(price found - bound) / price found")]
    stock_version: Annotated[int, Field(description="state of the stock it was worked out with")]
    alternative: Annotated[AlternativeDocument | None, Field(description="the fixture, complete")] = None
    refused: Annotated[RefusedDocument | None, Field(description="why there is none, and what would help")] = None
    left_out: Annotated[list[LeftOutDocument], Field(default_factory=list, description="what was not tried")]


def read_why(raw: bytes | str | dict[str, Any], plan: Plan, request: Request, stock: StockSnapshot) -> tuple[WhyQuestion, float]:
    """Read what a plan is asked.

    Parameters
    ----------
    plan, request, stock
        The finished plan, the request it was made for, and what items, tables and holes are looked up in.

    Returns
    -------
    (WhyQuestion, float)
        And how long to look, s.

    Raises
    ------
    InvalidDocument
        With every fault.
    """
    reading = Reading(raw, WhyBody)
    rank = reading.at("/rank") if isinstance(reading.values, dict) and "rank" in reading.values else 1
    base = plan.alternative(rank) if reading.sound("/rank") and not isinstance(rank, bool) else None
    if base is None:
        ranks = ", ".join(str(one.rank) for one in plan.alternatives) or "none, the plan has no alternative"
        reading.add([Fault("/rank", f"there is no alternative {limits.shown(rank)}", ranks)])
    lists = {name: described_pieces(reading, f"/{name}", stock, request.tables, base) for name in ("pins", "avoid")}
    parts = {part.id: part for part in request.weldment.parts}
    for name, described in lists.items():
        reading.add(_count(name, described, getattr(request, name)))
        for k, one in enumerate(described):
            reading.add(fault.under(f"/{name}/{k}") for fault in unknown_faults(one, parts, request.tables))
    if not reading.faults and not any(lists.values()):
        reading.add([Fault("", "nothing is forced", "entries of pins, of avoid, or both")])
    reading.finish()
    assert base is not None and reading.document is not None
    question = WhyQuestion(base, lists["pins"], lists["avoid"], _known_cents(plan, request, stock))
    return question, reading.document.time_limit_s or request.time_limit_s


def _known_cents(plan: Plan, request: Request, stock: StockSnapshot) -> int:
    """Return what a plan proved that every fixture costs at least, if it is of this request's rules and this stock, else 0."""
    same = plan.stock_version == stock.version and dict(plan.rules) == dict(request.rules.resolved())
    return math.ceil(plan.cost_bound_cents - 1e-6) if same and plan.cost_bound_cents is not None else 0


def _count(name: str, described: tuple[DescribedPiece, ...], before: tuple[DescribedPiece, ...]) -> list[Fault]:
    """Return a fault if a question and the request it is put to name too many pieces together."""
    if len(described) + len(before) <= MOST:
        return []
    return [Fault(f"/{name}", f"{len(described)} entries, {len(before)} of the request besides", f"at most {MOST} together")]


def why_document(answer: WhyAnswer, currency: str = "") -> dict[str, Any]:
    """Return an answer as plain JSON values."""
    plan = plan_document(answer.plan)
    return {
        "format": FORMAT,
        "rank": answer.question.base.rank,
        "asked": answer.question.words(),
        "text": why_text(answer, currency),
        "status": answer.status,
        "stopped_by": plan["stopped_by"],
        "difference_cents": answer.difference_cents,
        "least_difference_cents": answer.least_difference_cents,
        "gap": plan["gap"],
        "stock_version": plan["stock_version"],
        "alternative": plan["alternatives"][0] if plan["alternatives"] else None,
        "refused": plan["refused"],
        "left_out": plan["left_out"],
    }


def why_text(answer: WhyAnswer, currency: str = "") -> str:
    """Return an answer in one sentence: ``swivel-60 at rail: 3.20 more: 2 x swivel stop at the near side of rail ...``."""
    asked, least, status = answer.question.words(), answer.least_difference_cents, answer.status
    difference = answer.difference_cents
    if difference is not None:
        amount = _more(difference, currency)
        if status != "optimal":
            amount = f"at most {amount}" + ("" if least is None else f", at least {_more(least, currency)}")
        return ": ".join(said for said in (asked, amount, answer.changes()) if said)
    because = "; ".join(answer.reasons())
    if status == "infeasible":
        return f"{asked}: there is no such fixture: {because}"
    proved = "" if least is None else f"; one would cost at least {_more(least, currency)}"
    return f"{asked}: neither such a fixture was found nor a proof that there is none{proved}: {because}"


def _more(cents: int, currency: str) -> str:
    if not cents:
        return "the same price"
    return f"{money(abs(cents), currency)} {'more' if cents > 0 else 'less'}"
