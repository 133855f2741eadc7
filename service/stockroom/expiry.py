"""Reservations not collected in time expire whenever somebody asks what is free."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import TypeVar

from inventory.availability import Shortage
from inventory.store import Note, Store

T = TypeVar("T")
SIGNED_BY = "holdwright"


def expire_overdue(store: Store, now: datetime, today: date) -> bool:
    """Let overdue reservations expire; return whether there were any. Writes nothing if there are none."""
    return bool(store.expire(Note(SIGNED_BY, now, "not collected in time"), today))


def with_overdue_expired(store: Store, now: datetime, today: date, act: Callable[[], T]) -> T:
    """Act; if pieces are short, let overdue reservations expire, and if there were any, act again."""
    try:
        return act()
    except Shortage:
        if not expire_overdue(store, now, today):
            raise
    return act()
