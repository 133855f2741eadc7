"""The prices of one request at every quantity that is wanted, as far as its plans say them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from service.documents.quotes.price_facts import PriceFacts, QuotedKit
from solver.plans import Status
from solver.quotes import BreakEven, Envelope, KitPrice, PriceBasis, WantedPrices, break_even, complete, next_quantities
from solver.quotes.next_plans import MOST_PLANS


@dataclass(frozen=True)
class GroupPrices:
    """What is known of a request's prices.

    Parameters
    ----------
    basis : PriceBasis
    quantities : tuple of int
        Those that are wanted.
    facts : tuple of PriceFacts
        Of its plans, each of another quantity.
    compares : bool
        Whether break-evens are wanted.
    at_once : bool
        Whether one plan is all there is time for.
    """

    basis: PriceBasis
    quantities: tuple[int, ...]
    facts: tuple[PriceFacts, ...]
    compares: bool = True
    at_once: bool = False

    @cached_property
    def known(self) -> Envelope:
        """What the plans say of all quantities."""
        return self.basis.known(tuple(each.planned(self.basis.rate) for each in self.facts))

    def next_quantities(self) -> tuple[int, ...]:
        """Return the quantities to plan next, none if all is known that will be."""
        ways = self.basis.other_ways if self.compares and not self.at_once else None
        return next_quantities(WantedPrices(self.quantities, ways, 1 if self.at_once else MOST_PLANS), self.known)

    @property
    def refusal(self) -> PriceFacts | None:
        """The plan that says that there is no fixture, at whatever quantity; None if none does."""
        return next((each for each in self.facts if each.status == "infeasible"), None)

    def status(self, quantity: int) -> Status:
        """Return how far the price at a quantity is proved."""
        if self.known.pieces:
            return "optimal" if self.known.proved(quantity) else "feasible"
        return "infeasible" if self.refusal else "unknown"

    def kit(self, quantity: int) -> tuple[QuotedKit, PriceFacts] | None:
        """Return the cheapest known kit at a quantity and the plan it comes from, the nearest one; None if none is known."""
        found = self.known.kit(quantity)
        return None if found is None else self.source(found, quantity)

    def source(self, price: KitPrice, quantity: int) -> tuple[QuotedKit, PriceFacts]:
        """Return an alternative that has this price, of the plan whose quantity is nearest."""
        same = (
            (abs(facts.quantity - quantity), facts.quantity, kit.rank, kit, facts)
            for facts in self.facts
            for kit in facts.kits
            if (kit.once_cents, kit.cycle_s, kit.cost.weights_cents) == (price.fixed_cents, price.cycle_s, price.weights_cents)
        )
        *_, kit, facts = min(same, key=lambda each: each[:3])
        return kit, facts

    @cached_property
    def break_even(self) -> BreakEven | None:
        """Where the other ways cross; None if that is not wanted, or no kit is known."""
        return break_even(self.known, self.basis.other_ways) if self.compares and self.known.pieces else None

    @cached_property
    def complete(self) -> bool:
        """Whether the cheapest kit is proved wherever that decides a break-even."""
        found = self.break_even
        return found is not None and complete(self.known) and all(self.known.proved(each) for each in found.beside)
