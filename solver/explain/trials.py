"""Planning once more with something changed: what a repair must survive before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Set
from dataclasses import dataclass, replace

from inventory.stock import StockSnapshot
from solver.deadline import Deadline, DeadlinePassed
from solver.laying.lay_out import drawn_samples
from solver.plans import Alternative
from solver.request import Request
from solver.search.lattice_position import Found
from solver.search.orientation import items_of
from solver.search.search import Search

MOST_REFUSED = 4
"""So many choices may fail the independent checker before a repair is given up."""
Write = Callable[[Found, Request, StockSnapshot], Alternative | None]
"""Writes a choice down in full and has it checked; None if the checker refuses it."""


@dataclass
class Trial:
    """A changed request, searched as often as asked.

    Parameters
    ----------
    write : callable
        Writes a choice down in full and has it checked.
    origin : Search
        The search that found nothing; what it knows of the lies is not found anew if the change leaves it true. None if nothing
        it knows is true any more.
    """

    request: Request
    stock: StockSnapshot
    write: Write
    origin: Search | None = None
    search: Search | None = None

    def cheapest(self, deadline: Deadline, *, first: bool, without_buying: Set[str] = frozenset()) -> Alternative | None:
        """Return the cheapest checked alternative (or the first found), None if none is found by the deadline."""
        search = self._opened(deadline)
        if search is None:
            return None
        search.barred |= without_buying
        for _ in range(MOST_REFUSED):
            found, _, _ = search.cheapest((), first=first)
            if found is None:
                return None
            # What was found in a trial's share of the time is written down in the time of all of them.
            try:
                alternative = self.write(found, self.request, self.stock)
            except DeadlinePassed:
                return None
            if alternative is not None:
                return alternative
            found.model.forbid(found.choice)
        return None

    @property
    def exhausted(self) -> bool:
        """Whether the search went through everything: that it found nothing is then a proof."""
        search = self.search
        return search is not None and not (search.deadline.over or search.unseen or search.worn or search.left)

    def _opened(self, deadline: Deadline) -> Search | None:
        if self.search is None:
            request = self.request
            known = self.origin if self.origin is not None and _same_lies(request, self.origin) else None
            samples, shut = (known.samples, {}) if known is not None else drawn_samples(request.weldment, request.rules)
            if shut or deadline.over:
                return None
            barred, workers = late(request, self.stock), 1 if self.origin is None else self.origin.workers
            self.search = Search(request, self.stock, samples, deadline, barred=barred, workers=workers)
            if known is not None:
                self.search.open_as(known)
            else:
                self.search.open()
        self.search.end = deadline
        return self.search


def _same_lies(request: Request, origin: Search) -> bool:
    """Return whether a search has found all lies of a changed request, with all that can meet the weldment there."""
    asked = origin.request
    seen = ["locate.together"]
    seen += [name for name in request.rules.resolved() if name.startswith("torch.") or name.endswith(".pad_share")]
    return (
        not origin.unseen
        and (request.tables, request.down, request.turn, request.variants)
        == (asked.tables, asked.down, asked.turn, asked.variants)
        and all(request.rules[name] == asked.rules[name] for name in seen)
        and items_of(request, origin.stock) == items_of(asked, origin.stock)
    )


def late(request: Request, stock: StockSnapshot) -> set[str]:
    """Return the items that would not be there in time if they were bought."""
    if request.today is None or request.needed is None:
        return set()
    days = (request.needed[0] - request.today).days
    return {item.id for item in stock.items.values() if item.lead_days > days}


def relaxed(request: Request, rule: str, value: float) -> Request:
    """Return a request with one rule changed."""
    rules = request.rules
    return replace(request, rules=replace(rules, changes={**rules.changes, rule: value}))
