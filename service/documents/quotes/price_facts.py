"""What a quote keeps of a plan: what each alternative costs once and a cycle, what it buys, what is proved, why there is none."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from solver.plans import Cost, Status
from solver.quotes import CycleRate, KitPrice, PlannedQuantity


@dataclass(frozen=True, slots=True)
class BoughtPieces:
    """Pieces of one item that must be bought."""

    item: str
    name: str
    count: int


@dataclass(frozen=True, slots=True)
class QuotedKit:
    """An alternative's price at the quantity it was planned for."""

    rank: int
    cost: Cost
    setup_s: int
    cycle_s: int
    bought: tuple[BoughtPieces, ...] = ()

    @property
    def once_cents(self) -> int:
        """What it costs whatever the quantity, weights included, cents."""
        return self.cost.total_cents - self.cost.cycle_cents

    def at(self, quantity: int, rate: CycleRate) -> Cost:
        """Return the price at another quantity."""
        cycles = rate.priced(quantity * self.cycle_s)
        return Cost(**{**asdict(self.cost), "cycle_cents": cycles, "total_cents": self.once_cents + cycles})


@dataclass(frozen=True, slots=True)
class PriceFacts:
    """What a plan at a quantity says of prices.

    Parameters
    ----------
    plan : str
        What the plan is found by.
    kits : tuple of QuotedKit
        By rank.
    because : tuple of str
        Why there is none.
    repair : QuotedKit or None
        Where there is none: what the cheapest purchase that helps leads to.
    stock_version : int
        The stock it was made with: what is proved with one does not hold of another.
    """

    quantity: int
    plan: str
    status: Status
    bound_cents: int
    kits: tuple[QuotedKit, ...] = ()
    because: tuple[str, ...] = ()
    repair: QuotedKit | None = None
    stock_version: int = 0

    def planned(self, rate: CycleRate) -> PlannedQuantity:
        """Return what it says of all quantities; raises ValueError if a price is no line over quantity."""
        kits = []
        for each in self.kits:
            if each.cost.cycle_cents != rate.priced(self.quantity * each.cycle_s):
                raise ValueError(f"{each.cost.cycle_cents} cents are not the price of {self.quantity} cycles of {each.cycle_s} s")
            kits.append(KitPrice(each.once_cents, each.cycle_s, each.cost.weights_cents, self.plan, each.rank))
        return PlannedQuantity(self.quantity, self.status, self.bound_cents, tuple(kits))


def price_facts(document: Mapping[str, Any], quantity: int, plan: str) -> PriceFacts:
    """Return what a plan document says of prices; `plan` is what the plan is found by."""
    refused = document.get("refused") or {}
    bound = document.get("cost_bound_cents")
    return PriceFacts(
        quantity,
        plan,
        document["status"],
        max(0, math.ceil((bound or 0) - 1e-6)),
        tuple(_kit(each) for each in document["alternatives"]),
        tuple(str(each["text"]) for each in refused.get("because", ())),
        next((_kit(each["plan"]) for each in refused.get("would_help", ()) if each["do"] == "buy"), None),
        document["stock_version"],
    )


def kept_facts(facts: PriceFacts) -> dict[str, Any]:
    """Return facts as plain JSON values."""
    return asdict(facts)


def read_facts(kept: Mapping[str, Any]) -> PriceFacts:
    """Return facts as they were kept."""
    repair = kept["repair"]
    return PriceFacts(
        **{
            **kept,
            "kits": tuple(map(_kept_kit, kept["kits"])),
            "because": tuple(kept["because"]),
            "repair": None if repair is None else _kept_kit(repair),
        }
    )


def _kit(alternative: Mapping[str, Any]) -> QuotedKit:
    bought = (BoughtPieces(line["item"], line.get("name") or "", line["buy"]) for line in alternative["kit"] if line.get("buy"))
    cost = Cost(**{name: alternative["cost"][name] for name in Cost.__dataclass_fields__})
    return QuotedKit(alternative["rank"], cost, alternative["setup_s"], alternative["cycle_s"], tuple(bought))


def _kept_kit(kept: Mapping[str, Any]) -> QuotedKit:
    bought = tuple(BoughtPieces(**each) for each in kept["bought"])
    return QuotedKit(kept["rank"], Cost(**kept["cost"]), kept["setup_s"], kept["cycle_s"], bought)
