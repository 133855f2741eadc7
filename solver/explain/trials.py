"""Planning once more with something changed: what a repair must survive before it is offered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from inventory.stock import StockSnapshot
from solver.laying.lay_out import drawn_samples
from solver.model.position_model import PositionModel
from solver.plans import Alternative
from solver.request import Request
from solver.search.lattice_position import Found, LatticePosition
from solver.search.limits import Limits
from solver.search.orientation import items_of
from solver.search.search import Search

MOST_REFUSED = 4
"""So many choices may fail the independent checker before a repair is given up."""
Write = Callable[[Found, Request, StockSnapshot], Alternative | None]
"""Writes a choice down in full and has it checked; None if the checker refuses it."""


@dataclass
class BuyingSearch(Search):
    """A search that may buy missing pieces, but none of the items in `barred`."""

    barred: set[str] = field(default_factory=set)

    def _model(self, position: LatticePosition) -> PositionModel:
        model = super()._model(position)
        for item in self.barred & set(model.variables.buy):
            model.program.high[model.variables.buy[item]] = 0
        return model


@dataclass
class Trial:
    """A changed request, searched as often as asked.

    Parameters
    ----------
    clock : callable
        Seconds of wall clock left to whoever asks, s.
    until : float
        What the clock shows when this must end, s; may be set anew before each question.
    origin : Search
        The search that found nothing; what it knows of the lies is not found anew if the change leaves it true.
    """

    request: Request
    stock: StockSnapshot
    write: Write
    clock: Callable[[], float]
    until: float
    should_stop: Callable[[], bool]
    origin: Search
    search: BuyingSearch | None = None
    further: list[Callable[[BuyingSearch], bool]] = field(default_factory=lambda: [Search.widen, Search.raise_up, Search.widen])

    def seconds_left(self) -> float:
        """Return the seconds left for the question at hand."""
        return self.clock() - self.until

    def cheapest(self, *, first: bool, without_buying: set[str] | None = None) -> Alternative | None:
        """Return the cheapest checked alternative (or the first found), None if none is found in time."""
        search = self._opened()
        if search is None:
            return None
        search.barred |= without_buying or set()
        for _ in range(MOST_REFUSED):
            found, _, proven = search.cheapest((), first=first)
            while found is None and proven and self.further:
                if self.further.pop(0)(search):
                    found, _, proven = search.cheapest((), first=first)
            if found is None:
                return None
            alternative = self.write(found, self.request, self.stock)
            if alternative is not None:
                return alternative
            found.model.forbid(found.choice)
        return None

    def _opened(self) -> BuyingSearch | None:
        if self.search is None:
            request, known = self.request, _same_lies(self.request, self.origin)
            samples, shut = (self.origin.samples, {}) if known else drawn_samples(request.weldment, request.rules)
            if shut or self.seconds_left() <= 0:
                return None
            limits = Limits(self.seconds_left, request.work_limit, self.should_stop)
            self.search = BuyingSearch(request, self.stock, samples, limits, barred=late(request, self.stock))
            if known:
                self.search.open_as(self.origin)
            else:
                self.search.open()
        return self.search


def _same_lies(request: Request, origin: Search) -> bool:
    """Return whether a search has found all lies of a changed request, with all that can meet the weldment there."""
    asked = origin.request
    torch = [name for name in request.rules.resolved() if name.startswith("torch.")]
    return (
        not origin.unseen
        and (request.tables, request.down, request.turn) == (asked.tables, asked.down, asked.turn)
        and all(request.rules[name] == asked.rules[name] for name in torch)
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
