"""The routes of every part in and of the whole weldment out, and what stands in each of them.

The plain route is looked at first and by itself; the others only where something stands in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, partial
from itertools import islice

import numpy as np

from solver.access import pulled_pieces
from solver.access.route_blockers import route_blockers
from solver.cost import PieceTimes
from solver.geometry.hulls import Hulls
from solver.hardware.candidates import Candidate
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.straight_moves import LazyRoutes, Passage, Route, routes_past


@dataclass(frozen=True)
class RouteOption:
    """A route, the candidates that stand in it, and those of them whose top piece may be pulled out of it."""

    route: Route
    blockers: frozenset[int]
    pullable: frozenset[int]

    def better_than(self, other: RouteOption) -> bool:
        """Return whether this route is open whenever the other is."""
        return self.blockers <= other.blockers and other.pullable & self.blockers <= self.pullable

    def among(self, chosen: frozenset[int]) -> RouteOption:
        """Return the route with only what of these candidates stands in it."""
        return RouteOption(self.route, self.blockers & chosen, self.pullable & chosen)


@dataclass(frozen=True)
class Routes:
    """The routes of one lattice position.

    Parameters
    ----------
    standing, under : Hulls
        The candidates' bodies with clamps open, and of what carries their top pieces.
    times : sequence of PieceTimes
        What each candidate adds to setup and cycle.
    """

    laid: LaidWeldment
    candidates: Sequence[Candidate]
    standing: Hulls
    under: Hulls
    times: Sequence[PieceTimes]

    @cached_property
    def movers(self) -> tuple[tuple[int, ...], ...]:
        """What needs a route: each part and outer body on its way in (one index), and the whole weldment on its way out (all)."""
        parts = range(len(self.laid.all_parts))
        return (*((part,) for part in parts), tuple(parts))

    @property
    def out(self) -> int:
        """The mover that is the weldment on its way out."""
        return len(self.movers) - 1

    @cached_property
    def pullable(self) -> frozenset[int]:
        """Candidates whose top piece may be pulled before the weldment leaves."""
        return pulled_pieces.pullable_candidates(self.candidates, self.laid)

    @cached_property
    def over_pullable(self) -> dict[int, frozenset[int]]:
        """For each candidate that may be pulled, the candidates that stand over it and keep it from being pulled."""
        return pulled_pieces.candidates_over(self.candidates, self.pullable, self.standing, self.laid.rules["way.lift"])

    def options(self, mover: int, only: Sequence[int] | None = None) -> list[RouteOption]:
        """Return the routes of `movers[mover]` past the other parts, each with the candidates (of `only`) that stand in it.

        Routes that are never open alone are left out; a route that nothing blocks makes all others needless.
        """
        found: list[RouteOption] = []
        for option in self._options_known(mover, only):
            if not any(other.better_than(option) for other in found):
                found.append(option)
            if not option.blockers:
                break
        return found

    def open_route(self, mover: int, chosen: Sequence[int], pulled: frozenset[int] = frozenset()) -> RouteOption | None:
        """Return the route that a choice leaves `movers[mover]`, None if there is none.

        Of routes past pieces that may be pulled (those of `pulled` may), the one that takes the fewest seconds and pieces.
        """
        options = [option for option in self.options(mover, chosen) if self._pulled_free(option, chosen, pulled)]
        return min(options, key=lambda option: (self.pull_s(option.blockers), len(option.blockers)), default=None)

    def shortest(self, mover: int, chosen: Sequence[int], pulled: frozenset[int] = frozenset()) -> RouteOption | None:
        """Return the shortest route past the same pieces, its lifts and slides as short as these stacks alone allow."""
        open_now = self.open_route(mover, chosen, pulled)
        if open_now is None or len(open_now.route.moves) == 1:
            return open_now
        left = [index for index in chosen if index not in open_now.blockers]
        standing, under = _only(self.standing, left), _only(self.under, chosen)
        routes = self._past_parts(mover, standing)
        free = [option.route for option in self._with_blockers(mover, routes, standing, under) if not option.blockers]
        return RouteOption(min((*free, open_now.route), key=lambda found: found.length), open_now.blockers, open_now.pullable)

    def ways(self, mover: int, chosen: Sequence[int], pulled: frozenset[int] = frozenset()) -> Iterator[Route]:
        """Yield every route that a choice leaves past the same pulled pieces, the one that `shortest` gives first."""
        first = self.shortest(mover, chosen, pulled)
        if first is None:
            return
        yield first.route
        left = [index for index in chosen if index not in first.blockers]
        standing, under = _only(self.standing, left), _only(self.under, chosen)
        past = self._with_blockers(mover, self._past_parts(mover, standing), standing, under)
        free = [option.route for option in past if not option.blockers]
        free += [option.route for option in self._options_known(mover, chosen) if option.blockers == first.blockers]
        yield from sorted(free, key=lambda route: (len(route.moves), route.length))

    def pull_s(self, pulled: frozenset[int]) -> Fraction:
        """Return how long it takes to pull some candidates' top pieces and put them back, s."""
        return sum((self.times[index].pull_s for index in pulled), Fraction(0))

    def _pulled_free(self, option: RouteOption, chosen: Sequence[int], pulled: frozenset[int]) -> bool:
        """Return whether all that stands in a route may be pulled, past the other stacks."""
        blocking = option.blockers
        return blocking <= option.pullable & pulled and not any(
            self.over_pullable[index] & frozenset(chosen) for index in blocking
        )

    def _options_known(self, mover: int, only: Sequence[int] | None) -> Iterator[RouteOption]:
        """Yield all routes of a mover with what of all candidates stands in them, which is kept, or of some."""
        if only is None and mover not in self._known:
            self._known[mover] = list(self._with_blockers(mover, self._routes[mover], self.standing, self.under))
        if only is None:
            yield from self._known[mover]
        elif mover in self._known:
            chosen = frozenset(only)
            yield from (option.among(chosen) for option in self._known[mover])
        else:
            yield from self._with_blockers(mover, self._routes[mover], _only(self.standing, only), _only(self.under, only))

    @cached_property
    def _known(self) -> dict[int, list[RouteOption]]:
        """The options with all candidates, by mover."""
        return {}

    @cached_property
    def _routes(self) -> tuple[LazyRoutes, ...]:
        """For each mover the routes that the other parts leave free."""
        return tuple(LazyRoutes(partial(self._past_parts, mover, self.standing)) for mover in range(len(self.movers)))

    def _past_parts(self, mover: int, pieces: Hulls) -> Iterator[Route]:
        """Yield the routes of a mover past the parts already in, as far as pieces ask for; outer bodies pass parts freely."""
        laid, rules = self.laid, self.laid.rules
        moving = [laid.all_parts[part] for part in self.movers[mover]]
        present = [laid.parts[other] for other in laid.before(moving[0].index)] if mover != self.out else []
        passage = Passage.of(moving[0], present, laid.touches, rules["way.clear"]) if present else None
        return routes_past(moving, passage, pieces, rules)

    def _with_blockers(self, mover: int, routes: Iterable[Route], standing: Hulls, under: Hulls) -> Iterator[RouteOption]:
        """Yield routes with what of some hulls stands in them, the plain one first, the others together."""
        left = iter(routes)
        for some in (islice(left, 1), left):
            together = list(some)
            if not together:
                return
            blocked = route_blockers(self.movers[mover], together, self.laid, self.candidates, standing, under)
            for route, entry in zip(together, blocked, strict=True):
                pullable = self.pullable & (entry.candidates - entry.carriers) if mover == self.out else frozenset()
                yield RouteOption(route, entry.candidates, pullable)


def _only(hulls: Hulls, owners: Sequence[int]) -> Hulls:
    """Return the hulls of some owners."""
    return hulls.take(np.isin(hulls.owner, np.array(list(owners), dtype=np.intp)))
