"""Reservations that were made for the kits of a plan."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.reservations import Reservation
from inventory.store import Store
from inventory.store.finding import Wanted
from service.stockroom.reservations import find

_MOST = 20


def promised_for(store: Store | None, plan: str) -> Sequence[Reservation]:
    """Return the reservations of a plan's kits, by number; none where the server keeps no store."""
    return () if store is None else find(store, Wanted(plan=plan), 0, _MOST)
