"""A fixture as it stands on the table: bodies, pieces, parts, contacts, torch directions, ways in and out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidatorFunctionWrapHandler, WrapValidator

from inventory.errors import Fault, InvalidDocument
from inventory.shapes import IDENTITY, PlaneCut, Point3, Prism
from service.documents.prisms import matrix
from service.documents.reading.fields import Exactly, Id, Whole, ring, triple
from solver.plans import (
    LoadStep,
    Move,
    PartContact,
    PlacedContact,
    PlacedPart,
    Placement,
    Role,
    Unload,
    WeldSamples,
)

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
Mass = Annotated[Number | None, Field(description="what is lifted, kg")]
Heavy = Annotated[bool | None, Field(description="whether that is more than one person lifts")]
StationNumber = Annotated[Whole | None, Field(description="station it belongs to, if there is more than one")]


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


class PlannedCut(Lenient):
    """A plane that takes something off a prism."""

    point: Annotated[Vector, Field(description="a point of the plane, in the prism's own frame (u, v, w)")]
    normal: Annotated[Vector, Field(description="towards what is taken away")]

    def to_domain(self) -> PlaneCut:
        """Return the cut as a value; raises InvalidDocument if its normal is zero."""
        return PlaneCut(triple(self.point), triple(self.normal))


class PlannedPrism(Lenient):
    """A prism in the table frame."""

    outline: Annotated[list[Flat], Field(description="polygon in the local (u, v) plane", min_length=3)]
    cutouts: Annotated[list[Annotated[list[Flat], Field(min_length=3)]], Field(default_factory=list, description="holes in it")]
    start: Annotated[Number, Field(alias="from", description="where the extrusion starts along w")]
    end: Annotated[Number, Field(alias="to", description="where it ends")]
    frame: Annotated[Rows | None, Field(description="4x4 row-major; absent = identity")] = None
    cuts: Annotated[list[PlannedCut], Field(default_factory=list, description="planes that take something off it")]

    def to_domain(self) -> Prism:
        """Return the prism as a value; raises InvalidDocument if it is no sound solid."""
        frame = IDENTITY if self.frame is None else matrix(self.frame)
        making = Building()
        cuts = making.each("/cuts", self.cuts, PlannedCut.to_domain)
        cutouts = tuple(ring(cutout) for cutout in self.cutouts)
        return making.whole(Prism(ring(self.outline), self.start, self.end, cutouts, frame, cuts))


class LocatesDocument(Lenient):
    """One role of a placement."""

    part: Annotated[str, Field(description="id of the part")]
    role: Annotated[Role, Field(alias="as", description="support, side or end")]


class PlacedContactDocument(Lenient):
    """Where a placement touches a part."""

    part: Annotated[str, Field(description="id of the part")]
    face: Annotated[str, Field(description="face of the part: start, end, side:<k>, cut:<k>, cutout:<c>:<k>")]
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
    contacts: Annotated[list[PlacedContactDocument], Field(description="where it touches parts")]
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
    hold_by_hand: Annotated[str | None, Field(description="until when a hand must hold; null = it stays put by itself")] = None
    mass_kg: Mass = None
    heavy: Heavy = None

    def to_domain(self) -> LoadStep:
        """Return the step as a value."""
        moves = tuple(move.to_domain() for move in self.moves)
        return LoadStep(self.part, moves, tuple(self.then_close), self.station, self.hold_by_hand, self.mass_kg, self.heavy)


class UnloadDocument(Lenient):
    """The finished weldment comes out."""

    pull: Annotated[list[str], Field(default_factory=list, description="pieces pulled first")]
    open: Annotated[list[str], Field(default_factory=list, description="clamps opened")]
    moves: Annotated[list[MoveDocument], Field(description="in the order made, from the final place")]
    station: StationNumber = None
    mass_kg: Mass = None
    heavy: Heavy = None

    def to_domain(self) -> Unload:
        """Return the way out as a value."""
        moves = tuple(move.to_domain() for move in self.moves)
        return Unload(tuple(self.pull), tuple(self.open), moves, self.mass_kg, self.heavy)


def _points(points: list[list[float]]) -> tuple[Point3, ...]:
    return tuple(triple(point) for point in points)
