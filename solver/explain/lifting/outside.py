"""What a request's own facts shut, lifted: welds made outside the fixture, outer bodies left out, tables as large and strong as
could be wished, pads that need not bear, rings located together.

Whether that is the cause is seen by planning again; what shuts then shuts too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from inventory.limits import LATTICE, SIZE
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.geometry.solids import pieces_of
from solver.plans import Reason
from solver.request import Request
from solver.rule_book import RELAXED
from solver.weldment import Weldment

WELDS = ("torch.open_side", "torch.shut_in", "torch.table")
BODIES = ("clear.table_top",)
TABLES = ("table.size", "table.max_load")
RULES = ("locate.pad_share", "locate.together")
"""Rules that shut pads out before any position is looked at."""
ROOM = 1000.0
"""Room to each side of a weldment on a table without end, mm."""


def lifts(reason: Reason) -> bool:
    """Return whether a reason is lifted by another request or another table."""
    return reason.rule in WELDS + BODIES + TABLES + RULES


def lifted(request: Request, stock: StockSnapshot, reasons: Sequence[Reason]) -> tuple[Request, StockSnapshot]:
    """Return request and stock with the reasons lifted that can be."""
    outside = {reason.subject for reason in reasons if reason.rule in WELDS}
    gone = {reason.subject for reason in reasons if reason.rule in BODIES}
    parts = tuple(part for part in request.weldment.parts if part.id not in gone)
    left = [weld for weld in request.weldment.welds if not gone & set(weld.parts)]
    welds = tuple(replace(weld, in_fixture="none") if weld.id in outside else weld for weld in left)
    tables = dict(stock.tables)
    for reason in reasons:
        if reason.rule == "table.size":
            tables[reason.subject] = _large(tables[reason.subject], request.weldment)
        elif reason.rule == "table.max_load":
            tables[reason.subject] = replace(tables[reason.subject], max_load_kg=None)
    eased = {reason.rule: RELAXED[reason.rule].most for reason in reasons if reason.rule in RULES}
    rules = replace(request.rules, changes={**request.rules.changes, **eased})
    asked = replace(request, weldment=replace(request.weldment, parts=parts, welds=welds), rules=rules, alternatives=1, keep=None)
    return asked, replace(stock, tables=tables)


def _large(table: Table, weldment: Weldment) -> Table:
    """Return a table on which a weldment has room however it lies, all its holes open; as large as tables are, at most."""
    points = np.concatenate([piece for part in weldment.parts for piece in pieces_of(part.drawn)])
    across = float(np.linalg.norm(np.ptp(points, axis=0))) + 2 * ROOM
    count = int(min(math.ceil(across / table.pitch), SIZE.high // table.pitch - 1, LATTICE.high))
    columns, rows = max(count, table.columns), max(count, table.rows)
    size = (table.pitch * (columns + 1), table.pitch * (rows + 1))
    return replace(table, size=size, first=(table.pitch, table.pitch), columns=columns, rows=rows, blocked_holes=frozenset())
