"""Sites that are pieces to avoid, and whether each pin may be met by some site, whatever the seat."""

from __future__ import annotations

import numpy as np

from inventory.tables import Table
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidWeldment
from solver.position.asked_pieces.fitting import may_fit, settled
from solver.request import Request


def not_avoided(request: Request, table: Table, laid: LaidWeldment, sites: Sites) -> Sites:
    """Return the sites of one lattice without those that are a piece to avoid on every seat, in any role."""
    avoided = [described for described in request.avoid if settled(described)]
    if not avoided or not len(sites):
        return sites
    out = [any(may_fit(described, candidate, laid, table.id) for described in avoided) for candidate in sites.candidates(0)]
    return sites.where(~np.array(out, dtype=bool))


def pins_may_be_met(request: Request, table: Table, laid: LaidWeldment, sites: Sites) -> bool:
    """Return whether for each pin some site of one lattice may be such a piece."""
    if not request.pins:
        return True
    candidates = sites.candidates(0) if len(sites) else []
    return all(any(may_fit(pin, candidate, laid, table.id) for candidate in candidates) for pin in request.pins)
