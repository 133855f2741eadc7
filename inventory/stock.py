"""Counted stock over a span of time: what is free, as one immutable snapshot with a version."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.items import Item
from inventory.tables import Table


@dataclass(frozen=True, slots=True)
class StockLine:
    """How many pieces of one item there are, how many of them cannot be had, and where they lie."""

    item: str
    count: int
    out_of_service: int = 0
    reserved: int = 0
    bin: str = ""

    @property
    def free(self) -> int:
        """Pieces that may be promised now."""
        return max(0, self.count - self.out_of_service - self.reserved)


@dataclass(frozen=True, slots=True)
class StockSnapshot:
    """Tables, catalogue and counts as one transaction saw them; an item without a line has no pieces."""

    tables: Mapping[str, Table]
    items: Mapping[str, Item]
    lines: Mapping[str, StockLine]
    version: int = 1

    def free(self, item: str) -> int:
        """Return the free pieces of an item, 0 if it is not stocked."""
        line = self.lines.get(item)
        return line.free if line else 0
