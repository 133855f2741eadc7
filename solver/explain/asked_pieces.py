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

from solver.cost import free_pieces
from solver.deadline import Deadline
from solver.explain.repairs import RepairSearch
from solver.explain.sentences import by_itself
from solver.explain.trials import Trial
from solver.plans import Alternative, Omission, Reason
from solver.request import Request

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
    reasons = tuple(_reason(repairs, entry) for entry in (_entries(offered) if alone else dropped))
    return UnmetPieces(reasons, tuple(offered))


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
    return Trial(asked, repairs.stock, repairs.write, repairs.search if repairs.search.tried else None).cheapest(
        deadline, first=False
    )


def _omission(request: Request, dropped: Sequence[Entry], plan: Alternative) -> Omission:
    numbers = {name: tuple(k for own, k in dropped if own == name) for name in ("pins", "avoid")}
    words = [getattr(request, name)[k].words() for name, k in dropped]
    return Omission(numbers["pins"], numbers["avoid"], "; ".join(words), plan)


def _entries(offered: Sequence[Omission]) -> list[Entry]:
    return [*(("pins", k) for one in offered for k in one.pins), *(("avoid", k) for one in offered for k in one.avoid)]


def _reason(repairs: RepairSearch, entry: Entry) -> Reason:
    """Return an entry as a reason, with what is known of why no fixture keeps it."""
    (name, number), request, why = entry, repairs.request, ""
    described = getattr(request, name)[number]
    if name == "pins" and described.item is not None and not free_pieces(request, repairs.stock, described.item):
        why = "" if request.shortage == "price" else f": no {described.item} is free"
    return by_itself(f"request.{name}", described.words(), request.rules, why=why)
