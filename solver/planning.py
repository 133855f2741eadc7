"""The planner: a pure function from request and stock to ranked, checked alternatives.

The path: screens -> lattice positions with floors -> the cheapest choice over all of them -> the next ones that differ -> the
independent checker -> the plan. No clock, no file, no database: the caller says how long is left.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from inventory.stock import StockSnapshot
from solver.answer.alternative import alternative_of
from solver.answer.comparison import fewer, ranked, taken_over
from solver.deadline import Deadline, DeadlinePassed, look
from solver.explain import no_plan, unavailable_pins
from solver.explain.left_out import left_out
from solver.laying.lay_out import drawn_samples
from solver.mirrored_plans import with_mirrors
from solver.model.bounds.difference import kit_of
from solver.plans import Alternative, LeftOut, Plan, Status, StoppedBy
from solver.progress import Progress
from solver.request import BEST, Request
from solver.search.lattice_position import Found, Taken
from solver.search.search import FIRST_LATE_S, Search
from solver.search.state import MOST_DROPPED
from solver.search.stations.counts import StationCounts

AnySearch = Search | StationCounts
"""The search for a number of stations, or for the best number."""
EXPLAINING = 0.2
"""Share of the time kept for saying why there is no plan, as long as none is found."""
SHORT_S = 5.0
"""Of so many seconds nothing is kept for that: a plan is worth more than why there was none in so short a time."""


def plan(
    request: Request,
    stock: StockSnapshot,
    *,
    deadline: Deadline,
    on_progress: Callable[[Progress], None] | None = None,
    workers: int = 1,
) -> Plan:
    """Return the cheapest feasible fixture and the next ones that differ, or why there is none.

    Parameters
    ----------
    deadline : Deadline
        The search ends soon after it is over, with the best so far.
    on_progress : callable, optional
        Called after each alternative.
    workers : int
        So many processes may work side by side, this one among them; the plan is the same for any number.
    """
    if len(request.sizes) < len(request.variants):
        return with_mirrors(request, stock, deadline=deadline, on_progress=on_progress, workers=workers, planner=_plan)
    return _plan(request, stock, deadline=deadline, on_progress=on_progress, workers=workers)


def _plan(
    request: Request,
    stock: StockSnapshot,
    *,
    deadline: Deadline,
    on_progress: Callable[[Progress], None] | None = None,
    workers: int = 1,
) -> Plan:
    allowed = deadline.seconds_left()
    samples, shut = drawn_samples(request.weldment, request.rules)
    kind = StationCounts if request.stations == BEST else Search
    search = kind(request, stock, samples, deadline, EXPLAINING * max(0.0, allowed - SHORT_S), workers=workers)
    ranking = Ranking((), None, not shut, not shut)
    if not shut and not unavailable_pins(request, stock):
        search.open()
        ranking = _ranked(search, on_progress)
    best = ranking.alternatives[0].cost.total_cents if ranking.alternatives else None
    _count_stays(search, ranking)
    untried = left_out({code: max(cents, search.proved) for code, cents in search.left.items()}, best)
    bound = best if ranking.proven else ranking.bound
    bound = min([bound, *(entry.could_cost_cents or 0 for entry in untried)]) if bound is not None else None
    tally = search.tally
    stopped_by = _stopped_by(ranking, search)
    stopped_by = "scope" if stopped_by == "proof" and untried else stopped_by
    status, refused, confirmed, lifted = _status(ranking, untried), None, None, False
    if not ranking.alternatives:
        alone = search if isinstance(search, Search) else search.first
        ended = no_plan(alone, shut, stopped_by, alternative_of, deadline)
        status, stopped_by, refused, confirmed = ended.status, ended.stopped_by, ended.refused, ended.confirmed
        lifted = ended.lifted
    return Plan(
        status=status,
        stopped_by=stopped_by,
        cost_bound_cents=bound if best is None or bound is None else min(bound, best),
        gap=None if best is None or bound is None else max(0.0, (best - bound) / best) if best else 0.0,
        solve_s=round(allowed - deadline.seconds_left(), 3),
        rules=request.rules.resolved(),
        rules_version=request.rules.version,
        rules_book=request.rules.base,
        weldment=request.weldment.stored,
        stock_version=stock.version,
        seed=request.seed,
        alternatives=ranking.alternatives,
        findings=(
            *taken_over(request.proved_cents),
            *fewer(len(ranking.alternatives), request.alternatives, complete=stopped_by in ("proof", "scope")),
        ),
        refused=refused,
        left_out=untried,
        work={
            "positions": tally.positions, "positions_surveyed": tally.surveyed, "positions_modelled": tally.built,
            "solves": tally.solves,
            "rounds_of_cuts": tally.rounds, "dropped": tally.dropped, "deterministic": round(tally.work, 6),
            "proofs": sum(fallen.program is not None for fallen in search.fallen),
            "proofs_repeated": 0 if confirmed is None else confirmed.proofs,
            "fell_early": sum(fallen.count for fallen in search.fallen if fallen.program is None),
            "made_anew": 0 if confirmed is None else confirmed.rebuilt,
            "reasons_lifted": int(lifted),
        },
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Ranking:
    """Alternatives by rank, the bound on the cheapest (cents), whether it is proven, and whether nothing was cut short."""

    alternatives: tuple[Alternative, ...]
    bound: int | None
    proven: bool
    complete: bool


def _ranked(search: AnySearch, on_progress: Callable[[Progress], None] | None) -> Ranking:
    """Search for the cheapest alternative, then for the next ones that differ."""
    request = search.request
    alternatives: list[Alternative] = []
    taken: list[Taken] = []
    bound: int | None = None
    proven = complete = True
    search.announce = partial(_announce, search, on_progress)
    while len(alternatives) < request.alternatives:
        found, low, sure = search.cheapest(taken)
        complete &= sure
        if not taken:
            bound, proven = low, sure
        if found is None:
            break
        try:
            alternative = _written(search, found, first=not alternatives)
        except DeadlinePassed:
            complete = False
            break
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
                kit_of(found.model.problem, found.choice.candidates),
            )
        )
        alternatives.append(alternative)
        if on_progress:
            best = min(entry.cost.total_cents for entry in alternatives)
            proved = None if bound is None else min(bound, best)
            on_progress(
                Progress(best, proved, search.tally.built, search.tally.positions, len(alternatives), ranked(alternatives))
            )
        if search.deadline.over:
            complete &= len(alternatives) == request.alternatives
            break
    return Ranking(ranked(alternatives), bound, proven, complete)


def _written(search: AnySearch, found: Found, *, first: bool) -> Alternative | None:
    """Return a choice written down and checked, None if the checker refuses it; if time is up, as it was told.

    Raises
    ------
    DeadlinePassed
        If time is up, it was not told, and there are others.
    """
    refusals = search.tally.refusals if first else found.model.refusals
    alone = first and found.written is None
    with (search.deadline.overrun(FIRST_LATE_S) if alone else search.deadline).in_force():
        try:
            look()
            alternative = alternative_of(found, found.model.problem.request, search.stock, thorough=first, refusals=refusals)
        except DeadlinePassed:
            if found.written is None:
                raise
            alternative = None
    return alternative or found.written


def _announce(search: AnySearch, on_progress: Callable[[Progress], None] | None, found: Found, bound: int) -> Alternative | None:
    """Write a fixture down that is cheaper than those before, have it checked and tell of it; None if the checker refuses it.

    `bound` is what any fixture costs at least, as far as proved by then, cents.
    """
    better = alternative_of(found, found.model.problem.request, search.stock, refusals=search.tally.refusals)
    if better is not None and on_progress is not None:
        best = better.cost.total_cents
        on_progress(Progress(best, min(bound, best), search.tally.built, search.tally.positions, 1, (better,)))
    return better


def _count_stays(search: AnySearch, ranking: Ranking) -> None:
    """Tell what is not tried of pieces pinned as they stand.

    Those that stay though the weldment lies elsewhere are priced as moved; a carrier that looks the same at every turn stands at
    one turn only, whichever it was kept at.
    """
    pinned = [pin.piece for pin in search.request.pins if pin.piece is not None]
    if not pinned or not isinstance(search, Search):
        return
    least = search.price.cents(0.0) if ranking.bound is None else ranking.bound
    if ranking.alternatives:
        search.untried("stays", least - search.price.moving(0))
    if len(search.request.turn) > 1 and any(search.stock.items[item].carries for piece in pinned for item, *_ in piece.levels):
        search.untried("turned", search.price.cents(0.0))


def _stopped_by(ranking: Ranking, search: AnySearch) -> StoppedBy:
    if ranking.complete:
        return "proof"
    if search.deadline.should_stop():
        return "cancel"
    worn = search.worn or search.out_of_work or search.tally.dropped >= MOST_DROPPED
    return "work" if worn and search.deadline.seconds_left() > 0 else "time"


def _status(ranking: Ranking, untried: Sequence[LeftOut]) -> Status:
    sure = ranking.proven and not untried
    if ranking.alternatives:
        return "optimal" if sure else "feasible"
    return "infeasible" if sure else "unknown"
