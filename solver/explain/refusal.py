"""Why it cannot be done, and what would help: the refusal of a plan without alternatives."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from inventory.stock import StockSnapshot
from solver.cost import free_pieces
from solver.deadline import Deadline, DeadlinePassed
from solver.explain.asked_pieces import UnmetPieces, unavailable_pins, unmet_pieces
from solver.explain.confirmation import Confirmation, confirm, confirm_shut
from solver.explain.exact_answers import Shut, stopped
from solver.explain.lifting.causes import Causes, causes_of, first_reasons
from solver.explain.repairs import RepairSearch, permissions, purchases, relaxations, worth_relaxing
from solver.explain.sentences import by_itself, missing
from solver.explain.trials import Write
from solver.explain.variants import unmet_variants
from solver.plans import Omission, Purchase, Reason, Refused, Repair, Status, StoppedBy
from solver.request import Request
from solver.rule_book import hindrance_of
from solver.search.search import Search

T = TypeVar("T")
WHY_SHARE, BUY_SHARE, PINS_SHARE = 0.3, 0.6, 0.6
RESERVE_S, RESERVE_SHARE = 0.2, 0.12
"""Seconds, and the share of the time left, kept for a last step that takes longer than expected."""


@dataclass(frozen=True)
class NoPlan:
    """The end of a plan without alternatives: status, what stopped it, why there is none, and what was confirmed.

    `lifted`: with all that is named lifted, a fixture was found.
    """

    status: Status
    stopped_by: StoppedBy
    refused: Refused
    confirmed: Confirmation | None = None
    lifted: bool = False


def no_plan(
    search: Search,
    shut: Shut,
    stopped_by: StoppedBy,
    write: Write,
    deadline: Deadline,
) -> NoPlan:
    """Return how a search that found nothing ends: infeasible if that was proved and confirmed a second way, else unknown.

    Parameters
    ----------
    shut : mapping
        Welds that lie where no wedge is open, with the points.
    stopped_by : str
        `proof` if the search went through everything.
    write : callable
        Writes the plan of a repair down and has it checked.
    deadline : Deadline
        When the answer must be there.
    """
    deadline = deadline.earlier(max(RESERVE_S, RESERVE_SHARE * deadline.seconds_left()))
    with deadline.in_force():
        return _explained(search, shut, stopped_by, write, deadline)


def _explained(search: Search, shut: Shut, stopped_by: StoppedBy, write: Write, deadline: Deadline) -> NoPlan:
    confirmed: Confirmation | None = None
    unfinished: str | None = None if stopped_by == "proof" or shut else stopped_by
    if unfinished is None and search.tally.dropped:
        unfinished, stopped_by = "check", "work"
    if unfinished is None:
        confirmed = _if_in_time(
            lambda: confirm_shut(search, list(shut)) if shut else confirm(search, deadline.leaving(0.5)), Confirmation(None, 0, 0)
        )
        if confirmed.agrees is None:
            unfinished, stopped_by = "time", "time"
        elif not confirmed.agrees:
            unfinished, stopped_by = "witness", "work"
        else:
            stopped_by = "proof"
    repairs = RepairSearch(search, write, deadline)
    unmet = UnmetPieces() if shut else _if_in_time(lambda: unmet_pieces(repairs, deadline.leaving(1 - PINS_SHARE)), UnmetPieces())
    apart: tuple[Reason, ...] = ()
    if not shut:
        apart = _if_in_time(lambda: unmet_variants(repairs, deadline.leaving(1 - PINS_SHARE)), apart)
    why = deadline.leaving(1 - WHY_SHARE)
    if unfinished is not None:
        causes = _if_in_time(lambda: first_reasons(search, shut, why), Causes(()))
    elif apart:
        causes = Causes(apart)
    elif unmet.reasons or not (search.tried or shut):
        causes = Causes(unmet.reasons or tuple(unavailable_pins(search.request, search.stock)), bool(unmet.repairs))
    else:
        causes = _if_in_time(lambda: causes_of(search, shut, write, why), Causes(()))
    refused = refusal(search, shut, causes.reasons, unfinished, repairs, unmet.repairs)
    return NoPlan("infeasible" if unfinished is None else "unknown", stopped_by, refused, confirmed, causes.proved)


def _if_in_time(find: Callable[[], T], otherwise: T) -> T:
    """Return what is found, something else if that is given up because time is up."""
    try:
        return find()
    except DeadlinePassed:
        return otherwise


def refusal(
    search: Search, shut: Shut, causes: Sequence[Reason], unfinished: str | None, repair_search: RepairSearch,
    omissions: Sequence[Omission] = (),
) -> Refused:  # fmt: skip
    """Return reasons, and repairs that were tried and work, cheapest first.

    `unfinished` says what kept the search from a proof, None for a proof. `omissions` are repairs tried already.
    """
    request, deadline = repair_search.request, repair_search.deadline
    reasons = list(causes)
    beyond_stock = any(hindrance_of(reason.rule).beyond_stock for reason in reasons)
    repairs: list[Repair] = list(omissions)
    if not beyond_stock and request.shortage == "refuse":
        bought = list(purchases(repair_search, BUY_SHARE * max(0.0, deadline.seconds_left())))
        reasons = [*reasons, *_named_by(bought, reasons, request, repair_search.stock)]
        repairs += bought
    if not shut:
        rules = worth_relaxing(request, [reason.rule for reason in reasons if reason.rule != "stock.counted"])
        repairs += relaxations(repair_search, rules[:2] if beyond_stock else rules)
        repairs += permissions(repair_search)
    if unfinished is not None:
        reasons = [stopped(search, unfinished), *reasons]
    if not reasons:
        reasons = [by_itself("search.no_reason", "weldment", request.rules)]
    repairs.sort(key=lambda repair: (repair.plan.cost.total_cents, repair.do))
    return Refused(tuple(reasons), tuple(repairs))


def _named_by(purchases: Sequence[Purchase], reasons: Sequence[Reason], request: Request, stock: StockSnapshot) -> list[Reason]:
    """Return, for the cheapest purchase, what is missing of each item that no reason names yet."""
    if not purchases:
        return []
    cheapest = min(purchases, key=lambda purchase: purchase.plan.cost.total_cents)
    named = {reason.subject for reason in reasons if reason.rule == "stock.counted"}
    return [
        missing(request, stock, line.item, free_pieces(request, stock, line.item) + line.count)
        for line in cheapest.lines
        if line.item not in named
    ]
