"""The search for the best number of equal stations: one search a number, asked only while its floor may still win.

In words: more stations make a cycle shorter and a setup longer. What one number was proved to cost at least says what another one
costs at least, so numbers are opened one after the other, the fewest first, as long as they may be cheaper than what is found.
A number of stations that cannot be has no larger one that can: a station taken away leaves the others what they had.
Formula: a fixture pays W + n A + s_n Q for n stations, W the walk, A setup, tie-up and weights of one station, Q all cycles, s_n
the share of a cycle; from W + m A + s_m Q >= L follows W + n A + s_n Q >= W + r (L - W) + (n - m r) A, r = s_n / s_m <= n / m.
Source: the price as `solver.cost` states it.

Example:

```text
   120 pieces   1 station 7062, proved   2: floor 5802, asked: 6480   3: floor 5611, asked: nothing below 6480
                4: floor 5690, asked: does not fit on the table       5 and more do not either
```
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from inventory.limits import STATIONS
from inventory.stock import StockSnapshot
from solver.cost import exact, free_pieces, tariff
from solver.deadline import Deadline
from solver.geometry.joints import Sample
from solver.plans import Alternative
from solver.request import Request
from solver.search.lattice_position import Fallen, Found, Taken, Tally
from solver.search.price_floor import PriceFloor
from solver.search.search import Search

SHARE = 0.5
"""Share of the time left that one number of stations may take."""


@dataclass
class StationCounts:
    """The searches for one request with one, two, three ... stations; `announce` as a search has it."""

    request: Request
    stock: StockSnapshot
    samples: Sequence[Sample]
    end: Deadline
    reserve_s: float = 0.0
    workers: int = 1
    announce: Callable[[Found, int], Alternative | None] | None = None
    tally: Tally = field(default_factory=Tally)
    searches: list[Search] = field(default_factory=list)
    proved_by_count: dict[int, int] = field(default_factory=dict)
    """What any fixture of so many stations was proved to cost at least, cents."""
    possible: set[int] = field(default_factory=set)
    """Numbers of stations for which a fixture was found."""
    most: int = field(init=False)
    """More stations than this cannot be: each has a clamp at least, and none has more than those before it have room for."""

    def __post_init__(self) -> None:
        clamps = [item.id for item in self.stock.items.values() if item.clamp is not None]
        free = sum(free_pieces(self.request, self.stock, name) for name in clamps)
        most = int(STATIONS.high)
        self.most = most if self.request.shortage == "price" else max(1, min(most, free))

    @property
    def first(self) -> Search:
        """The search for one station, opened or not."""
        if not self.searches:
            self.searches.append(self._search(1))
        return self.searches[0]

    def open(self) -> None:
        """Find all positions for one station; the other numbers take them over."""
        self.first.open()

    def cheapest(self, unlike: Sequence[Taken]) -> tuple[Found | None, int | None, bool]:
        """Return the cheapest choice over all numbers that differs from those taken, the proven bound, and whether proven."""
        best: Found | None = None
        bounds: list[int] = []
        for count in range(1, self.most + 1):
            ceiling = None if best is None else best.choice.cents - 1
            if count > self.most or (ceiling is not None and self._least_from(count) > ceiling):
                break
            if ceiling is not None and self.floor(count) > ceiling:
                continue
            if count > 1 and (self.end.over or not self.possible or (ceiling is None and not self._can_be(count))):
                bounds += [self._least_from(count)] if count <= self.most else []
                break
            found, low, sure = self._asked(count, unlike, ceiling)
            if low is not None and not sure:
                bounds.append(low)
            if found is None and ceiling is None and sure and not unlike and not self.searches[count - 1].left:
                self.most = count - 1
            self.possible |= set() if found is None else {count}
            best = found or best
        proven = not bounds
        if best is not None:
            bounds.append(best.choice.cents)
        return best, min(bounds, default=None), proven

    def _can_be(self, count: int) -> bool:
        """Return whether any fixture of so many stations is known; looks for one, and remembers if there is none."""
        if count not in self.possible:
            search = self._opened(count)
            search.end = self.end.within(SHARE * max(0.0, self.end.seconds_left()))
            search.announce = None
            found, _, sure = search.cheapest((), first=True)
            self.possible |= set() if found is None else {count}
            self.most = count - 1 if found is None and sure and not search.left else self.most
        return count in self.possible

    def _asked(self, count: int, unlike: Sequence[Taken], ceiling: int | None) -> tuple[Found | None, int | None, bool]:
        """Ask one number for what is cheaper than the rest; remember what that proves of it."""
        search = self._opened(count)
        search.end = self.end.within(SHARE * max(0.0, self.end.seconds_left()))
        search.announce = None if self.announce is None else partial(self._announced, count)
        found, low, sure = search.cheapest(unlike, ceiling)
        if not unlike:
            nothing = ceiling + 1 if ceiling is not None else None
            least = [found.choice.cents if found is not None else nothing] if sure else [low]
            known = [cents for cents in (*least, *search.left.values()) if cents is not None]
            self.proved_by_count[count] = max(min(known, default=0), self.proved_by_count.get(count, 0))
        return found, low, sure

    def _announced(self, count: int, found: Found, bound: int) -> Alternative | None:
        """Tell of a fixture, with what fixtures of any number of stations cost at least."""
        others = [self.floor(other) for other in range(1, self.most + 1) if other != count]
        return None if self.announce is None else self.announce(found, min([bound, *others]))

    def _opened(self, count: int) -> Search:
        """Return the search for so many stations, with all positions found."""
        while len(self.searches) < count:
            search = self._search(len(self.searches) + 1)
            search.open_as(self.first)
            self.searches.append(search)
        return self.searches[count - 1]

    def _search(self, count: int) -> Search:
        request = replace(self.request, stations=count)
        return Search(request, self.stock, self.samples, self.end, self.reserve_s, workers=self.workers, tally=self.tally)

    def floor(self, count: int) -> int:
        """Return what any fixture of so many stations costs at least, by what was proved of it and of fewer, cents."""
        own = [self._paid(count).cents(0.0), self.proved_by_count.get(count, 0), self.request.proved_cents]
        fewer = [self._from_fewer(count, other, least) for other, least in self.proved_by_count.items() if other < count]
        return max([*own, *fewer])

    def _least_from(self, count: int) -> int:
        """Return what any fixture of so many stations or more costs at least, cents."""
        return min((self.floor(more) for more in range(count, self.most + 1)), default=0)

    def _paid(self, count: int) -> PriceFloor:
        return PriceFloor.of(replace(self.request, stations=count), None)

    def _from_fewer(self, count: int, fewer: int, least: int) -> int:
        """Return what so many stations cost at least if fewer cost at least `least` cents."""
        rates, more = (tariff(replace(self.request, stations=number)) for number in (fewer, count))
        per_s = float(rates.cents_per_s)
        walk = float(exact(self.request.rules["time.walk_s"]) * rates.setup_share) * per_s
        station = float(rates.setup_fixed_s * rates.setup_share) * per_s - walk
        rounded_up = per_s * (1 + rates.quantity) + 1
        share = float(more.cycle_share / rates.cycle_share)
        total = walk + share * (least - rounded_up - walk) + (count - fewer * share) * station / fewer
        return math.floor(total - 1)

    @property
    def left(self) -> dict[str, int]:
        """What was not tried for any number of stations, by code: what any such fixture costs at least, cents."""
        found: dict[str, int] = {}
        for search in self.searches:
            for code, cents in search.left.items():
                found[code] = min(cents, found.get(code, cents))
        return found

    @property
    def proved(self) -> int:
        """What every fixture costs at least by an earlier proof, cents; 0: not known."""
        return self.request.proved_cents

    @property
    def fallen(self) -> list[Fallen]:
        """All positions that fell out, for whatever number of stations."""
        return [fallen for search in self.searches for fallen in search.fallen]

    @property
    def deadline(self) -> Deadline:
        """When the search must end."""
        return self.end

    @property
    def worn(self) -> bool:
        """Whether a position was given up with time left."""
        return any(search.worn for search in self.searches)

    @property
    def out_of_work(self) -> bool:
        """Whether the request's work limit is reached."""
        return any(search.out_of_work for search in self.searches)
