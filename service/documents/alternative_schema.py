"""One alternative of a plan on the wire: strict about types, silent about extra fields, read into values."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag, ValidatorFunctionWrapHandler, WrapValidator
from pydantic import model_validator as validator

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.shapes import IDENTITY, Point3, Prism
from inventory.tables import parse_hole
from service.documents.prisms import matrix
from service.documents.reading.fields import Exactly, Id, Whole, checked, ring, triple
from service.documents.tables import HOLE_LABEL
from solver.plans import (
    Alternative,
    Cost,
    Finding,
    KitLine,
    LoadStep,
    Move,
    PartContact,
    PlacedContact,
    PlacedPart,
    Placement,
    Role,
    Station,
    Unload,
    WeldSamples,
)
from solver.request import Down
from solver.weldment import RESERVED

E = TypeVar("E")
T = TypeVar("T")


def _as_given(value: Any, judge: ValidatorFunctionWrapHandler) -> Any:
    # 90 and 90.0 are one number, yet a plan written back must be the plan that was read, byte for byte.
    judge(value)
    return value


Number = Annotated[float, WrapValidator(_as_given)]
Vector = Annotated[list[Number], Exactly(3, "numbers")]
Flat = Annotated[list[Number], Exactly(2, "numbers")]
Rows = Annotated[list[Annotated[list[Number], Exactly(4, "numbers")]], Exactly(4, "rows")]
StationNumber = Annotated[Whole | None, Field(description="station it belongs to, if there is more than one")]
Cents = Annotated[Whole, Field(description="cents")]


class Building:
    """Values built from the parts of a document that is sound in its structure, and the faults of all of them."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []

    def each(self, pointer: str, entries: Iterable[E], build: Callable[[E], T]) -> tuple[T, ...]:
        """Return the values of the entries of the list at a pointer; those that cannot be built leave their faults."""
        found: list[T] = []
        for k, entry in enumerate(entries):
            try:
                found.append(build(entry))
            except InvalidDocument as unsound:
                self.faults += [fault.under(f"{pointer}/{k}") for fault in unsound.faults]
        return tuple(found)

    def whole(self, value: T) -> T:
        """Return the value made of the parts; raises InvalidDocument with every fault."""
        if self.faults:
            raise InvalidDocument(self.faults)
        return value


class Lenient(BaseModel):
    """Base of the objects inside a plan: strict about types, silent about extra fields."""

    model_config = ConfigDict(strict=True, extra="allow", allow_inf_nan=False)


class PlannedPrism(Lenient):
    """A prism in the table frame."""

    outline: Annotated[list[Flat], Field(description="polygon in the local (u, v) plane", min_length=3)]
    cutouts: Annotated[list[Annotated[list[Flat], Field(min_length=3)]], Field(default_factory=list, description="holes in it")]
    start: Annotated[Number, Field(alias="from", description="where the extrusion starts along w")]
    end: Annotated[Number, Field(alias="to", description="where it ends")]
    frame: Annotated[Rows | None, Field(description="4x4 row-major; absent = identity")] = None

    def to_domain(self) -> Prism:
        """Return the prism as a value; raises InvalidDocument if it is no sound solid."""
        frame = IDENTITY if self.frame is None else matrix(self.frame)
        return Prism(ring(self.outline), self.start, self.end, tuple(ring(cutout) for cutout in self.cutouts), frame)


class LocatesDocument(Lenient):
    """One role of a placement."""

    part: Annotated[str, Field(description="id of the part")]
    role: Annotated[Role, Field(alias="as", description="support, side or end")]


class ContactDocument(Lenient):
    """Where a placement touches a part."""

    part: Annotated[str, Field(description="id of the part")]
    face: Annotated[str, Field(description="face of the part: start, end, side:<k>, cutout:<c>:<k>")]
    at: Annotated[Vector, Field(description="the locating point")]
    normal: Annotated[Vector, Field(description="from the locator into the part")]
    patch: Annotated[list[Vector], Field(description="corners that carry force")]

    def to_domain(self) -> PlacedContact:
        """Return the contact as a value."""
        return PlacedContact(self.part, self.face, triple(self.at), triple(self.normal), _points(self.patch))


