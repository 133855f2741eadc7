"""The quote: a line for every line of the inquiry, and for every request which kit is the cheapest from which quantity on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import Field

from service.documents.answers.answer import Answer
from service.documents.plan_schema.alternative import CostDocument
from service.documents.quotes.group_prices import GroupPrices
from service.documents.quotes.inquiry import AskedLine, Inquiry
from service.documents.quotes.price_facts import QuotedKit
from solver.plans import Cost, Status

FORMAT = "holdwright.quote/1"
Cents = Annotated[int | None, Field(description="cents; null while there is no plan")]
Crossing = int | Literal["always"] | None


class PlanReference(Answer):
    """The plan a price comes from: its kit is the cheapest at the line's quantity too."""

    id: Annotated[str, Field(description="the plan's id, or its file")]
    rank: Annotated[int, Field(description="the alternative in it")]
    quantity: Annotated[int, Field(description="the quantity it was made for")]


class ShortPieceDocument(Answer):
    """Pieces of one item that are not free."""

    item: str
    name: str
    count: int


class ShortDocument(Answer):
    """Hardware that is short, and what buying it costs."""

    pieces: list[ShortPieceDocument]
    buying_cents: Annotated[int, Field(description="price of all of them, cents")]
    then_total_cents: Annotated[
        int | None, Field(description="the line's total once they are bought, where they stand in the way of a plan; else null")
    ]


class BreakEvenDocument(Answer):
    """Where the fixture's price crosses those of the other ways."""

    by_hand_from: Annotated[
        Crossing, Field(description='from this quantity on it costs no more than marking out by hand; "always", or null: never')
    ]
    dedicated_up_to: Annotated[
        Crossing, Field(description='up to this quantity it costs no more than a dedicated fixture; "always", or null: never')
    ]
    proved: Annotated[bool, Field(description="false: of the cheapest kits known so far, which are not all proved cheapest")]


class QuoteLineDocument(Answer):
    """A line of the quote; prices are null where there is no plan."""

    line: Annotated[int, Field(description="its place among the lines, from 1")]
    name: str
    customer: str
    request: Annotated[str, Field(description="the name of its request, or the plan's id; empty where it came with the line")]
    weldment: Annotated[str, Field(description="the weldment's name")]
    quantity: int
    status: Annotated[
        Status | None,
        Field(description="how far its price is proved, as a plan's status; null while it is worked on, or if it failed"),
    ]
    piece_cents: Annotated[int | None, Field(description="to pay for one weldment, cents: the lot by the quantity, half up")]
    lot_cents: Annotated[int | None, Field(description="to pay for the lot, cents: the total without weights")]
    total_cents: Annotated[int | None, Field(description="the total of the plan at this quantity, cents, weights included")]
    cost: Annotated[CostDocument | None, Field(description="the total, line by line")]
    bound_cents: Annotated[int | None, Field(description="no fixture has a lower total, as far as proved, cents")]
    gap: Annotated[float | None, Field(description="(total - bound) / total")]
    setup_s: Annotated[int | None, Field(description="setting up, s")]
    setup_hours: Annotated[float | None, Field(description="the same in hours, two decimals")]
    cycle_s: Annotated[int | None, Field(description="a cycle, s")]
    short: Annotated[ShortDocument | None, Field(description="hardware that is short; null if none is")]
    plan: Annotated[PlanReference | None, Field(description="the plan the price comes from")]
    by_hand_cents: Annotated[int | None, Field(description="marking the lot out by hand, cents; null: all would be spoiled")]
    dedicated_cents: Annotated[int | None, Field(description="the lot in a dedicated fixture with the plan's own cycle, cents")]
    cheapest_way: Annotated[
        Literal["fixture", "by_hand", "dedicated"] | None, Field(description="the cheapest of the three at this quantity")
    ]
    break_even: Annotated[BreakEvenDocument | None, Field(description="null if it was not asked for, or there is no plan")]
    because: Annotated[list[str], Field(description="why there is no price; empty if there is one")]


class KitSpanDocument(Answer):
    """Quantities at which one kit is the cheapest known."""

    first: int
    last: int
    once_cents: Annotated[int, Field(description="what it costs whatever the quantity, without weights, cents")]
    cycle_s: int
    setup_s: int
    plan: PlanReference


class QuotedRequestDocument(Answer):
    """One request of the inquiry over all quantities."""

    request: Annotated[list[str], Field(description="the names it has among the lines")]
    weldment: str
    plans: Annotated[int, Field(description="plans that were made for it")]
    kits: Annotated[list[KitSpanDocument], Field(description="the cheapest known kit by quantity, from 1 on")]
    break_even: BreakEvenDocument | None
    warnings: list[str]


class QuoteDocument(Answer):
    """A quote: prices for every line of an inquiry."""

    format: Literal["holdwright.quote/1"] = FORMAT  # type: ignore[assignment]
    name: str
    price_only: bool
    lines: list[QuoteLineDocument]
    requests: list[QuotedRequestDocument]


