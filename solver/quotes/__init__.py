"""Prices over quantity: the cheapest kit at every quantity, from few plans and the price's own arithmetic.

The total of one kit is a line over quantity: what it costs once, and its cycles. The cheapest kit at each quantity is the lower
envelope of all kits' lines. A plan at one quantity gives a kit, which bounds the envelope from above everywhere, and a proved
bound, which bounds it from below everywhere. Where the two meet, a quantity is priced without a plan of its own.
"""

from solver.quotes.basis import PriceBasis
from solver.quotes.break_even import BreakEven, break_even
from solver.quotes.envelope import Envelope, Piece
from solver.quotes.floor import Floor
from solver.quotes.kit_price import CycleRate, KitPrice
from solver.quotes.next_plans import WantedPrices, complete, next_quantities
from solver.quotes.other_ways import OtherWays
from solver.quotes.planned_quantity import PlannedQuantity, planned_quantity

__all__ = [
    "BreakEven",
    "CycleRate",
    "Envelope",
    "Floor",
    "KitPrice",
    "OtherWays",
    "Piece",
    "PriceBasis",
    "PlannedQuantity",
    "WantedPrices",
    "break_even",
    "complete",
    "next_quantities",
    "planned_quantity",
]