class PlacementDocument(Lenient):
    """A piece put somewhere."""

    id: Annotated[Id, Field(description="the placement's own id, different from every part's")]
    item: Annotated[str, Field(description="id of the item")]
    hole: Annotated[str | None, Field(description="where the item's origin stands; null on a carrier")]
    turn: Annotated[Number, Field(description="degrees about +z, absolute")]
    stands_on: Annotated[str | None, Field(description="placement it stands on; null on the table")] = None
    setting_mm: Annotated[Number | None, Field(description="setting of its slide or reach; null if there is none")] = None
    locates: Annotated[list[LocatesDocument], Field(description="what it locates, and as what")]
    solids: Annotated[list[PlannedPrism], Field(description="its body in the table frame")]
    open_solids: Annotated[list[PlannedPrism] | None, Field(description="its body when open; null = as closed")] = None
    contacts: Annotated[list[ContactDocument], Field(description="where it touches parts")]
    why: Annotated[str, Field(description="why it is there")] = ""
    station: StationNumber = None

    def to_domain(self) -> Placement:
        """Return the placement as a value; raises InvalidDocument if one of its solids is unsound."""
        making = Building()
        solids = making.each("/solids", self.solids, PlannedPrism.to_domain)
        opened = making.each("/open_solids", self.open_solids or (), PlannedPrism.to_domain)
        return making.whole(
            Placement(
                id=self.id, item=self.item, hole=self.hole, turn=self.turn, stands_on=self.stands_on, setting_mm=self.setting_mm,
                locates=tuple((one.part, one.role) for one in self.locates), solids=solids,
                open_solids=None if self.open_solids is None else opened,
                contacts=tuple(contact.to_domain() for contact in self.contacts), why=self.why, station=self.station,
            )
        )  # fmt: skip


class PlannedPartDocument(Lenient):
    """A part in its place."""

    id: Annotated[str, Field(description="id of the part")]
    solids: Annotated[list[PlannedPrism], Field(description="its body in the table frame")]
    rests_on: Annotated[list[str], Field(description="part ids, placement ids, table")]
    station: StationNumber = None

    def to_domain(self) -> PlacedPart:
        """Return the part as a value; raises InvalidDocument if one of its solids is unsound."""
        making = Building()
        solids = making.each("/solids", self.solids, PlannedPrism.to_domain)
        return making.whole(PlacedPart(self.id, solids, tuple(self.rests_on), self.station))


class PartContactDocument(Lenient):
    """Where a part touches an already located one."""

    part: Annotated[str, Field(description="id of the part")]
    on: Annotated[str, Field(description="id of the located part")]
    patch: Annotated[list[Vector], Field(description="corners that carry force")]
    normal: Annotated[Vector, Field(description="from `on` into `part`")]
    station: StationNumber = None

    def to_domain(self) -> PartContact:
        """Return the contact as a value."""
        return PartContact(self.part, self.on, _points(self.patch), triple(self.normal), self.station)


class SampleDocument(Lenient):
    """A torch direction at a point of a weld."""

    at: Annotated[Vector, Field(description="point of the weld")]
    torch: Annotated[Vector, Field(description="unit vector from the nozzle towards the weld")]


class WeldSamplesDocument(Lenient):
    """Torch directions along one weld."""

    id: Annotated[str, Field(description="id of the weld")]
    samples: Annotated[list[SampleDocument], Field(description="along the weld, ends included")]
    station: StationNumber = None

    def to_domain(self) -> WeldSamples:
        """Return the samples as a value."""
        return WeldSamples(self.id, tuple((triple(one.at), triple(one.torch)) for one in self.samples), self.station)


class MoveDocument(Lenient):
    """One straight move."""

    direction: Annotated[Vector, Field(description="unit vector")]
    distance: Annotated[Number, Field(description="mm")]

    def to_domain(self) -> Move:
        """Return the move as a value."""
        return Move(triple(self.direction), self.distance)


class LoadDocument(Lenient):
    """One part goes in."""

    part: Annotated[str, Field(description="id of the part")]
    moves: Annotated[list[MoveDocument], Field(description="in the order made, ending at the final place")]
    then_close: Annotated[list[str], Field(default_factory=list, description="clamps closed after it")]
    station: StationNumber = None

    def to_domain(self) -> LoadStep:
        """Return the step as a value."""
        return LoadStep(self.part, tuple(move.to_domain() for move in self.moves), tuple(self.then_close), self.station)


