"""What finds a way: every part on its way in, the whole weldment on its way out; and what stands in each way.

The plain way is looked at first and by itself; the others only where something stands in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import islice

import numpy as np

from solver.access import pulled_pieces
from solver.access.blocked_moves import way_blocks
from solver.cost import PieceTimes
from solver.geometry.hulls import Hulls
from solver.hardware.candidates import Candidate
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.straight_moves import Passage, Way, WaysAsked, ways_past


@dataclass(frozen=True)
class RouteOption:
    """A way, the candidates that stand in it, and those of them whose top piece may be pulled out of it."""

    way: Way
    blockers: frozenset[int]
    loose: frozenset[int]

    def better_than(self, other: RouteOption) -> bool:
        """Return whether this way is open whenever the other is."""
        return self.blockers <= other.blockers and other.loose & self.blockers <= self.loose

    def among(self, chosen: frozenset[int]) -> RouteOption:
        """Return the way with only what of these candidates stands in it."""
        return RouteOption(self.way, self.blockers & chosen, self.loose & chosen)


@dataclass(frozen=True)
class Routes:
    """The ways of one pose.

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
        """What has to find a way: each part on its way in (one index), and the whole weldment on its way out (all)."""
        parts = range(len(self.laid.parts))
        return (*((part,) for part in parts), tuple(parts))

    @property
    def out(self) -> int:
        """The mover that is the weldment on its way out."""
        return len(self.movers) - 1

    @cached_property
    def loose(self) -> frozenset[int]:
        """Candidates whose top piece may be pulled before the weldment leaves."""
        return pulled_pieces.drawable(self.candidates, self.laid)

    @cached_property
    def over_loose(self) -> dict[int, frozenset[int]]:
        """For each candidate that may be pulled, the candidates that stand over it and keep it from being drawn."""
        return pulled_pieces.over(self.candidates, self.loose, self.standing, self.laid.rules["way.lift"])

    def options(self, mover: int, only: Sequence[int] | None = None) -> list[RouteOption]:
        """Return the ways `movers[mover]` can go past the other parts, each with the candidates (of `only`) in its way.

        Ways that are never open alone are left out; a way that nothing blocks makes all others needless.
        """
        found: list[RouteOption] = []
        for option in self._looked_at(mover, only):
            if not any(other.better_than(option) for other in found):
                found.append(option)
            if not option.blockers:
                break
        return found

    def open_way(self, mover: int, chosen: Sequence[int], pulled: frozenset[int] = frozenset()) -> RouteOption | None:
        """Return the way that a choice leaves `movers[mover]`, None if there is none.

        Of ways past pieces that may be pulled (those of `pulled` may), the one that takes the fewest seconds and pieces.
        """
        options = [option for option in self.options(mover, chosen) if self._drawn(option, chosen, pulled)]
        return min(options, key=lambda option: (self.pull_s(option.blockers), len(option.blockers)), default=None)

    def shortest(self, mover: int, chosen: Sequence[int], pulled: frozenset[int] = frozenset()) -> RouteOption | None:
        """Return the shortest way past the same pieces, its lifts and slides as short as these stands alone allow."""
        way = self.open_way(mover, chosen, pulled)
        if way is None or len(way.way.moves) == 1:
            return way
        left = [index for index in chosen if index not in way.blockers]
        standing, under = _only(self.standing, left), _only(self.under, chosen)
        ways = self._past_parts(mover, standing)
        free = [option.way for option in self._in_the_way(mover, ways, standing, under) if not option.blockers]
        return RouteOption(min((*free, way.way), key=lambda found: found.length), way.blockers, way.loose)

    def pull_s(self, pulled: frozenset[int]) -> Fraction:
        """Return how long it takes to pull some candidates' top pieces and put them back, s."""
        return sum((self.times[index].pull_s for index in pulled), Fraction(0))

    def _drawn(self, option: RouteOption, chosen: Sequence[int], pulled: frozenset[int]) -> bool:
        """Return whether all that is in a way may be pulled and drawn past the other stands."""
        in_way = option.blockers
        return in_way <= option.loose & pulled and not any(self.over_loose[index] & frozenset(chosen) for index in in_way)

    def _looked_at(self, mover: int, only: Sequence[int] | None) -> Iterator[RouteOption]:
        """Yield all ways of a mover with what of all candidates stands in them, which is kept, or of some."""
        if only is None and mover not in self._known:
            self._known[mover] = list(self._in_the_way(mover, self._ways[mover], self.standing, self.under))
        if only is None:
            yield from self._known[mover]
        elif mover in self._known:
            chosen = frozenset(only)
            yield from (option.among(chosen) for option in self._known[mover])
        else:
            yield from self._in_the_way(mover, self._ways[mover], _only(self.standing, only), _only(self.under, only))

    @cached_property
    def _known(self) -> dict[int, list[RouteOption]]:
        """Ways looked at with all candidates, by mover."""
        return {}

    @cached_property
    def _ways(self) -> tuple[WaysAsked, ...]:
        """For each mover the ways that the other parts leave free."""
        return tuple(WaysAsked(self._past_parts(mover, self.standing)) for mover in range(len(self.movers)))

    def _past_parts(self, mover: int, pieces: Hulls) -> Iterator[Way]:
        """Yield the ways of a mover past the parts already in, as far as pieces ask for."""
        laid, rules = self.laid, self.laid.rules
        moving = [laid.parts[part] for part in self.movers[mover]]
        present = [laid.parts[other] for other in laid.before(moving[0].index)] if mover != self.out else []
        passage = Passage.of(moving[0], present, laid.touches, rules["way.clear"]) if present else None
        return ways_past(moving, passage, pieces, rules)

    def _in_the_way(self, mover: int, ways: Iterable[Way], standing: Hulls, under: Hulls) -> Iterator[RouteOption]:
        """Yield ways with what of some hulls stands in them, the plain way first, the others together."""
        left = iter(ways)
        for some in (islice(left, 1), left):
            together = list(some)
            if not together:
                return
            blocked = way_blocks(self.movers[mover], together, self.laid, self.candidates, standing, under)
            for way, entry in zip(together, blocked, strict=True):
                loose = self.loose & (entry.candidates - entry.carriers) if mover == self.out else frozenset()
                yield RouteOption(way, entry.candidates, loose)


def _only(hulls: Hulls, owners: Sequence[int]) -> Hulls:
    """Return the hulls of some owners."""
    return hulls.take(np.isin(hulls.owner, np.array(list(owners), dtype=np.intp)))
