"""The cause: reasons that, lifted together, make room for a fixture; lifting is tried, and what shuts next is named too.

Reasons are found one after the other. What the weldment or its table shuts is lifted by another request or another table, and
searched again. What hardware shuts is lifted at the lattice positions that got furthest, demand by demand. `proved` says that a
fixture was found in the end.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass

from solver.deadline import Deadline, DeadlinePassed
from solver.explain.exact_answers import Shut, screens, shut_welds
from solver.explain.irreducible import Demand, IrreducibleConflict, irreducible, needed
from solver.explain.lifting.outside import lifted, lifts
from solver.explain.lifting.shut_next import shut_next, taken_along
from solver.explain.retaken_positions import model_of, places_of, seated_model_of, spread
from solver.explain.sentences import missing, sentence
from solver.explain.trials import Trial, Write
from solver.model.program import Program
from solver.plans import Reason
from solver.search.lattice_position import LatticePosition
from solver.search.orientation import Orientation, in_orders
from solver.search.search import Search

MOST_CONFLICTS = 8
MOST_LIFTED = 4
"""Positions at which what is named is lifted, at most; the one where least shuts next is told."""
FIRST_SHARE = 0.5
"""Share of the time for the first reasons, or for the first search with them lifted; what comes after has the rest."""
LEAST_S = 0.05


@dataclass(frozen=True)
class Causes:
    """Reasons, and whether there is a fixture with all of them lifted (False: not known)."""

    reasons: tuple[Reason, ...]
    proved: bool = False


def causes_of(search: Search, shut: Shut, write: Write, deadline: Deadline) -> Causes:
    """Return reasons that together are the cause why a search that went through everything found nothing."""
    exact = shut_welds(search.request, shut) or screens(search, deadline)
    if any(lifts(reason) for reason in exact):
        return _lifted_outside(search, exact, write, deadline)
    if exact:
        demands = {demand for reason in exact for demand in _demands(search, reason)}
        return _lifted_at(search, exact, demands, _positions(search, demands), deadline)
    return _conflicts_lifted(search, deadline)


def first_reasons(search: Search, shut: Shut, deadline: Deadline) -> Causes:
    """Return reasons why a search that was cut short has found nothing so far; what shuts next is not looked for."""
    exact = shut_welds(search.request, shut) or screens(search, deadline)
    met = [] if exact else _met(search, deadline)
    return Causes(tuple(exact or (_told(search, met[0], deadline) if met else ())))


def _lifted_outside(search: Search, exact: Sequence[Reason], write: Write, deadline: Deadline) -> Causes:
    """Search again with what the weldment or its table shuts lifted; if there is nothing still, name what shuts then."""
    asked, shelf = lifted(search.request, search.stock, exact)
    again = Trial(asked, shelf, write)
    if again.cheapest(deadline.leaving(1 - FIRST_SHARE), first=True) is not None:
        return Causes(tuple(exact), True)
    if again.search is None or not again.exhausted or (asked, shelf) == (search.request, search.stock):
        return Causes(tuple(exact))
    more = causes_of(again.search, {}, write, deadline)
    return Causes(_each_once([*exact, *more.reasons]), more.proved)


def _conflicts_lifted(search: Search, deadline: Deadline) -> Causes:
    """Name the irreducible reasons met most often at the most promising positions, and what shuts next without them."""
    met = _met(search, deadline.leaving(1 - FIRST_SHARE))
    if not met:
        return Causes(())
    demands = met[0].conflict.demands
    alike = [entry.position for entry in met if entry.conflict.demands == demands and entry.position.number >= 0]
    alike = alike or _places([met[0].position.orientation], MOST_LIFTED, set(demands))
    return _lifted_at(search, _told(search, met[0], deadline), set(demands), alike, deadline)


def _lifted_at(
    search: Search, named: Sequence[Reason], demands: Set[Demand], positions: Sequence[LatticePosition], deadline: Deadline
) -> Causes:
    """Lift demands at a few positions, and name what shuts next where that is least."""
    best: Causes | None = None
    for position in positions[:MOST_LIFTED]:
        try:
            model = seated_model_of(search, position) if deadline.seconds_left() > LEAST_S else None
            if model is None:
                continue
            after = shut_next(model, demands, deadline)
            met = [_Met(conflict, model.program, position) for conflict in after.conflicts]
            more = [reason for entry in met for reason in _told(search, entry, deadline)]
        except DeadlinePassed:
            break
        causes = Causes(_each_once([*named, *more]), after.stands)
        if best is None or (not causes.proved, len(causes.reasons)) < (not best.proved, len(best.reasons)):
            best = causes
        if best.proved and len(best.reasons) == len(named):
            break
    return best or Causes(tuple(named))


def _demands(search: Search, reason: Reason) -> set[Demand]:
    """Return the demands of a position's model that an exact answer stands for."""
    if reason.rule == "load.order":
        laid = search.tried[0].laid
        return {Demand("way.in", laid.parts[index].id) for index in laid.locked}
    return taken_along(reason.rule, reason.subject)