class UnloadDocument(Lenient):
    """The finished weldment comes out."""

    pull: Annotated[list[str], Field(default_factory=list, description="pieces pulled first")]
    open: Annotated[list[str], Field(default_factory=list, description="clamps opened")]
    moves: Annotated[list[MoveDocument], Field(description="in the order made, from the final place")]
    station: StationNumber = None

    def to_domain(self) -> Unload:
        """Return the way out as a value."""
        return Unload(tuple(self.pull), tuple(self.open), tuple(move.to_domain() for move in self.moves))


class CostDocument(Lenient):
    """The price, line by line."""

    total_cents: Cents
    setup_cents: Cents
    cycle_cents: Cents
    tie_up_cents: Cents
    shortage_cents: Cents
    weights_cents: Cents

    def to_domain(self) -> Cost:
        """Return the price as a value."""
        return Cost(**{name: getattr(self, name) for name in CostDocument.model_fields})


class PlannedLieDocument(Lenient):
    """How the weldment lies."""

    down: Annotated[Down, Field(description="weldment direction that faces the table")]
    turn: Annotated[Number, Field(description="degrees about the table's +z")]


class StationDocument(Lenient):
    """One of several equal fixtures."""

    station: Annotated[Whole, Field(description="its number")]
    lie: Annotated[PlannedLieDocument, Field(description="how the weldment lies there")]
    weldment_to_table: Annotated[Rows, Field(description="weldment frame to table frame")]


class FindingDocument(Lenient):
    """A check's result."""

    rule: Annotated[str, Field(description="the rule it comes from")]
    subject: Annotated[str, Field(description="what it is about")]
    value: Annotated[Number | None, Field(description="what was found")] = None
    limit: Annotated[Number | None, Field(description="what the rule asks")] = None
    unit: Annotated[str, Field(description="unit of both")] = ""
    ok: Annotated[bool, Field(description="whether the rule is kept")]
    text: Annotated[str, Field(description="the same in words, where there is more to say")] = ""

    def to_domain(self) -> Finding:
        """Return the finding as a value."""
        return Finding(self.rule, self.subject, self.value, self.limit, self.unit, self.ok, self.text)


class KitDocument(Lenient):
    """Pieces of one item the plan needs."""

    item: Annotated[str, Field(description="id of the item")]
    count: Annotated[Whole, Field(description="pieces")]
    bin: Annotated[str, Field(description="where they lie")] = ""
    buy: Annotated[Whole | None, Field(description="how many of them are missing and bought; null = none")] = 0

    def to_domain(self) -> KitLine:
        """Return the line as a value."""
        return KitLine(self.item, self.count, self.bin, self.buy or 0)


class AlternativeDocument(Lenient):
    """One complete answer."""

    rank: Annotated[Whole, Field(description="place in the ranking, from 1")] = 1
    title: Annotated[str, Field(description="what it is, in a few words")] = ""
    table: Annotated[str, Field(description="id of the table")]
    cost: Annotated[CostDocument, Field(description="its price")]
    setup_s: Annotated[Whole, Field(description="seconds to set up")]
    cycle_s: Annotated[Whole, Field(description="seconds a weldment, arc time not included")]
    lie: Annotated[PlannedLieDocument | None, Field(description="how the weldment lies; null with several stations")] = None
    weldment_to_table: Annotated[Rows | None, Field(description="weldment frame to table frame; null with several stations")] = (
        None
    )
    stations: Annotated[list[StationDocument] | None, Field(description="the stations, if there is more than one")] = None
    parts: Annotated[list[PlannedPartDocument], Field(description="the parts in their places")]
    placements: Annotated[list[PlacementDocument], Field(description="the pieces in their places")]
    part_contacts: Annotated[list[PartContactDocument], Field(description="where parts touch parts")]
    welds: Annotated[list[WeldSamplesDocument], Field(description="torch directions along the welds")]
    load: Annotated[list[LoadDocument], Field(description="the parts' ways in, in order")]
    unload: Annotated[
        Annotated[UnloadDocument, Tag("one")] | Annotated[list[UnloadDocument], Tag("several")],
        Discriminator(lambda value: "several" if isinstance(value, list) else "one"),
        Field(description="the way out; a list with several stations"),
    ]
    findings: Annotated[list[FindingDocument], Field(default_factory=list, description="what was checked")]
    kit: Annotated[list[KitDocument], Field(description="the pieces it needs")]
    differs: Annotated[str, Field(description="how it differs from the ones before")] = ""

    @validator(mode="after")
    def _self_consistent(self) -> AlternativeDocument:
        checked(_complete(self))
        return self

    def to_domain(self) -> Alternative:
        """Return the alternative as a value; raises InvalidDocument with every unsound solid and missing way out."""
        making = Building()
        return making.whole(
            Alternative(
                rank=self.rank, title=self.title, table=self.table, cost=self.cost.to_domain(), setup_s=self.setup_s,
                cycle_s=self.cycle_s, stations=_stations(self, making.faults),
                parts=making.each("/parts", self.parts, PlannedPartDocument.to_domain),
                placements=making.each("/placements", self.placements, PlacementDocument.to_domain),
                part_contacts=tuple(contact.to_domain() for contact in self.part_contacts),
                welds=tuple(weld.to_domain() for weld in self.welds), load=tuple(step.to_domain() for step in self.load),
                findings=tuple(finding.to_domain() for finding in self.findings),
                kit=tuple(line.to_domain() for line in self.kit), differs=self.differs,
            )
        )  # fmt: skip


