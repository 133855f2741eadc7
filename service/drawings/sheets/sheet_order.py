"""A sheet that is asked for: all it is drawn from, and nothing else, so that equal orders give equal bytes."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any, Protocol

from inventory.stock import StockLine, StockSnapshot
from service.documents import read_request, stock_document
from service.documents.plan_document import read_alternative
from service.drawings.sheets.wanted_format import format_named
from service.drawings.subject import Identity, Paper, Subject
from service.errors import StockChanged
from service.release import release


class DrawingOrder(Protocol):
    """Anything that can be drawn from what it carries alone, in whichever process."""

    def content(self) -> bytes:
        """Draw it."""
        ...


@dataclass(frozen=True, slots=True)
class SheetOrder:
    """One alternative to be drawn in a format.

    Parameters
    ----------
    alternative, request : str
        Their documents, JSON text.
    stock : StockSnapshot
        What of the shelf is drawn: the alternative's table, its items, their bins.
    format : str
        The format's name.
    """

    alternative: str
    request: str
    stock: StockSnapshot
    format: str
    identity: Identity
    currency: str
    paper: Paper

    @property
    def key(self) -> str:
        """What the sheet's bytes depend on, this release included, as 64 hexadecimal digits (SHA-256)."""
        identity = {**asdict(self.identity), "made_on": str(self.identity.made_on)}
        drawn = [self.alternative, self.request, stock_document(self.stock), self.format, identity, self.currency, self.paper]
        return hashlib.sha256(json.dumps([*drawn, release()]).encode()).hexdigest()

    def content(self) -> bytes:
        """Draw the sheet."""
        return format_named(self.format).content(self.subject())

    def subject(self) -> Subject:
        """Return what is drawn, read from its documents."""
        request, _ = read_request(json.loads(self.request))
        alternative = read_alternative(json.loads(self.alternative))
        return Subject(alternative, request, self.stock, self.identity, self.currency, self.paper)


def drawn_stock(alternative: Mapping[str, Any], stock: StockSnapshot) -> StockSnapshot:
    """Return what of the shelf a drawing shows: an alternative's table, its items, their bins; no counts, which change daily.

    Parameters
    ----------
    alternative : dict
        The alternative's document.

    Raises
    ------
    StockChanged
        It stands on a table, or has an item, that the stock does not have.
    """
    table = alternative["table"]
    items = sorted({one["item"] for one in (*alternative["placements"], *alternative["kit"])})
    gone = [*([f"table {table}"] if table not in stock.tables else []), *(f"item {id}" for id in items if id not in stock.items)]
    if gone:
        raise StockChanged(gone)
    bins = {id: StockLine(id, 0, bin=stock.lines[id].bin) for id in items if id in stock.lines}
    known = {id: stock.items[id] for id in items}
    return replace(stock, tables={table: stock.tables[table]}, items=known, lines=bins, version=1)


def draw(order: DrawingOrder) -> bytes:
    """Draw what is ordered, in this process."""
    return order.content()
