"""Which offers find their holes on a table, wherever the weldment sits on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array
from inventory.tables import Table
from solver.request import Request
from tests.oracle.offers import Hole, Offer

FOOT = 0.01


@dataclass(frozen=True)
class Standing:
    """The pegs of offers (rows: offer, column, row), their feet (n, 4: least and greatest x, y), and the holes that are open."""

    count: int
    pegs: NDArray[np.intp]
    feet: Array
    open: NDArray[np.bool_]
    over: float

    @staticmethod
    def of(offers: Sequence[Offer], table: Table, request: Request) -> Standing:
        """Return the offers' pegs and feet on a table."""
        holes = np.zeros((table.columns, table.rows), bool)
        holes[:] = True
        shut = {*table.blocked_holes, *(hole for name, hole in request.without.holes if name in (None, table.id))}
        for hole in shut:
            if table.has(hole):
                holes[hole] = False
        pegs = [(k, i, j) for k, offer in enumerate(offers) for i, j in sorted(offer.pegs)]
        feet = []
        for offer in offers:
            own = offer.shut[np.abs(offer.shut[:, 2]) < FOOT]
            feet.append([*own[:, :2].min(axis=0), *own[:, 3:5].max(axis=0)] if len(own) else [0.0, 0.0, 0.0, 0.0])
        return Standing(
            len(offers), np.array(pegs, dtype=np.intp).reshape(-1, 3), np.array(feet).reshape(-1, 4), holes,
            request.rules["clear.table_edge"],
        )  # fmt: skip

    def free(self, seat: Hole, slab: Array) -> NDArray[np.bool_]:
        """Return which offers can stand with the first hole at a seat, and the slab as seen from the weldment."""
        found = np.ones(self.count, bool)
        hole = self.pegs[:, 1:] + np.array(seat)
        there = ((hole >= 0) & (hole < self.open.shape)).all(axis=1)
        inside = np.where(there[:, None], hole, 0)
        good = there & self.open[inside[:, 0], inside[:, 1]]
        np.logical_and.at(found, self.pegs[:, 0], good)
        out = np.maximum(slab[:2] - self.feet[:, :2], self.feet[:, 2:] - slab[3:5]).max(axis=1, initial=-np.inf)
        return np.asarray(found & (out <= self.over))