def quote_document(inquiry: Inquiry, prices: Sequence[GroupPrices], failed: Mapping[int, str] | None = None) -> dict[str, Any]:
    """Return a quote as plain JSON values.

    Parameters
    ----------
    prices : sequence of GroupPrices
        One for each request of the inquiry.
    failed : mapping
        What went wrong, by the request's place, where it did.
    """
    wrong = failed or {}
    return QuoteDocument(
        name=inquiry.name,
        price_only=inquiry.price_only,
        lines=[
            line_model(line, inquiry.groups[line.group].weldment, prices[line.group], wrong.get(line.group))
            for line in inquiry.lines
        ],
        requests=[_request(inquiry, place, each) for place, each in enumerate(prices)],
    ).plain()


def line_model(line: AskedLine, weldment: str, prices: GroupPrices, failed: str | None = None) -> QuoteLineDocument:
    """Return a line of the quote; `failed` says what went wrong with its request."""
    found, rate, ways = prices.kit(line.quantity), prices.basis.rate, prices.basis.other_ways
    asked: dict[str, Any] = {name: getattr(line, name) for name in ("name", "customer", "request", "quantity")}
    asked |= {"line": line.number, "weldment": weldment}
    by_hand = ways.by_hand(line.quantity)
    refusal = prices.refusal
    status = prices.status(line.quantity) if prices.facts else None
    because = [failed] if failed is not None else [] if refusal is None else list(refusal.because)
    if found is None:
        bound = prices.known.bound(line.quantity) if status == "unknown" else None
        repair = None if refusal is None else refusal.repair
        short = None if repair is None or not repair.bought else _short(repair, repair.at(line.quantity, rate), then=True)
        return QuoteLineDocument(
            **asked, status=status, piece_cents=None, lot_cents=None, total_cents=None, cost=None,
            bound_cents=bound, gap=None, setup_s=None, setup_hours=None, cycle_s=None, short=short, plan=None,
            by_hand_cents=by_hand, dedicated_cents=None, cheapest_way=None, break_even=None,
            because=because or (["no plan was found in the time there was"] if status == "unknown" else []),
        )  # fmt: skip
    kit, facts = found
    cost = kit.at(line.quantity, rate)
    lot, bound = cost.total_cents - cost.weights_cents, prices.known.bound(line.quantity)
    dedicated = ways.dedicated_cents + cost.cycle_cents
    return QuoteLineDocument(
        **asked, status=status, piece_cents=half_up_of(lot, line.quantity), lot_cents=lot,
        total_cents=cost.total_cents, cost=_cost(cost), bound_cents=bound,
        gap=(cost.total_cents - bound) / cost.total_cents if cost.total_cents else 0.0,
        setup_s=kit.setup_s, setup_hours=round(kit.setup_s / 3600, 2), cycle_s=kit.cycle_s,
        short=_short(kit, cost) if kit.bought else None,
        plan=PlanReference(id=facts.plan, rank=kit.rank, quantity=facts.quantity),
        by_hand_cents=by_hand, dedicated_cents=dedicated, cheapest_way=_cheapest(lot, by_hand, dedicated),
        break_even=_break_even(prices), because=because,
    )  # fmt: skip


def half_up_of(cents: int, quantity: int) -> int:
    """Return the share of one in a lot, cents, rounded half up."""
    return (2 * cents + quantity) // (2 * quantity)


def _cheapest(lot: int, by_hand: int | None, dedicated: int) -> Literal["fixture", "by_hand", "dedicated"]:
    """Return the cheapest way; of equal ones the modular fixture, then marking out."""
    if lot <= dedicated and (by_hand is None or lot <= by_hand):
        return "fixture"
    return "by_hand" if by_hand is not None and by_hand <= dedicated else "dedicated"


def _short(kit: QuotedKit, cost: Cost, then: bool = False) -> ShortDocument:
    return ShortDocument(
        pieces=[ShortPieceDocument(item=each.item, name=each.name, count=each.count) for each in kit.bought],
        buying_cents=cost.shortage_cents,
        then_total_cents=cost.total_cents if then else None,
    )


def _cost(cost: Cost) -> CostDocument:
    return CostDocument(**{name: getattr(cost, name) for name in Cost.__dataclass_fields__})


def _break_even(prices: GroupPrices) -> BreakEvenDocument | None:
    found = prices.break_even
    if found is None:
        return None
    return BreakEvenDocument(by_hand_from=found.by_hand_from, dedicated_up_to=found.dedicated_up_to, proved=prices.complete)


def _request(inquiry: Inquiry, place: int, prices: GroupPrices) -> QuotedRequestDocument:
    group = inquiry.groups[place]
    return QuotedRequestDocument(
        request=list(dict.fromkeys(line.request for line in inquiry.lines if line.group == place and line.request)),
        weldment=group.weldment,
        plans=len(prices.facts),
        kits=[
            KitSpanDocument(
                first=piece.first, last=piece.last, once_cents=piece.kit.fixed_cents - piece.kit.weights_cents,
                cycle_s=piece.kit.cycle_s, setup_s=kit.setup_s,
                plan=PlanReference(id=facts.plan, rank=kit.rank, quantity=facts.quantity),
            )
            for piece in prices.known.pieces
            for kit, facts in [prices.source(piece.kit, piece.first)]
        ],
        break_even=_break_even(prices),
        warnings=list(group.warnings),
    )  # fmt: skip
