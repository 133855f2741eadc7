"""Pins that cannot be met and pieces that cannot be avoided: which of them are the reason, and what dropping them leads to.

In words: the request is planned again without any of them. If a fixture stands then, they are put back one after the other as
long as one stands still; those that cannot be put back are dropped together, and each of them is tried alone. Where one dropped
alone makes room, that is the reason and the repair; else all of those are together.

Example:

```text
   pins: a stop in C7, a square at rail      rail has room for a stop only: drop the square
```
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.described_pieces import DescribedPiece
from solver.explain.repairs import RepairSearch
from solver.explain.sentences import by_itself, missing
from solver.plans import Alternative, Omission, Reason
from solver.request import Request
from solver.search.orientation import items_of

Entry = tuple[str, int]
"""`pins` or `avoid`, and which of its entries."""
FIRST_SHARE = 0.4
"""Share of the time for planning without any of them."""


@dataclass(frozen=True)
class UnmetPieces:
    """Entries that are the reason, each with why it is, and the repairs that drop them; none if a plan lacks without them too."""

    reasons: tuple[Reason, ...] = ()
    repairs: tuple[Omission, ...] = ()


def unmet_pieces(repairs: RepairSearch, deadline: Deadline) -> UnmetPieces:
    """Return which pins and pieces to avoid keep a request from having a plan, and what it has without them."""
    request = repairs.request
    entries = [("pins", k) for k in range(len(request.pins))] + [("avoid", k) for k in range(len(request.avoid))]
    if not entries:
        return UnmetPieces()
    found = _planned(repairs, entries, deadline.within(FIRST_SHARE * max(0.0, deadline.seconds_left())))
    if found is None:
        return UnmetPieces()
    dropped, plan = _fewest(repairs, entries, found, deadline)
    alone = list(_alone(repairs, entries, dropped, plan, deadline))
    offered = alone or [_omission(request, dropped, plan)]
    reasons = [_reason(request, entry) for entry in (_entries(offered) if alone else dropped)]
    return UnmetPieces((*reasons, *unavailable(request, repairs.stock)), tuple(offered))


def unavailable(request: Request, stock: StockSnapshot) -> list[Reason]:
    """Return for each item that a pin names, but of which no piece may stand, that it is missing."""
    gone = _gone(request, stock)
    named = dict.fromkeys(item for pin in request.pins for item in _items_of(pin))
    return [missing(request, stock, item, 1) for item in named if item in gone and item in stock.items]


def unavailable_pins(request: Request, stock: StockSnapshot) -> list[Reason]:
    """Return the pins that name an item of which no piece may stand, and what is missing; none if every item is there."""
    gone = _gone(request, stock)
    pins = [k for k, pin in enumerate(request.pins) if gone & _items_of(pin)]
    return [*(_reason(request, ("pins", k)) for k in pins), *unavailable(request, stock)]


def _gone(request: Request, stock: StockSnapshot) -> set[str]:
    """Return the items that pins name and of which no piece may stand."""
    named = {item for pin in request.pins for item in _items_of(pin)}
    return named - {item.id for item in items_of(request, stock)} if named else named


def _items_of(pin: DescribedPiece) -> set[str]:
    own = set() if pin.item is None else {pin.item}
    return own if pin.piece is None else own | {item for item, *_ in pin.piece.levels}


def _fewest(
    repairs: RepairSearch, entries: Sequence[Entry], plan: Alternative, deadline: Deadline
) -> tuple[list[Entry], Alternative]:
    """Return entries without which there is a plan, none of which can be put back as far as time allows, and the plan."""
    dropped = list(entries)
    for k, entry in enumerate(entries if len(entries) > 1 else ()):
        if deadline.over:
            break
        fewer = [other for other in dropped if other != entry]
        share = deadline.seconds_left() / (len(entries) - k + 1)
        again = _planned(repairs, fewer, deadline.within(share)) if fewer else None
        if again is not None:
            dropped, plan = fewer, again
    return dropped, plan


def _alone(
    repairs: RepairSearch, entries: Sequence[Entry], dropped: Sequence[Entry], plan: Alternative, deadline: Deadline
) -> Iterator[Omission]:
    """Yield entries that make room if they are dropped alone."""
    for k, entry in enumerate(entries):
        if list(dropped) == [entry]:
            yield _omission(repairs.request, [entry], plan)
        elif not deadline.over:
            found = _planned(repairs, [entry], deadline.within(deadline.seconds_left() / (len(entries) - k)))
            if found is not None:
                yield _omission(repairs.request, [entry], found)


def _planned(repairs: RepairSearch, dropped: Sequence[Entry], deadline: Deadline) -> Alternative | None:
    """Return the cheapest alternative found of the request without some entries."""
    left = {
        name: tuple(one for k, one in enumerate(getattr(repairs.request, name)) if (name, k) not in dropped)
        for name in ("pins", "avoid")
    }
    asked = replace(repairs.request, pins=left["pins"], avoid=left["avoid"], alternatives=1)
    return repairs.trial(asked).cheapest(deadline, first=False)


def _omission(request: Request, dropped: Sequence[Entry], plan: Alternative) -> Omission:
    numbers = {name: tuple(k for own, k in dropped if own == name) for name in ("pins", "avoid")}
    words = [getattr(request, name)[k].words() for name, k in dropped]
    return Omission(numbers["pins"], numbers["avoid"], "; ".join(words), plan)


def _entries(offered: Sequence[Omission]) -> list[Entry]:
    return [*(("pins", k) for one in offered for k in one.pins), *(("avoid", k) for one in offered for k in one.avoid)]


def _reason(request: Request, entry: Entry) -> Reason:
    name, number = entry
    return by_itself(f"request.{name}", getattr(request, name)[number].words(), request.rules)
