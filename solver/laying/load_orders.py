"""Every order of loading that makes a difference: which part is in before which of those it touches or lies over.

In words: a part is located by those it touches that are in before it, and has to go past all that are in. Orders that agree in
this for every two such parts are one. Each is kept if every part has a route in past those before it.
Formula: one order of each class of orders that swap only parts that neither touch nor lie over each other; the one whose such
neighbours in it stand by their number.
Source: partial commutation (P. Cartier, D. Foata, 1969, source not checked): one normal form a class.

Example:

```text
   two tubes that meet in a T:   through, branch    the branch is located by the through tube
                                 branch, through    the other way round: two orders
   two that do not touch:        one order
```
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations

from solver.geometry.hulls import Hulls
from solver.laying.laid_weldment import LaidPart, LaidWeldment, Touch
from solver.laying.load_order import lying_over
from solver.laying.straight_moves import Passage, routes_past
from solver.rule_book.book import RuleBook


def _never() -> bool:
    return False


def orders_of(laid: LaidWeldment, ended: Callable[[], bool] = _never) -> Iterator[tuple[int, ...]]:
    """Yield one order of loading of every class that has a route in for each part, without the one the weldment has.

    Once it has `ended`, which is asked before each route is looked for, no more are yielded.
    """
    parts, touches, rules = laid.parts, laid.touches, laid.rules
    over = lying_over(parts, touches, rules)
    related = {frozenset((touch.part, touch.other)) for touch in touches if not touch.on_table}
    related |= {frozenset((below, above)) for above, others in over.items() for below in others}
    routes = _Routes(parts, touches, rules)
    given = _before(laid.order, related) if laid.order is not None else None
    for order in _normal_forms(len(parts), related, routes, ended):
        if _before(order, related) != given:
            yield order


def _before(order: Sequence[int], related: set[frozenset[int]]) -> frozenset[tuple[int, int]]:
    return frozenset((one, other) for one, other in combinations(order, 2) if frozenset((one, other)) in related)


def _normal_forms(
    count: int, related: set[frozenset[int]], routes: _Routes, ended: Callable[[], bool]
) -> Iterator[tuple[int, ...]]:
    def grown(order: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if len(order) == count:
            yield order
        for part in range(count):
            if ended():
                return
            swaps = bool(order) and frozenset((part, order[-1])) not in related and part < order[-1]
            if part not in order and not swaps and routes.open_to(part, frozenset(order)):
                yield from grown((*order, part))

    yield from grown(())


class _Routes:
    """Which parts have a route in past which others, found once."""

    def __init__(self, parts: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook) -> None:
        self._parts, self._touches, self._rules = parts, touches, rules
        self._known: dict[tuple[int, frozenset[int]], bool] = {}

    def open_to(self, part: int, present: frozenset[int]) -> bool:
        """Return whether a part has a route in past others that are there."""
        key = (part, present)
        if key not in self._known:
            others = [self._parts[index] for index in sorted(present)]
            passage = Passage.of(self._parts[part], others, self._touches, self._rules["way.clear"]) if others else None
            route = next(routes_past([self._parts[part]], passage, Hulls.of([], []), self._rules), None)
            self._known[key] = route is not None
        return self._known[key]
