"""The order in which the hands place the pieces: as the plan lists them, but nothing before what it stands on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from solver.plans import Alternative, Placement


def placing_order(alternative: Alternative) -> tuple[Placement, ...]:
    """Return the placements in the order they are placed, station after station; a piece's number is its place here, from 1."""
    by_id = {placement.id: placement for placement in alternative.placements}
    placed: dict[str, Placement] = {}
    for placement in sorted(alternative.placements, key=lambda one: one.station or 0):
        for one in reversed(list(_down_to_the_table(placement, by_id))):
            placed.setdefault(one.id, one)
    return tuple(placed.values())


def numbers(alternative: Alternative) -> Mapping[str, int]:
    """Return each placement's number, from 1, by its id."""
    return {placement.id: number for number, placement in enumerate(placing_order(alternative), 1)}


def _down_to_the_table(placement: Placement, by_id: Mapping[str, Placement]) -> Iterator[Placement]:
    """Yield a piece, what it stands on, and so on down; a circle of pieces, which no sound plan has, ends where it closes."""
    seen: set[str] = set()
    below: Placement | None = placement
    while below is not None and below.id not in seen:
        seen.add(below.id)
        yield below
        below = None if below.stands_on is None else by_id.get(below.stands_on)
