"""Reservations nobody came for are let go of whenever somebody asks what is free."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import TypeVar

from inventory.availability import Shortage
from inventory.store import Note, Store

T = TypeVar("T")
SWEEPER = "holdwright"


def let_go(store: Store, now: datetime, today: date) -> bool:
    """Let go of forgotten reservations; return whether there were any. Writes nothing if there are none."""
    return bool(store.expire(Note(SWEEPER, now, "nobody came"), today))


def after_a_sweep(store: Store, now: datetime, today: date, act: Callable[[], T]) -> T:
    """Act; if pieces are short, let go of forgotten reservations, and if there were any, act again."""
    try:
        return act()
    except Shortage:
        if not let_go(store, now, today):
            raise
    return act()