def _each_once(reasons: Sequence[Reason]) -> tuple[Reason, ...]:
    """Return reasons without those that say once more what is said; numbers of a rule that was lifted are not said again."""
    found: list[Reason] = []
    for reason in reasons:
        outer = any(lifts(known) and (known.rule, known.subject) == (reason.rule, reason.subject) for known in found)
        if reason not in found and not outer:
            found.append(reason)
    return tuple(found)


@dataclass(frozen=True)
class _Met:
    """A conflict and where it was met."""

    conflict: IrreducibleConflict
    program: Program
    position: LatticePosition


def _met(search: Search, deadline: Deadline) -> list[_Met]:
    """Return the conflicts of the most promising positions, those met most often and with the fewest demands first."""
    found = []
    try:
        for program, position in _promising(search, deadline):
            conflict = irreducible(program, deadline)
            if conflict is not None and conflict.minimal:
                found.append(_Met(conflict, program, position))
    except DeadlinePassed:
        pass  # what was met by then is told
    often = Counter(entry.conflict.demands for entry in found)
    return sorted(found, key=lambda entry: (-often[entry.conflict.demands], len(entry.conflict.demands)))


def _told(search: Search, met: _Met, deadline: Deadline) -> list[Reason]:
    """Return the demands of a conflict as sentences."""
    reasons = []
    for demand in met.conflict.demands:
        if demand.rule == "stock.counted":
            wanted = needed(met.program, demand.about, met.conflict, deadline)
            reasons.append(missing(search.request, search.stock, demand.about, wanted))
        else:
            named = met.program.named.get((demand.rule, demand.about), ())
            reasons.append(sentence(demand, search.request, met.position.orientation.laid, named))
    return reasons


def _promising(search: Search, deadline: Deadline) -> Iterator[tuple[Program, LatticePosition]]:
    """Yield, as long as there is time, programs proved impossible, those that got furthest first.

    If all positions fell early, a few are made anew.
    """
    solved, early = _fallen(search)
    for program, position in solved[:MOST_CONFLICTS]:
        if deadline.seconds_left() > LEAST_S:
            yield program, position
    for position in [] if solved else early:
        model = model_of(search, position) if deadline.seconds_left() > LEAST_S else None
        if model is not None:
            yield model.program, position


def _fallen(search: Search) -> tuple[list[tuple[Program, LatticePosition]], list[LatticePosition]]:
    """Return the positions proved impossible, those that got furthest first, and a few that fell early, surveyed ones if any."""
    lowest = min((fallen.position.orientation.lie.lift for fallen in search.fallen), default=0.0)
    plain = [fallen for fallen in search.fallen if fallen.position.orientation.lie.lift == lowest]
    solved = [(fallen.program, fallen.position) for fallen in plain if fallen.program is not None]
    solved.sort(key=lambda entry: (-_rounds(entry[0]), entry[1].floor, entry[1].number))
    early = [fallen.position for fallen in plain if fallen.program is None]
    surveyed = [position for position in early if position.number >= 0]
    orientations: list[Orientation] = []
    for position in early:
        if not any(known is position.orientation for known in orientations):
            orientations.append(position.orientation)
    return solved, spread(surveyed, MOST_CONFLICTS) or _places(orientations, MOST_CONFLICTS)


def _positions(search: Search, demands: Set[Demand]) -> list[LatticePosition]:
    """Return positions at which demands are lifted, the most promising first; of lies without any, a few of their places."""
    solved, early = _fallen(search)
    placed = [position for position in [*(position for _, position in solved), *early] if position.number >= 0]
    if placed:
        return placed
    orientations = [entry if entry.laid.order is not None else _forced(entry) for entry in search.tried]
    return _places(orientations, MOST_LIFTED, demands)


def _places(orientations: Sequence[Orientation], most: int, lifted: Set[Demand] = frozenset()) -> list[LatticePosition]:
    """Return at most so many places of the lattice, the best ones of a few orientations, that ask no more than is not lifted."""
    some = spread(orientations, most)
    about = {demand.about for demand in lifted}
    return [place for entry in some for place in places_of(entry, most // len(some), about)]


def _forced(orientation: Orientation) -> Orientation:
    """Return an orientation whose parts go in from below, though they have no way in."""
    parts = orientation.laid.parts
    order = sorted(range(len(parts)), key=lambda k: (float(parts[k].hulls.points[:, 2].min()), -parts[k].mass, k))
    return in_orders(orientation, [tuple(order)])


def _rounds(program: Program) -> int:
    """Return how much was asked of a position before it proved impossible."""
    return bool(program.cliques) + sum(row.family.startswith(("hold", "way", "search")) for row in program.rows)
