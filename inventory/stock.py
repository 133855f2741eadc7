"""Counted stock over a span of time: what is free, as one immutable snapshot with a version."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from inventory import limits
from inventory.errors import Fault, refuse
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

    def __post_init__(self) -> None:
        refuse(_line_faults(self))

    @property
    def free(self) -> int:
        """Pieces that may be promised now."""
        return self.free_for(0)

    def free_for(self, held: int) -> int:
        """Return the pieces that a job may use to which `held` of the reserved ones are promised."""
        return max(0, self.count - self.out_of_service - max(0, self.reserved - held))


@dataclass(frozen=True, slots=True)
class StockSnapshot:
    """Tables, catalogue and counts as one transaction saw them; an item without a line has no pieces.

    Each mapping is keyed by the id its values carry. Raises InvalidDocument with every fault; pointers name the key.
    """

    tables: Mapping[str, Table]
    items: Mapping[str, Item]
    lines: Mapping[str, StockLine]
    version: int = 1

    def __post_init__(self) -> None:
        refuse(_snapshot_faults(self))

    def free(self, item: str, held: int = 0) -> int:
        """Return the free pieces of an item, 0 if it is not stocked; `held` of the reserved ones are promised to who asks."""
        line = self.lines.get(item)
        return line.free_for(held) if line else 0


@dataclass(frozen=True, slots=True)
class StockByDay:
    """Counted stock over a span as one moment saw it, and the pieces of each item that are free on each of its days."""

    whole: StockSnapshot
    free: Mapping[str, tuple[int, ...]]

    @classmethod
    def alike(cls, stock: StockSnapshot, days: int) -> StockByDay:
        """Return stock whose counts hold for every one of so many days."""
        return cls(stock, {item: (stock.free(item),) * days for item in stock.lines})


def _line_faults(line: StockLine) -> Iterator[Fault]:
    yield from limits.id_faults("/item", line.item)
    counts = [
        *limits.PIECES.faults("/count", line.count),
        *limits.PIECES.faults("/out_of_service", line.out_of_service),
        *limits.PIECES.faults("/reserved", line.reserved),
    ]
    yield from counts
    yield from limits.name_faults("/bin", line.bin)
    if not counts and line.out_of_service > line.count:
        yield Fault("/out_of_service", f"{line.out_of_service} of {line.count} pieces", f"at most the count, {line.count}")


def _snapshot_faults(stock: StockSnapshot) -> Iterator[Fault]:
    if len(stock.items) > limits.ITEMS:
        yield Fault("/items", f"{len(stock.items)} items", f"at most {limits.ITEMS} items")
    if len(stock.tables) > limits.TABLES:
        yield Fault("/tables", f"{len(stock.tables)} tables", f"at most {limits.TABLES} tables")
    yield from limits.VERSION.faults("/version", stock.version)
    named = (
        *((f"/tables/{key}", key, table.id) for key, table in stock.tables.items()),
        *((f"/items/{key}", key, item.id) for key, item in stock.items.items()),
        *((f"/stock/{key}", key, line.item) for key, line in stock.lines.items()),
    )
    for pointer, key, id in named:
        if key != id:
            yield Fault(pointer, f"the key {limits.shown(key)} stands for {limits.shown(id)}", "each value under its own id")
    for key in stock.lines:
        if key not in stock.items:
            yield Fault(f"/stock/{key}", f"there is no item {limits.shown(key)}", "an item of the catalogue")
