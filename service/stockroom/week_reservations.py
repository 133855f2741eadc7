"""A planned week promised: the pieces of every job over its days, all of them or none."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from inventory.availability import Span
from inventory.errors import Fault, InvalidDocument
from inventory.reservations import HOLDING, Reservation
from inventory.store import Connection, Note, Order, finding
from inventory.store.finding import Wanted
from service.errors import WeekPromised
from service.stockroom import reservations
from service.stockroom.kits import PlannedKit


def promise_week(
    connection: Connection,
    name: str,
    week: Mapping[str, Any],
    find_kit: Callable[[str], PlannedKit | None],
    note: Note,
    today: date,
) -> list[Reservation]:
    """Promise the pieces of all jobs of a ``holdwright.week-plan/1`` document, in the transaction of the connection.

    Parameters
    ----------
    name : str
        What reservations call the week, beside the job.
    find_kit : callable
        The kept plan of an id, which is kept with its reservation.

    Raises
    ------
    Shortage
        With every short line of the first job that does not find its pieces; nothing is promised then.
    WeekPromised
        Some of it is promised already.
    InvalidDocument
        No job of it takes a piece from the shelf, or an item is gone.
    """
    orders = [order for entry in week["assignments"] if (order := _order(name, entry, find_kit)) is not None]
    if not orders:
        raise InvalidDocument([Fault("", "no job of this week takes a piece from the shelf", "a week that does")])
    there = [
        each.id
        for order in orders
        for each in finding.find(connection, Wanted(HOLDING, None, order.job, None, None), limit=10)
        if each.job == order.job
    ]
    if there:
        raise WeekPromised(name, there)
    return [
        reservations.promise(connection, order, None if order.plan is None else find_kit(order.plan), note, today)
        for order in orders
    ]


def _order(name: str, entry: Mapping[str, Any], find_kit: Callable[[str], PlannedKit | None]) -> Order | None:
    """Return what a job takes from the shelf; None if it buys all its pieces."""
    pieces: dict[str, int] = {}
    for line in entry["kit"]:
        if line["count"] > line["buy"]:
            pieces[line["item"]] = pieces.get(line["item"], 0) + line["count"] - line["buy"]
    if not pieces:
        return None
    span = Span(date.fromisoformat(entry["held"]["from"]), date.fromisoformat(entry["held"]["to"]))
    kept = None if entry["plan"] is None else find_kit(entry["plan"])
    rank = None if kept is None else entry["rank"]
    return Order(f"{entry['job']}, {name}", span, pieces, None, None if kept is None else kept.id, rank)
