"""The question: a weldment, a quantity, dates, and what may be used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal, get_args

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.tables import Hole
from solver.described_pieces import MOST, DescribedPiece
from solver.plans import Alternative
from solver.rule_book.book import RuleBook
from solver.variants import Variant, variant_faults
from solver.weldment import Part, Weldment

Down = Literal["-z", "+z", "-x", "+x", "-y", "+y"]
Shortage = Literal["refuse", "price"]
BEST = "best"
LONGEST_STAY = 3650


@dataclass(frozen=True, slots=True)
class Without:
    """What may not be used: pieces per item, and holes, each on one table or (table None) on all.

    `broken` tells how many of an item's pieces in `items` are broken; the others are missing.
    """

    items: Mapping[str, int] = field(default_factory=dict)
    holes: frozenset[tuple[str | None, Hole]] = frozenset()
    broken: Mapping[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        refuse(self._faults())

    def _faults(self) -> Iterator[Fault]:
        for name, pieces in (("items", self.items), ("broken", self.broken)):
            for item, count in pieces.items():
                yield from limits.PIECES.faults(f"/{name}/{limits.escaped(item)}", count)
        for item, count in self.broken.items():
            if count > self.items.get(item, 0):
                accepted = f"at most the {self.items.get(item, 0)} that `items` leaves out"
                yield Fault(f"/broken/{limits.escaped(item)}", f"{count} pieces", accepted)


@dataclass(frozen=True, slots=True)
class Request:
    """Everything one planning run depends on, besides the stock snapshot.

    `keep` is an alternative that stands already, to change as little of as possible. Every alternative contains a piece such as
    each of `pins` describes, and none such as any of `avoid` does.
    `held` are the reserved pieces that are promised to this very job, by item: they are free for it.
    `days` counts calendar days of `needed`, both ends included; one day if absent. `proved_cents` is what every fixture of the
    request costs at least, moved pieces not counted, as an earlier plan proved; 0 if none did. It is taken as given.
    `variants` run on the same set-up beside `weldment`, one after the other.
    Raises InvalidDocument with every fault, at pointers by the documents' field names.
    """

    weldment: Weldment
    quantity: int
    tables: tuple[str, ...]
    needed: tuple[date, date] | None = None
    today: date | None = None
    down: tuple[Down, ...] = ("-z",)
    turn: tuple[float, ...] = (0.0, 90.0, 180.0, 270.0)
    stations: int | Literal["best"] = 1
    set_before: bool = False
    rules: RuleBook = field(default_factory=RuleBook)
    without: Without = field(default_factory=Without)
    held: Mapping[str, int] = field(default_factory=dict)
    shortage: Shortage = "refuse"
    keep: Alternative | None = None
    pins: tuple[DescribedPiece, ...] = ()
    avoid: tuple[DescribedPiece, ...] = ()
    variants: tuple[Variant, ...] = ()
    alternatives: int = 5
    time_limit_s: float = 20.0
    work_limit: float | None = None
    seed: int = 1
    proved_cents: int = 0

    def __post_init__(self) -> None:
        refuse(_request_faults(self))

    @property
    def days(self) -> int:
        """Calendar days the hardware is held."""
        return 1 if self.needed is None else (self.needed[1] - self.needed[0]).days + 1

    @property
    def sizes(self) -> tuple[Variant, ...]:
        """The variants that are other sizes of the weldment: the same pieces stand in the same holes for all of them."""
        return tuple(variant for variant in self.variants if variant.mirror is None)

    def of_variant(self, variant: Variant) -> Request:
        """Return the request for one variant alone."""
        return replace(
            self, weldment=variant.weldment, quantity=variant.quantity, variants=(), keep=None, pins=(), avoid=(), proved_cents=0
        )


def _request_faults(request: Request) -> Iterator[Fault]:
    yield from limits.QUANTITY.faults("/quantity", request.quantity)
    yield from _table_faults(request.tables)
    yield from _date_faults(request)
    yield from _lie_faults(request.down, request.turn)
    if request.stations != BEST:
        yield from limits.STATIONS.faults("/stations", request.stations)
    if request.stations != 1:
        yield from _one_station_faults(request)
    for item, count in request.held.items():
        yield from limits.HELD.faults(f"/held/{limits.escaped(item)}", count)
    yield from limits.one_of_faults("/shortage", request.shortage, get_args(Shortage))
    yield from _described_faults(request)
    yield from variant_faults(request.weldment, request.variants)
    yield from _together_faults(request)
    yield from limits.ALTERNATIVES.faults("/alternatives", request.alternatives)
    yield from limits.TIME_LIMIT.faults("/time_limit_s", request.time_limit_s)
    if request.work_limit is not None:
        yield from limits.WORK_LIMIT.faults("/work_limit", request.work_limit)
    yield from limits.SEED.faults("/seed", request.seed)
    yield from limits.CENTS.faults("/proved/cents", request.proved_cents)


def _one_station_faults(request: Request) -> Iterator[Fault]:
    """Yield what is only planned for one station: a plan to keep, and pieces at places of the table."""
    if request.keep is not None:
        yield Fault("/keep", f"goes with one station, and stations is {request.stations}", "no plan to keep, or 1 station")
    for name, described in (("pins", request.pins), ("avoid", request.avoid)):
        for k, one in enumerate(described):
            if one.placed:
                wrong = f"names a place on the table, and stations is {request.stations}"
                yield Fault(f"/{name}/{k}", wrong, "what the piece is and what it does, or 1 station")


def _table_faults(tables: tuple[str, ...]) -> Iterator[Fault]:
    if not 1 <= len(tables) <= limits.TABLES:
        yield Fault("/tables", f"{len(tables)} tables", f"1 to {limits.TABLES} table ids")
    for k, table in enumerate(tables):
        yield from limits.id_faults(f"/tables/{k}", table)
    yield from limits.repeated_faults(((f"/tables/{k}", table) for k, table in enumerate(tables)), "table")


def _described_faults(request: Request) -> Iterator[Fault]:
    parts = {part.id: part for part in request.weldment.parts}
    for name, described in (("pins", request.pins), ("avoid", request.avoid)):
        if len(described) > MOST:
            yield Fault(f"/{name}", f"{len(described)} entries", f"at most {MOST}")
        for k, one in enumerate(described):
            yield from (fault.under(f"/{name}/{k}") for fault in unknown_faults(one, parts, request.tables))


def _together_faults(request: Request) -> Iterator[Fault]:
    """Yield what is asked together with variants and not planned together with them."""
    if not request.variants:
        return
    for name in ("pins", "avoid"):
        if getattr(request, name):
            yield Fault(f"/{name}", f"`{name}` is given together with variants", "variants without `pins` and `avoid`")
    if request.keep is not None:
        yield Fault("/keep", "a plan to keep is given together with variants", "variants without `keep`, or `keep` without them")
    if request.stations != 1:
        yield Fault("/stations", "several stations are asked for together with variants", "1 station")


def unknown_faults(described: DescribedPiece, parts: Mapping[str, Part], tables: Sequence[str]) -> Iterator[Fault]:
    """Yield what a described piece names that the request does not have."""
    part, face, table = described.part, described.face, described.table
    if part is not None and part not in parts:
        yield Fault("/part", f"there is no part {limits.shown(part)}", limits.suggestion(part, parts, "the id of a part"))
    elif part is not None and parts[part].body:
        wrong = f"part {limits.shown(part)} is a body: no hardware locates or clamps it"
        yield Fault("/part", wrong, "the id of a part of another section")
    elif face is not None:
        own = [parts[part]] if part is not None else list(parts.values())
        known = list(dict.fromkeys(label for one in own for label in one.face_labels))
        if face not in known:
            whose = f"part {limits.shown(part)}" if part is not None else "no part"
            has = "has no face" if part is not None else "has a face"
            yield Fault("/face", f"{whose} {has} {limits.shown(face)}", limits.suggestion(face, known, "a face"))
    if table is not None and table not in tables:
        yield Fault("/table", f"table {limits.shown(table)} is not one of the request's", "one of " + ", ".join(tables))


def _date_faults(request: Request) -> Iterator[Fault]:
    if request.needed is None:
        return
    start, end = request.needed
    if end < start:
        yield Fault("/needed/to", f"{end} comes before {start}", "a date not before `from`; both ends count")
    elif beyond := [*limits.day_faults("/needed/from", start), *limits.day_faults("/needed/to", end)]:
        yield from beyond
    elif request.days > LONGEST_STAY:
        yield Fault("/needed/to", f"{request.days} days", f"at most {LONGEST_STAY} days")


def _lie_faults(down: tuple[Down, ...], turn: tuple[float, ...]) -> Iterator[Fault]:
    if not down:
        yield Fault("/lie/down", "no side may face the table", "at least one of " + ", ".join(get_args(Down)))
    for k, side in enumerate(down):
        yield from limits.one_of_faults(f"/lie/down/{k}", side, get_args(Down))
    yield from limits.repeated_faults(((f"/lie/down/{k}", side) for k, side in enumerate(down)), "side")
    if not 1 <= len(turn) <= 360:
        yield Fault("/lie/turn", f"{len(turn)} turns", "1 to 360 turns in degrees")
    numbers = [fault for k, angle in enumerate(turn) for fault in limits.TURN.faults(f"/lie/turn/{k}", angle)]
    yield from numbers
    if not numbers:
        yield from limits.repeated_faults(((f"/lie/turn/{k}", float(angle)) for k, angle in enumerate(turn)), "turn")
