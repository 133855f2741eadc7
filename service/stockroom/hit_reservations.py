"""A write that may leave reservations short: whom it hits, and webhooks told of it in the same transaction."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, TypeVar

from inventory.store import Connection, Note, counts
from inventory.store.hits import Hit, hits
from service.documents.stockroom.hits import hit_document
from service.records.announcements import announce

T = TypeVar("T")
MOST_NAMED = 50
"""Reservations named in one message, those made last first: receivers want small messages."""


def with_hits(
    connection: Connection, items: Sequence[str], act: Callable[[], T], note: Note, today: date
) -> tuple[T, tuple[Hit, ...]]:
    """Do a write on some items' counts; return its answer, and whom their counts now leave short.

    An item of which fewer pieces are in service than before, so that reservations are short of it, is announced as
    ``reservation.hit``: a write that makes things better, or leaves them as bad as they were, is not.
    """
    before = {line.item: line.usable for line in counts.those(connection, items)}
    answer = act()
    found = tuple(hits(connection, items, today))
    for hit in found:
        if hit.reservations and hit.usable < before.get(hit.item, 0):
            announce(connection, "reservation.hit", _told(hit, note), note.at)
    return answer, found


def _told(hit: Hit, note: Note) -> dict[str, Any]:
    """Return what a message says of a hit: the item, how many are short from when on, why, and the reservations."""
    document = hit_document(hit)
    return {
        "item": hit.item,
        "in_service": hit.usable,
        "short": hit.short,
        "from": document["from"],
        "who": note.who,
        "why": note.why,
        "reservations_hit": len(hit.reservations),
        "reservations": document["reservations"][:MOST_NAMED],
    }
