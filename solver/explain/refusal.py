"""Why it cannot be done, and what would help: the refusal of a plan without alternatives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.stock import StockSnapshot
from solver.cost import free_pieces
from solver.deadline import Deadline
from solver.explain.confirmation import Confirmation, confirm, confirm_shut
from solver.explain.exact_answers import Shut, screens, shut_welds, stopped
from solver.explain.irreducible import IrreducibleConflict, irreducible, needed
from solver.explain.repairs import RepairSearch, permissions, purchases, relaxations, worth_relaxing
from solver.explain.retaken_positions import model_of, spread
from solver.explain.sentences import by_itself, missing, sentence
from solver.explain.trials import Write
from solver.model.program import Program
from solver.plans import Purchase, Reason, Refused, Repair, Status, StoppedBy
from solver.request import Request
from solver.rule_book import hindrance_of
from solver.search.orientation import Orientation
from solver.search.search import Search

MOST_CONFLICTS = 8
WHY_SHARE, BUY_SHARE = 0.2, 0.6
RESERVE_S = 0.2
LEAST_S = 0.05


@dataclass(frozen=True)
class NoPlan:
    """The end of a plan without alternatives: status, what stopped it, why there is none, and what was confirmed."""

    status: Status
    stopped_by: StoppedBy
    refused: Refused
    confirmed: Confirmation | None = None


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
    deadline = deadline.earlier(RESERVE_S)
    confirmed: Confirmation | None = None
    unfinished: str | None = None if stopped_by == "proof" or shut else stopped_by
    if unfinished is None and search.tally.dropped:
        unfinished, stopped_by = "check", "work"
    if unfinished is None:
        confirmed = confirm_shut(search, list(shut)) if shut else confirm(search, deadline.leaving(0.5))
        if confirmed.agrees is None:
            unfinished, stopped_by = "time", "time"
        elif not confirmed.agrees:
            unfinished, stopped_by = "witness", "work"
        else:
            stopped_by = "proof"
    refused = refusal(search, shut, unfinished, RepairSearch(search, write, deadline))
    return NoPlan("infeasible" if unfinished is None else "unknown", stopped_by, refused, confirmed)


def refusal(search: Search, shut: Shut, unfinished: str | None, repair_search: RepairSearch) -> Refused:
    """Return irreducible reasons, and repairs that were tried and work, cheapest first.

    `unfinished` says what kept the search from a proof, None for a proof.
    """
    request, deadline = repair_search.request, repair_search.deadline
    reasons = shut_welds(request, shut) or screens(search)
    beyond_stock = any(hindrance_of(reason.rule).beyond_stock for reason in reasons)
    repairs: list[Repair] = []
    if not reasons and search.fallen:
        reasons = conflict_reasons(search, deadline.leaving(1 - WHY_SHARE))
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


def conflict_reasons(search: Search, deadline: Deadline) -> list[Reason]:
    """Return the irreducible reasons met most often at the most promising positions, as sentences."""
    found: list[tuple[IrreducibleConflict, Program, Orientation]] = []
    for program, orientation in _promising(search, deadline):
        conflict = irreducible(program, deadline)
        if conflict is not None:
            found.append((conflict, program, orientation))
    if not found:
        return []
    often = Counter(conflict.demands for conflict, _, _ in found)
    conflict, program, orientation = max(found, key=lambda entry: (often[entry[0].demands], -len(entry[0].demands)))
    reasons = []
    for demand in conflict.demands:
        if demand.rule == "stock.counted":
            wanted = needed(program, demand.about, conflict, deadline)
            reasons.append(missing(search.request, search.stock, demand.about, wanted))
        else:
            named = program.named.get((demand.rule, demand.about), ())
            reasons.append(sentence(demand, search.request, orientation.laid, named))
    return reasons


def _promising(search: Search, deadline: Deadline) -> Iterator[tuple[Program, Orientation]]:
    """Yield, as long as there is time, programs proved impossible, those that got furthest first.

    If all positions fell early, a few are made anew.
    """
    lowest = min((fallen.position.orientation.lie.lift for fallen in search.fallen), default=0.0)
    plain = [fallen for fallen in search.fallen if fallen.position.orientation.lie.lift == lowest]
    solved = [(fallen.program, fallen.position) for fallen in plain if fallen.program is not None]
    solved.sort(key=lambda entry: (-_rounds(entry[0]), entry[1].floor, entry[1].number))
    for program, position in solved[:MOST_CONFLICTS]:
        if deadline.seconds_left() > LEAST_S:
            yield program, position.orientation
    early = [fallen.position for fallen in plain]
    surveyed = [position for position in early if position.number >= 0]
    for position in spread([] if solved else surveyed or early, MOST_CONFLICTS):
        model = model_of(search, position) if deadline.seconds_left() > LEAST_S else None
        if model is not None:
            yield model.program, position.orientation


def _rounds(program: Program) -> int:
    """Return how much was asked of a position before it proved impossible."""
    return bool(program.cliques) + sum(row.family.startswith(("hold", "way", "search")) for row in program.rows)


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
