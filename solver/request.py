"""The question: a weldment, a quantity, dates, and what may be used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from inventory.tables import Hole
from solver.rules import RuleBook
from solver.weldment import Weldment

Down = Literal["-z", "+z", "-x", "+x", "-y", "+y"]


@dataclass(frozen=True, slots=True)
class Without:
    """What may not be used: pieces per item, and holes, each on one table or (table None) on all."""

    items: Mapping[str, int] = field(default_factory=dict)
    holes: frozenset[tuple[str | None, Hole]] = frozenset()


@dataclass(frozen=True, slots=True)
class Request:
    """Everything one planning run depends on, besides the stock snapshot.

    `keep` is an alternative as a plain document (already resolved from an id, if it was one).
    `days` counts calendar days of `needed`, both ends included; one day if absent.
    """

    weldment: Weldment
    quantity: int
    tables: tuple[str, ...]
    needed: tuple[date, date] | None = None
    today: date | None = None
    down: tuple[Down, ...] = ("-z",)
    turn: tuple[float, ...] = (0.0, 90.0, 180.0, 270.0)
    stations: int | Literal["best"] = 1
    set_before: bool = False
    rules: RuleBook = field(default_factory=RuleBook)
    without: Without = field(default_factory=Without)
    shortage: Literal["refuse", "price"] = "refuse"
    keep: Mapping[str, Any] | None = None
    alternatives: int = 5
    time_limit_s: float = 20.0
    work_limit: float | None = None
    seed: int = 1

    @property
    def days(self) -> int:
        """Calendar days the hardware is held."""
        return 1 if self.needed is None else (self.needed[1] - self.needed[0]).days + 1
