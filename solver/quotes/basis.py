"""What all prices of one request go by, whatever the quantity."""

from __future__ import annotations

from dataclasses import dataclass

from solver.quotes.envelope import Envelope
from solver.quotes.floor import Floor
from solver.quotes.kit_price import CycleRate
from solver.quotes.other_ways import OtherWays
from solver.quotes.planned_quantity import PlannedQuantity
from solver.request import Request


@dataclass(frozen=True, slots=True)
class PriceBasis:
    """The rate of a request's cycles, what every fixture of it costs, and what the other ways cost."""

    rate: CycleRate
    floor: Floor
    other_ways: OtherWays

    @classmethod
    def of(cls, request: Request) -> PriceBasis:
        """Return the basis of a request; its quantity does not matter."""
        return cls(CycleRate.of(request.rules), Floor.of(request), OtherWays.of(request))

    def known(self, planned: tuple[PlannedQuantity, ...]) -> Envelope:
        """Return what plans at some quantities say of all of them."""
        return Envelope(planned, self.rate, self.floor)
