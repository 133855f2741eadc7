"""Where an alternative of a plan may stand in a week: on its own table and on those like it, as planned or pushed to an edge.

In words: a plan holds for a table. Every table like it, with no hole blocked that is not blocked on the plan's, carries it just
as well; and so does the same table with everything shifted by whole pitches, as long as every peg finds a hole and nothing that
lay over the slab hangs over its edge. Of the shifts those are tried that push the set-up as far as it goes to each side and into
each corner: that is where another one finds room beside it.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from inventory.errors import Fault, InvalidDocument
from inventory.items import Item
from inventory.tables import Hole, Table, parse_hole
from solver.plans import Alternative
from solver.rule_book.book import RuleBook
from solver.week.needed_room import bodies_room, needed_room
from solver.week.room import EVERYWHERE
from solver.week.values import KitChoice, SetUp, WeekJob

Closed = frozenset[tuple[str | None, Hole]]
"""Holes a job may not use, each on one table or (None) on all."""
_NONE_CLOSED: Closed = frozenset()


@dataclass(frozen=True, slots=True)
class WeekShelf:
    """The tables of a week, all tables of the shop, and its items."""

    tables: Sequence[Table]
    all_tables: Mapping[str, Table]
    items: Mapping[str, Item]


def choices_of_plan(
    job: str,
    alternatives: Sequence[Alternative],
    rules: RuleBook,
    shelf: WeekShelf,
    tables: Sequence[str] | None = None,
    closed: Closed = _NONE_CLOSED,
) -> tuple[KitChoice, ...]:
    """Return every way to set a plan's alternatives up on the tables of a week, cheapest alternative first.

    Parameters
    ----------
    job : str
        The job's id. A set-up of several variants ends on another setting than it begins: it stands alone and stays for no other.
    tables : sequence of str, optional
        The tables its request names; without, every table like the plan's will do.
    closed : frozenset of (table or None, hole)
        Holes its request leaves out.

    Raises
    ------
    InvalidDocument
        An item or a table of the plan is not there any more.
    """
    return tuple(
        choice
        for alternative in alternatives
        for table in _tables_for(alternative, shelf, tables, closed)
        for choice in _on_table(job, alternative, rules, shelf, table, closed)
    )


def without_useless(jobs: Sequence[WeekJob]) -> tuple[WeekJob, ...]:
    """Return jobs without the places beside which nothing of another job finds room: those as planned are as good."""
    rooms: dict[str, list[tuple[str, SetUp]]] = {}
    for job in jobs:
        for choice in job.choices:
            rooms.setdefault(choice.set_up.table, []).append((job.id, choice.set_up))

    def useful(job: WeekJob, choice: KitChoice) -> bool:
        own = choice.set_up
        planned = own.columns == own.rows == 0
        return planned or any(id != job.id and own.room.apart(other.room) for id, other in rooms[own.table])

    return tuple(replace(job, choices=tuple(c for c in job.choices if useful(job, c))) for job in jobs)


def _tables_for(alternative: Alternative, shelf: WeekShelf, named: Sequence[str] | None, closed: Closed) -> Iterator[Table]:
    own = shelf.all_tables.get(alternative.table)
    if own is None:
        raise InvalidDocument([Fault("", f"there is no table {alternative.table}", "a plan for a table of the shop")])
    for table in shelf.tables:
        shut_here, shut_there = ({hole for id, hole in closed if id == each.id} for each in (own, table))
        if (named is None or table.id in named) and stands_on(own, table) and shut_there <= shut_here | own.blocked_holes:
            yield table


def stands_on(planned: Table, table: Table) -> bool:
    """Whether what was planned for one table stands on another just as well."""
    alike = replace(planned, id=table.id, blocked_holes=table.blocked_holes, max_load_kg=table.max_load_kg) == table
    bears = table.max_load_kg is None or (planned.max_load_kg is not None and planned.max_load_kg <= table.max_load_kg)
    return alike and bears and table.blocked_holes <= planned.blocked_holes


def _on_table(
    job: str, alternative: Alternative, rules: RuleBook, shelf: WeekShelf, table: Table, closed: Closed
) -> Iterator[KitChoice]:
    cost, room = alternative.cost, EVERYWHERE if alternative.variants else needed_room(alternative, rules)
    counts = {line.item: line.count - line.buy for line in alternative.kit if line.count > line.buy}
    items = [_item(shelf, line.item) for line in alternative.kit]
    a_day = sum(item.day_rate_cents * line.count for item, line in zip(items, alternative.kit, strict=True))
    load = load_kg(alternative, shelf.items)
    for columns, rows in _shifts(alternative, shelf.items, table, closed):
        moved = room.shifted(columns * table.pitch, rows * table.pitch)
        name = _kit(job if alternative.variants else "", alternative, table, columns, rows)
        set_up = SetUp(name, table.id, columns, rows, moved, counts, a_day, load)
        lines = (cost.setup_cents, cost.cycle_cents, cost.shortage_cents, cost.weights_cents)
        yield KitChoice(alternative.rank, set_up, *lines)


def _item(shelf: WeekShelf, id: str) -> Item:
    if id not in shelf.items:
        raise InvalidDocument([Fault("", f"there is no item {id}", "a plan with items of the catalogue")])
    return shelf.items[id]


def load_kg(alternative: Alternative, items: Mapping[str, Item]) -> float | None:
    """Return what hardware and weldments weigh together, kg; None if the plan does not say what its weldment weighs."""
    weldments = [station.unload.mass_kg for station in alternative.stations]
    hardware = sum(items[line.item].mass_kg * line.count for line in alternative.kit)
    return None if None in weldments else hardware + sum(mass for mass in weldments if mass is not None)


def _kit(owner: str, alternative: Alternative, table: Table, columns: int, rows: int) -> str:
    """Return what names the set-up: the same for the same pieces at the same places."""
    names = {piece.id: _place(piece.hole, piece.item) for piece in alternative.placements if piece.hole is not None}
    pieces = sorted(
        [piece.item, piece.hole or _under(alternative, piece.id, names), piece.turn % 360, piece.setting_mm or 0.0]
        for piece in alternative.placements
    )
    return json.dumps([owner, table.id, columns, rows, pieces], separators=(",", ":"))


def _place(hole: str | None, item: str) -> str:
    return f"{item}@{hole}"


def _under(alternative: Alternative, id: str, names: Mapping[str, str]) -> str:
    """Return the stack a piece stands in, from itself down to the hole."""
    below = {piece.id: piece.stands_on for piece in alternative.placements}
    items = {piece.id: piece.item for piece in alternative.placements}
    words: list[str] = []
    at = below[id]
    while at is not None and at not in names and len(words) <= len(below):
        words.append(items[at])
        at = below[at]
    return "/".join([*words, names.get(at or "", "")])


def _shifts(alternative: Alternative, items: Mapping[str, Item], table: Table, closed: Closed) -> Iterator[tuple[int, int]]:
    """Yield shifts in columns and rows: none, and as far as it goes to each side and into each corner."""
    holes = [
        hole
        for piece in alternative.placements
        if piece.hole is not None
        for hole in taken_holes(piece.hole, piece.turn, items[piece.item])
    ]
    shut = set(table.blocked_holes) | {hole for id, hole in closed if id in (None, table.id)}
    bodies = bodies_room(alternative)

    def fits(columns: int, rows: int) -> bool:
        there = bodies.shifted(columns * table.pitch, rows * table.pitch)
        over = (columns and not (bodies.left >= 0 and bodies.right <= table.size[0])) or (
            rows and not (bodies.low >= 0 and bodies.high <= table.size[1])
        )
        inside = (not columns or (there.left >= 0 and there.right <= table.size[0])) and (
            not rows or (there.low >= 0 and there.high <= table.size[1])
        )
        shifted = {(column + columns, row + rows) for column, row in holes}
        return not over and inside and all(table.has(hole) for hole in shifted) and not shifted & shut

    found: dict[tuple[int, int], None] = {(0, 0): None}
    across, along = range(-table.columns, table.columns + 1), range(-table.rows, table.rows + 1)
    for columns in _ends(across, lambda far: fits(far, 0)):
        for rows in _ends(along, lambda far, columns=columns: fits(columns, far)):  # type: ignore[misc]
            found[columns, rows] = None
    yield from (shift for shift in found if fits(*shift))


def _ends(steps: range, fits: Callable[[int], bool]) -> Iterable[int]:
    """Return no step and the outermost ones that fit, each once."""
    able = [step for step in steps if step == 0 or fits(step)]
    return dict.fromkeys((0, able[0], able[-1]))


def taken_holes(hole: str, turn: float, item: Item) -> Iterator[Hole]:
    """Yield the holes a piece takes that stands in one at a turn."""
    column, row = parse_hole(hole)
    cosine, sine = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    for u, v in item.pegs:
        yield column + round(u * cosine - v * sine), row + round(u * sine + v * cosine)
