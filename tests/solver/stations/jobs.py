"""Small jobs for several stations: one bar a station, from a shelf with pieces enough, planned once."""

from __future__ import annotations

from functools import cache
from typing import Any

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from tests import builders as b


def bars(stations: int | str, quantity: int = 40, **more: Any) -> Request:
    """A flat bar in so many stations, lying as drawn."""
    asked = b.weldment(b.bar(length=160, width=50, thickness=10))
    return b.request(asked, quantity=quantity, stations=stations, **{"alternatives": 1, **more})


def shelf(count: int = 30, columns: int = 12, rows: int = 10, **more: Any) -> StockSnapshot:
    """So many stops of two faces and clamps, and a table of so many holes."""
    items = (b.stop(), b.stop("stop-20", face=20), b.down_clamp())
    return b.shelf(*((item, count) for item in items), tables=[b.table(columns=columns, rows=rows, **more)])


def planned(request: Request, stock: StockSnapshot) -> Plan:
    """Plan with time enough."""
    return plan(request, stock, deadline=Deadline(lambda: 600.0))


@cache
def two_bars() -> tuple[Request, StockSnapshot, Plan]:
    """Two stations on one table, and their plan."""
    request, stock = bars(2), shelf()
    return request, stock, planned(request, stock)