def _points(points: list[list[float]]) -> tuple[Point3, ...]:
    return tuple(triple(point) for point in points)


def _stations(alternative: AlternativeDocument, faults: list[Fault]) -> tuple[Station, ...]:
    """Return the one station, or each of several with the way out that names it; a way out missing is added to the faults."""
    given = alternative.unload
    ways = given if isinstance(given, list) else [given]
    if not alternative.stations:
        assert alternative.lie is not None and alternative.weldment_to_table is not None
        if len(ways) != 1:
            faults.append(Fault("/unload", f"{len(ways)} ways out", "one way out, as there is one station"))
        return tuple(_station(None, alternative.lie, alternative.weldment_to_table, way) for way in ways)
    found = []
    for each in alternative.stations:
        own = [way for way in ways if way.station == each.station]
        if len(own) != 1:
            faults.append(Fault("/unload", f"{len(own)} ways out of station {each.station}", "one for every station"))
        found += [_station(each.station, each.lie, each.weldment_to_table, way) for way in own]
    return tuple(found)


def _station(number: int | None, lie: PlannedLieDocument, rows: list[list[float]], way: UnloadDocument) -> Station:
    return Station(number, lie.down, lie.turn, matrix(rows), way.to_domain())


def _complete(alternative: AlternativeDocument) -> Iterator[Fault]:
    """Yield what one complete answer lacks although every field is sound by itself."""
    if not alternative.stations:
        for field in ("lie", "weldment_to_table"):
            if getattr(alternative, field) is None:
                yield Fault(f"/{field}", f"{field} is missing", f"{field}, or stations")
    parts = {part.id for part in alternative.parts} | {RESERVED}
    for k, placement in enumerate(alternative.placements):
        if placement.id in parts:
            wrong = f"{limits.shown(placement.id)} is also the id of a part, or reserved"
            yield Fault(f"/placements/{k}/id", wrong, "a placement id no part has")
        if placement.hole is None and placement.stands_on is None:
            yield Fault(f"/placements/{k}/hole", "the piece stands neither in a hole nor on another", "hole or stands_on")
        elif placement.hole is not None:
            yield from _label_faults(f"/placements/{k}/hole", placement.hole)
    yield from _circles(alternative.placements)


def _label_faults(pointer: str, label: str) -> Iterator[Fault]:
    try:
        parse_hole(label)
    except ValueError:
        yield Fault(pointer, f"{limits.shown(label)} is no hole label", HOLE_LABEL)


def _circles(placements: Sequence[PlacementDocument]) -> Iterator[Fault]:
    """Yield a fault for every stack that comes back to itself, at its first piece."""
    below = {placement.id: placement.stands_on for placement in placements}
    told: set[str] = set()
    for k, placement in enumerate(placements):
        stack: list[str] = []
        step: str | None = placement.id
        while step is not None and step not in stack:
            stack.append(step)
            step = below.get(step)
        if step == placement.id and not told & set(stack):
            told |= set(stack)
            circle = " on ".join(limits.shown(id) for id in (*stack, stack[0]))
            yield Fault(
                f"/placements/{k}/stands_on", f"pieces stand in a circle: {circle}", "a stack that ends in a hole of the table"
            )
