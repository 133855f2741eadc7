"""The planner: a pure function from request and stock to ranked, checked alternatives.

The path: screens -> lattice positions with floors -> the cheapest choice over all of them -> the next ones that differ -> the
independent checker -> the plan. No clock, no file, no database: the caller says how long is left.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from inventory.stock import StockSnapshot
from solver.answer.alternative import alternative_of
from solver.answer.comparison import differs, title
from solver.deadline import Deadline
from solver.explain import no_plan
from solver.laying.lay_out import drawn_samples
from solver.model.bounds.difference import signature
from solver.plans import Alternative, Plan, Status, StoppedBy
from solver.progress import Progress
from solver.request import Request
from solver.search.lattice_position import Found, Taken
from solver.search.search import Search

MOST_DROPPED = 12
"""So many choices may fail the independent checker before the search gives up: each is a fault of ours."""
EXPLAINING = 0.3
"""Share of the time kept for saying why there is no plan, as long as none is found."""


def plan(
    request: Request,
    stock: StockSnapshot,
    *,
    deadline: Deadline,
    on_progress: Callable[[Progress], None] | None = None,
) -> Plan:
    """Return the cheapest feasible fixture and the next ones that differ, or why there is none.

    Parameters
    ----------
    deadline : Deadline
        The search ends soon after it is over, with the best so far.
    on_progress : callable, optional
        Called after each alternative.
    """
    allowed = deadline.seconds_left()
    samples, shut = drawn_samples(request.weldment, request.rules)
    search = Search(request, stock, samples, deadline, EXPLAINING * allowed)
    ranking = Ranking((), None, not shut, not shut)
    if not shut:
        search.open()
        ranking = _ranked(search, on_progress)
    best = ranking.alternatives[0].cost.total_cents if ranking.alternatives else None
    bound = best if ranking.proven else ranking.bound
    tally = search.tally
    status, stopped_by, refused, confirmed = _status(ranking), _stopped_by(ranking, search), None, None
    if not ranking.alternatives:
        ended = no_plan(
            search, shut, stopped_by, lambda found, asked, shelf: alternative_of(found, asked, shelf, 1, []), deadline
        )
        status, stopped_by, refused, confirmed = ended.status, ended.stopped_by, ended.refused, ended.confirmed
    return Plan(
        status=status,
        stopped_by=stopped_by,
        cost_bound_cents=bound if best is None or bound is None else min(bound, best),
        gap=None if best is None or bound is None else max(0.0, (best - bound) / best) if best else 0.0,
        solve_s=round(allowed - deadline.seconds_left(), 3),
        rules=request.rules.resolved(),
        rules_version=request.rules.version,
        stock_version=stock.version,
        seed=request.seed,
        alternatives=ranking.alternatives,
        refused=refused,
        work={
            "positions": tally.positions, "positions_surveyed": tally.surveyed, "positions_modelled": tally.built,
            "solves": tally.solves,
            "rounds_of_cuts": tally.rounds, "dropped": tally.dropped, "deterministic": round(tally.work, 6),
            "proofs": sum(fallen.program is not None for fallen in search.fallen),
            "proofs_repeated": 0 if confirmed is None else confirmed.proofs,
            "fell_early": sum(fallen.program is None for fallen in search.fallen),
            "made_anew": 0 if confirmed is None else confirmed.rebuilt,
        },
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Ranking:
    """Alternatives by rank, the bound on the cheapest (cents), whether it is proven, and whether nothing was cut short."""

    alternatives: tuple[Alternative, ...]
    bound: int | None
    proven: bool
    complete: bool


def _ranked(search: Search, on_progress: Callable[[Progress], None] | None) -> Ranking:
    """Search for the cheapest alternative, then for the next ones that differ."""
    request, stock = search.request, search.stock
    alternatives: list[Alternative] = []
    taken: list[Taken] = []
    bound: int | None = None
    proven = complete = True
    if on_progress:
        search.announce = partial(_announce, search, on_progress)
    while len(alternatives) < request.alternatives:
        found, low, sure = search.cheapest(taken)
        complete &= sure
        if not taken:
            bound, proven = low, sure
        if found is None:
            break
        refusals = found.model.refusals if alternatives else search.tally.refusals
        alternative = alternative_of(found, request, stock, len(alternatives) + 1, alternatives, refusals)
        if alternative is None:
            search.tally.dropped += 1
            found.model.forbid(found.choice)
            if search.tally.dropped >= MOST_DROPPED:
                proven = complete = False
                break
            continue
        taken.append(
            (
                found.position.orientation.lie.down,
                found.position.table.id,
                signature(found.model.problem, found.choice.candidates),
            )
        )
        alternatives.append(alternative)
        if on_progress:
            best = min(entry.cost.total_cents for entry in alternatives)
            proved = None if bound is None else min(bound, best)
            on_progress(
                Progress(best, proved, search.tally.built, search.tally.positions, len(alternatives), tuple(alternatives))
            )
        if search.deadline.over:
            complete &= len(alternatives) == request.alternatives
            break
    return Ranking(_in_order(alternatives), bound, proven, complete)


def _announce(search: Search, on_progress: Callable[[Progress], None], found: Found, bound: int) -> None:
    """Tell of the first fixture found, written down and checked, while the search for a cheaper one goes on.

    `bound` is what any fixture costs at least, as far as proved by then, cents.
    """
    first = alternative_of(found, search.request, search.stock, 1, [])
    if first is not None:
        best = first.cost.total_cents
        on_progress(Progress(best, min(bound, best), search.tally.built, search.tally.positions, 1, (first,)))


def _in_order(alternatives: list[Alternative]) -> tuple[Alternative, ...]:
    """Return alternatives by price; a search cut short may have found a cheaper one later."""
    ordered: list[Alternative] = []
    for rank, entry in enumerate(sorted(alternatives, key=lambda entry: entry.cost.total_cents), start=1):
        ordered.append(replace(entry, rank=rank, title=title(rank), differs=differs(entry, ordered)))
    return tuple(ordered)


def _stopped_by(ranking: Ranking, search: Search) -> StoppedBy:
    if ranking.complete:
        return "proof"
    if search.deadline.should_stop():
        return "cancel"
    worn = search.worn or search.out_of_work or search.tally.dropped >= MOST_DROPPED
    return "work" if worn and search.deadline.seconds_left() > 0 else "time"


def _status(ranking: Ranking) -> Status:
    if ranking.alternatives:
        return "optimal" if ranking.proven else "feasible"
    return "infeasible" if ranking.proven else "unknown"
