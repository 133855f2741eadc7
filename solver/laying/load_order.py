"""In which order the parts go in: each past those that are in already, the plain way if there is one.

In words: if every part can be lowered straight in, whatever lies over another goes in after it. If not, the weldment is taken
apart: of the parts that have any way out past those still there one is taken away, again and again; backwards that is an order
of loading. Taking a part away never shuts a way, so this finds an order whenever the ways tried allow one; parts that are left
lock each other.
Source: disassembly one part at a time by straight moves (common practice, no source).

Example:

```text
   |=========              neither bar nor channel can be lowered past the other: the upper flange is in the way
   |    [==== bar ====]    taken apart:  the bar slides out to the right, the channel goes up
   |=========              going in:     the channel from above, the bar from the right
    channel
```
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING

import numpy as np

from solver.geometry.hulls import Hulls
from solver.geometry.near import box_pairs, near
from solver.laying.straight_moves import EASE, HAIR, Passage, ways_past
from solver.rule_book.book import RuleBook

if TYPE_CHECKING:
    from solver.laying.laid_weldment import LaidPart, Touch

ON_TABLE = 0.02
CARRIES = 0.5
"""A touch whose normal points up by more than this carries."""
MOST_NAMED = 12
"""Of so many parts that are left those are named that lock each other without the rest; of more, all."""


def load_order(held: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return an order in which every part finds a way in, and the parts that lock each other: one of both is empty.

    Of those free to go in, parts on the table go first, then the heaviest.
    """
    above = _lying_over(held, touches, rules)
    straight = _straight_down(held, above)
    return (straight, ()) if straight else _taken_apart(held, touches, rules)


def _lying_over(held: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook) -> dict[int, set[int]]:
    """Return for each part those it cannot be lifted straight past: what lies over it, which goes in later."""
    lift = np.array([0.0, 0.0, rules["way.lift"]])
    up = np.array([0.0, 0.0, 1.0])
    above = {part.index: set[int]() for part in held}
    for part in held:
        for other in held:
            if other.index == part.index:
                continue
            apart = EASE * sum((touch.normal for touch in touches if (touch.part, touch.other) == (part.index, other.index)), up)
            swept = part.exact.shifted(apart).swept(lift)
            i, j = box_pairs(swept.boxes, other.exact.boxes, 0.0)
            if near(swept, i, other.exact, j, HAIR).any():
                above[other.index].add(part.index)
    return above


def _rank(part: LaidPart) -> tuple[bool, float, int]:
    """Order parts as they go in where they may: on the table first, then the heaviest."""
    return float(part.hulls.points[:, 2].min()) > ON_TABLE, -part.mass, part.index


def _straight_down(held: Sequence[LaidPart], above: Mapping[int, set[int]]) -> tuple[int, ...]:
    """Return the order of lowering parts straight in, empty if they lie over each other in a circle."""
    sorter = TopologicalSorter(above)
    try:
        sorter.prepare()
    except CycleError:
        return ()
    order: list[int] = []
    ready: list[int] = []
    while sorter.is_active():
        ready += sorter.get_ready()
        ready.sort(key=lambda index: _rank(held[index]))
        order.append(ready.pop(0))
        sorter.done(order[-1])
    return tuple(order)


def _taken_apart(held: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return the order of loading that taking the weldment apart gives, or the fewest parts that lock each other."""
    order, left = _apart(held, touches, rules)
    if not left:
        return tuple(reversed(order)), ()
    for index in sorted(left) if len(left) <= MOST_NAMED else ():
        if index in left:
            left = _apart([held[k] for k in left if k != index], touches, rules)[1] or left
    return (), tuple(sorted(left))


def _apart(parts: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook) -> tuple[list[int], list[int]]:
    """Return parts in the order they come away one by one, and those that are left because none of them has a way out.

    What carries nothing comes away first, then what would have gone in last.
    """
    there = {part.index: part for part in parts}
    gone: list[int] = []
    while there:
        carrying = {touch.other for touch in touches if {touch.part, touch.other} <= there.keys() and touch.normal[2] > CARRIES}
        wishes = sorted(there.values(), key=lambda part: (part.index not in carrying, _rank(part)), reverse=True)
        first = next((part.index for part in wishes if _comes_away(part, there, touches, rules)), None)
        if first is None:
            break
        gone.append(first)
        del there[first]
    return gone, list(there)


def _comes_away(part: LaidPart, there: Mapping[int, LaidPart], touches: Sequence[Touch], rules: RuleBook) -> bool:
    """Return whether a part has a way out past the others that are still there."""
    others = [other for other in there.values() if other is not part]
    passage = Passage.of(part, others, touches, rules["way.clear"])
    return next(ways_past([part], passage, Hulls.of([], []), rules), None) is not None
