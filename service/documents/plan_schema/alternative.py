"""One alternative of a plan: its fixtures on the table, its price, its kit, what was checked."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Annotated

from pydantic import Discriminator, Field, Tag
from pydantic import model_validator as validator

from inventory import limits
from inventory.errors import Fault
from inventory.tables import parse_hole
from service.documents.plan_schema.changes import ChangeDocument
from service.documents.plan_schema.fixture import (
    Building,
    Lenient,
    LoadDocument,
    Number,
    PartContactDocument,
    PlacementDocument,
    PlannedPartDocument,
    Rows,
    UnloadDocument,
    WeldSamplesDocument,
)
from service.documents.plan_schema.lying import FindingDocument, PlannedLieDocument
from service.documents.plan_schema.variants import VariantPlanDocument
from service.documents.prisms import matrix
from service.documents.reading.fields import Whole, checked
from service.documents.tables import HOLE_LABEL
from solver.plans import Alternative, Cost, KitLine, Measures, Station, Trait
from solver.weldment import RESERVED

Cents = Annotated[Whole, Field(description="cents")]


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


class StationDocument(Lenient):
    """One of several equal fixtures."""

    station: Annotated[Whole, Field(description="its number")]
    lie: Annotated[PlannedLieDocument, Field(description="how the weldment lies there")]
    weldment_to_table: Annotated[Rows, Field(description="weldment frame to table frame")]


class KitDocument(Lenient):
    """Pieces of one item the plan needs."""

    item: Annotated[str, Field(description="id of the item")]
    count: Annotated[Whole, Field(description="pieces")]
    bin: Annotated[str, Field(description="where they lie")] = ""
    buy: Annotated[Whole | None, Field(description="how many of them are missing and bought; null = none")] = 0
    name: Annotated[str, Field(description="what the item is called")] = ""

    def to_domain(self) -> KitLine:
        """Return the line as a value."""
        return KitLine(self.item, self.count, self.bin, self.buy or 0, self.name)


class MeasuresDocument(Lenient):
    """What alternatives are compared by beside price and time."""

    pieces: Annotated[Whole, Field(description="pieces on the table")]
    locating_error_mm: Annotated[
        Number, Field(description="largest worst-case error at the toleranced points; without tolerances at the welds' ends")
    ]
    stiffness_n_per_mm: Annotated[Number, Field(description="least stiffness under a pad that locates")]
    scarcity: Annotated[Number, Field(description="sum over the pieces of 1 / free pieces of the item")]

    def to_domain(self) -> Measures:
        """Return them as a value."""
        return Measures(self.pieces, self.locating_error_mm, self.stiffness_n_per_mm, self.scarcity)


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
    differs: Annotated[str, Field(description="how it differs from the cheapest: pieces, money, minutes, accuracy")] = ""
    traits: Annotated[list[Trait], Field(default_factory=list, description="in what it is best of all shown")]
    measures: Annotated[MeasuresDocument | None, Field(description="what it is compared by; null in plans made by hand")] = None
    changes: Annotated[
        list[ChangeDocument] | None, Field(description="a re-plan: from the kept plan to this one, in the order of the hands")
    ] = None
    variants: Annotated[
        list[VariantPlanDocument], Field(default_factory=list, description="the other weldments on the same set-up, in order")
    ]

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
                traits=tuple(self.traits), measures=None if self.measures is None else self.measures.to_domain(),
                changes=None if self.changes is None else tuple(change.to_domain() for change in self.changes),
                variants=making.each("/variants", self.variants, VariantPlanDocument.to_domain),
            )
        )  # fmt: skip


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
    yield from _placement_faults(alternative.placements, parts)
    for k, variant in enumerate(alternative.variants):
        yield from (fault.under(f"/variants/{k}") for fault in _placement_faults(variant.placements, parts))


def _placement_faults(placements: Sequence[PlacementDocument], parts: Collection[str]) -> Iterator[Fault]:
    """Yield placements named like parts, without a place or with a hole that is none, and stacks that run in a circle."""
    for k, placement in enumerate(placements):
        if placement.id in parts:
            wrong = f"{limits.shown(placement.id)} is also the id of a part, or reserved"
            yield Fault(f"/placements/{k}/id", wrong, "a placement id no part has")
        if placement.hole is None and placement.stands_on is None:
            yield Fault(f"/placements/{k}/hole", "the piece stands neither in a hole nor on another", "hole or stands_on")
        elif placement.hole is not None:
            yield from _label_faults(f"/placements/{k}/hole", placement.hole)
    yield from _circles(placements)


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
