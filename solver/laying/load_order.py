"""In which order the parts go in: each past those that are in already, by the plain route if there is one.

In words: if every part can be lowered straight in, whatever lies over another goes in after it. If not, the weldment is taken
apart: of the parts that have any route out past those still there one is taken away, again and again; backwards that is an
order of loading. Taking a part away never shuts a route, so this finds an order whenever the routes tried allow one; parts
that are left lock each other.
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
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from solver.geometry.hulls import Hulls
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import ON_TABLE, PART_EASE, RUNS_INTO, UP
from solver.laying.laid_weldment import ClosedRing, LaidPart, Touch
from solver.laying.straight_moves import Passage, routes_past
from solver.rule_book.book import RuleBook

MOST_NAMED = 12
"""Of so many parts that are left those are named that lock each other without the rest; of more, all."""


@dataclass(frozen=True)
class LoadOrder:
    """An order in which every part has a route in, or the parts that lock each other: one of both is empty."""

    order: tuple[int, ...] = ()
    locked: tuple[int, ...] = ()


def load_order(
    parts: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook, rings: Sequence[ClosedRing] = ()
) -> LoadOrder:
    """Return the order in which the parts go in.

    Of those free to go in, parts on the table go first, then the heaviest; of a closed ring, once it is begun, the next beside
    those that are in.
    """
    above = lying_over(parts, touches, rules)
    straight = _straight_down(parts, above, rings)
    return LoadOrder(straight) if straight else _taken_apart(parts, touches, rules)


def lying_over(parts: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook) -> dict[int, set[int]]:
    """Return for each part those it cannot be lifted straight past: what lies over it, which goes in later."""
    lift = rules["way.lift"] * UP
    above = {part.index: set[int]() for part in parts}
    for part in parts:
        for other in parts:
            if other.index == part.index:
                continue
            apart = PART_EASE * sum(
                (touch.normal for touch in touches if (touch.part, touch.other) == (part.index, other.index)), UP
            )
            swept = part.exact.shifted(apart).swept(lift)
            i, j = box_pairs(swept.boxes, other.exact.boxes, 0.0)
            if near(swept, i, other.exact, j, RUNS_INTO).any():
                above[other.index].add(part.index)
    return above


def _rank(part: LaidPart, waits: bool = False) -> tuple[bool, bool, float, int]:
    """Order parts as they go in where they may: on the table first, then what waits for no other, then the heaviest."""
    return float(part.hulls.points[:, 2].min()) > ON_TABLE, waits, -part.mass, part.index


def _waits(index: int, order: Sequence[int], rings: Sequence[ClosedRing]) -> bool:
    """Return whether a part of a ring that is begun lies beside none of it that is in."""
    own = next((ring for ring in rings if index in ring.parts), None)
    if own is None or not set(own.parts) & set(order):
        return False
    beside = {joint.other if joint.part == index else joint.part for joint in own.joints if index in (joint.part, joint.other)}
    return not beside & set(order)


def _straight_down(parts: Sequence[LaidPart], above: Mapping[int, set[int]], rings: Sequence[ClosedRing]) -> tuple[int, ...]:
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
        ready.sort(key=lambda index: _rank(parts[index], _waits(index, order, rings)))
        order.append(ready.pop(0))
        sorter.done(order[-1])
    return tuple(order)


def _taken_apart(parts: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook) -> LoadOrder:
    """Return the order of loading that taking the weldment apart gives, or the fewest parts that lock each other."""
    order, left = _apart(parts, touches, rules)
    if not left:
        return LoadOrder(tuple(reversed(order)))
    for index in sorted(left) if len(left) <= MOST_NAMED else ():
        if index in left:
            left = _apart([parts[k] for k in left if k != index], touches, rules)[1] or left
    return LoadOrder(locked=tuple(sorted(left)))


def _apart(parts: Sequence[LaidPart], touches: Sequence[Touch], rules: RuleBook) -> tuple[list[int], list[int]]:
    """Return parts in the order they come away one by one, and those that are left because none of them has a route out.

    What carries nothing comes away first, then what would have gone in last.
    """
    there = {part.index: part for part in parts}
    gone: list[int] = []
    while there:
        carrying = {touch.other for touch in touches if {touch.part, touch.other} <= there.keys() and touch.carries}
        wishes = sorted(there.values(), key=lambda part: (part.index not in carrying, _rank(part)), reverse=True)
        first = next((part.index for part in wishes if _comes_away(part, there, touches, rules)), None)
        if first is None:
            break
        gone.append(first)
        del there[first]
    return gone, list(there)


def _comes_away(part: LaidPart, there: Mapping[int, LaidPart], touches: Sequence[Touch], rules: RuleBook) -> bool:
    """Return whether a part has a route out past the others that are still there."""
    others = [other for other in there.values() if other is not part]
    passage = Passage.of(part, others, touches, rules["way.clear"])
    return next(routes_past([part], passage, Hulls.of([], []), rules), None) is not None
