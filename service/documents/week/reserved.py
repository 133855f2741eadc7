"""A planned week that is to be promised, and its reservations, on the wire."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.reservations import Reservation
from service.documents.answers.answer import Answer
from service.documents.stockroom.body import SignedBody
from service.documents.stockroom.reservations import ReservationDocument, reservation_document


class ReserveWeekBody(SignedBody):
    """Who promises the pieces of a planned week, and why."""


class ReservedWeekDocument(Answer):
    """The reservations of a planned week, one a job."""

    reservations: list[ReservationDocument]


def reserved_week_document(made: Sequence[Reservation]) -> dict[str, Any]:
    """Return the reservations of a week."""
    return {"reservations": [reservation_document(each) for each in made]}
