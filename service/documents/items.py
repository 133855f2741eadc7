"""The item document: a catalogue entry of hardware."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Discriminator, Field, Tag

from inventory import limits
from inventory.items import Carries, Clamp, Contact, Item, Kind, Slide, Solid
from inventory.shapes import Prism
from service.documents.given import BeamDocument, PegFitDocument
from service.documents.prisms import PrismDocument, prism_document
from service.documents.reading.fields import (
    Coordinate,
    Direction3,
    Exactly,
    Id,
    Length,
    LevelOrAny,
    Measured,
    Name,
    Peg,
    Point3,
    Size,
    Turn,
    UpTo,
    ValueDocument,
    Whole,
    Within,
    level_or_any,
    triple,
    word_or_list,
)
from service.documents.reading.reading import Reading
from solver.accuracy import source_error_mm
from solver.standards.stiffness import series_n_per_mm

FORMAT = "holdwright.item/1"
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "id": "adj-25", "kind": "adjustable_stop", "name": "Adjustable stop, 25 mm in half millimetres",
    "pegs": [[0, 0]], "turns": [0, 90, 180, 270],
    "solids": [
        {"outline": [[-15, -15], [15, -15], [15, 12], [-15, 12]], "from": 0, "to": 60},
        {"outline": [[-14, 0], [14, 0], [14, 20], [-14, 20]], "from": 12, "to": 60, "moves": True},
    ],
    "contacts": [{"at": [0, 20, 36], "normal": [0, 1, 0], "width": 28, "height": 46, "moves": True}],
    "slide": {"axis": [0, 1], "range": [0, 25], "step": 0.5},
    "repeatability_mm": 0.06, "stiffness_n_per_mm": 18000, "mass_kg": 1.4, "place_s": 28, "set_s": 40,
    "day_rate_cents": 46, "price_cents": 8200, "lead_days": 5,
}  # fmt: skip


class SolidDocument(PrismDocument):
    """One prism of a piece's body, in the item's frame."""

    moves: Annotated[bool, Field(description="whether it shifts with the setting")] = False

    def to_solid(self) -> Solid:
        """Return the solid as a value."""
        return Solid(self.to_domain(), self.moves)


class ContactDocument(ValueDocument[Contact]):
    """A rectangular pad that meets a part."""

    at: Annotated[Point3, Field(description="centre of the pad")]
    normal: Annotated[Direction3, Field(description="from the locator into the part")]
    width: Annotated[Size, Field(description="extent along z x normal (local x if the normal is vertical)")]
    height: Annotated[Size, Field(description="extent along normal x width")]
    moves: Annotated[bool, Field(description="whether it shifts with the setting")] = False

    def _built(self) -> Contact:
        return Contact(triple(self.at), triple(self.normal), self.width, self.height, self.moves)


class SlideDocument(ValueDocument[Slide]):
    """How far the moving solids and contacts shift."""

    axis: Annotated[LevelOrAny, Field(description="direction of the shift, item frame; two numbers: a level one")]
    range: Annotated[list[Coordinate], Exactly(2, "numbers"), Field(description="least and greatest setting")]
    step: Annotated[float, Length(limits.LENGTH), Field(description="increment, counted from range[0]; 0 = continuous")] = 0.0

    def _built(self) -> Slide:
        return Slide(level_or_any(self.axis), self.range[0], self.range[1], self.step)


class CarriesDocument(ValueDocument[Carries]):
    """What may stand on top, and where."""

    height: Annotated[Size, Field(description="height of the carrying plane above the mounting plane")]
    pegs: Annotated[list[Peg], UpTo(limits.PARTS_OF_AN_ITEM, 1), Field(description="places offered, in lattice steps")]

    def _built(self) -> Carries:
        return Carries(self.height, pegs(self.pegs))


class ClampDocument(ValueDocument[Clamp]):
    """How the piece clamps."""

    force_n: Annotated[float, Within(limits.FORCE_N), Field(description="rated force, anywhere on the reach, N")]
    direction: Annotated[Direction3, Field(description="the way the tip pushes")]
    reach: Annotated[
        list[Point3],
        Exactly(2, "points"),
        Field(description="ends of the straight segment of tip positions; equal = a fixed tip"),
    ]
    close_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to close")]
    open_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to open")]
    open_solids: Annotated[
        Annotated[list[PrismDocument], UpTo(limits.PARTS_OF_AN_ITEM, 1)] | None,
        Field(description="the whole piece when open; absent = as closed"),
    ] = None

    def _built(self) -> Clamp:
        opened: tuple[Prism, ...] | None = None
        if self.open_solids is not None:
            opened = tuple(solid.to_domain() for solid in self.open_solids)
        reach = (triple(self.reach[0]), triple(self.reach[1]))
        return Clamp(self.force_n, triple(self.direction), reach, self.close_s, self.open_s, opened)


class ItemDocument(Measured, ValueDocument[Item]):
    """A catalogue entry of hardware; local origin on the mounting plane."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.item/1"], Field(description=f'"{FORMAT}"')]
    id: Annotated[Id, Field(description="the item's own id, 1 to 64 characters")]
    kind: Annotated[Kind, Field(description="what sort of hardware it is")]
    name: Annotated[Name, Field(description="what people call it, up to 200 characters")] = ""
    pegs: Annotated[
        list[Peg],
        UpTo(limits.PARTS_OF_AN_ITEM, 1),
        Field(description="pegs in lattice steps from the local origin, each with a hole of its own"),
    ]
    turns: Annotated[
        Annotated[list[Turn], UpTo(360, 1), Tag("list")] | Annotated[Literal["any"], Tag("word")],
        Discriminator(word_or_list),
        Field(description='degrees counter-clockwise about +z, 0 to less than 360, or "any" for one round peg'),
    ]
    solids: Annotated[
        list[SolidDocument],
        UpTo(limits.PARTS_OF_AN_ITEM, 1),
        Field(description="the piece's body, at z >= 0; pegs are not drawn"),
    ]
    contacts: Annotated[
        list[ContactDocument],
        UpTo(limits.PARTS_OF_AN_ITEM),
        Field(default_factory=list, description="pads that meet a part; a clamp's first is its pad"),
    ]
    slide: Annotated[SlideDocument | None, Field(description="how the moving solids and contacts shift")] = None
    carries: Annotated[CarriesDocument | None, Field(description="what may stand on top, and where")] = None
    clamp: Annotated[ClampDocument | None, Field(description="how it clamps; on down_clamp and side_clamp only")] = None
    beam: Annotated[
        BeamDocument | None,
        Field(description="what of it bends, in series with its stiffness: the piece's stiffness as read includes it"),
    ] = None
    peg_fit: Annotated[
        PegFitDocument | None,
        Field(description="how its pegs fit: their play is added to its repeatability as read"),
    ] = None
    removable: Annotated[bool, Field(description="whether it may be pulled and put back each cycle")] = False
    pull_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to pull it and put it back")] = 0.0
    repeatability_mm: Annotated[float, Within(limits.REPEATABILITY), Field(description="how well it comes back to its place, mm")]
    stiffness_n_per_mm: Annotated[float, Within(limits.STIFFNESS), Field(description="stiffness at its contact, N/mm")]
    mass_kg: Annotated[float, Within(limits.MASS_KG), Field(description="mass, kg")]
    place_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to place it")]
    set_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to set and check its setting")] = 0.0
    day_rate_cents: Annotated[Whole, Within(limits.CENTS), Field(description="what a day of one piece costs, cents")]
    price_cents: Annotated[Whole, Within(limits.CENTS), Field(description="what one more piece costs, cents")]
    lead_days: Annotated[Whole, Within(limits.DAYS), Field(description="days until a bought piece is there")]

    def _built(self) -> Item:
        return Item(
            id=self.id,
            kind=self.kind,
            name=self.name,
            pegs=pegs(self.pegs),
            turns="any" if isinstance(self.turns, str) else tuple(self.turns),
            solids=tuple(solid.to_solid() for solid in self.solids),
            contacts=tuple(contact.to_domain() for contact in self.contacts),
            slide=None if self.slide is None else self.slide.to_domain(),
            carries=None if self.carries is None else self.carries.to_domain(),
            clamp=None if self.clamp is None else self.clamp.to_domain(),
            **{field: getattr(self, field) for field in FIGURES} | self._given(),
        )

    def _given(self) -> dict[str, float]:
        """Return the stiffness with the beam in series, and the repeatability with the play of the pegs."""
        bends = [] if self.beam is None else [self.beam.stiffness_n_per_mm]
        return {
            "stiffness_n_per_mm": series_n_per_mm([self.stiffness_n_per_mm, *bends]),
            "repeatability_mm": source_error_mm(
                [self.repeatability_mm], play_mm=0.0 if self.peg_fit is None else self.peg_fit.play_mm
            ),
        }


FIGURES = (
    "removable", "pull_s", "repeatability_mm", "stiffness_n_per_mm", "mass_kg", "place_s", "set_s", "day_rate_cents",
    "price_cents", "lead_days",
)  # fmt: skip


def pegs(entries: list[list[int]]) -> tuple[tuple[int, int], ...]:
    """Return pegs as the values carry them."""
    return tuple((peg[0], peg[1]) for peg in entries)


def read_item(raw: bytes | str | dict[str, Any]) -> Item:
    """Read an item document; raises InvalidDocument with every fault."""
    reading = Reading(raw, ItemDocument)
    reading.finish()
    assert reading.document is not None
    return reading.document.to_domain()


def item_document(item: Item) -> dict[str, Any]:
    """Return an item as the document it is read from, in mm."""
    document: dict[str, Any] = {
        "format": FORMAT, "id": item.id, "kind": item.kind, "name": item.name, "pegs": [list(peg) for peg in item.pegs],
        "turns": item.turns if isinstance(item.turns, str) else list(item.turns),
        "solids": [{**prism_document(solid.prism), "moves": solid.moves} for solid in item.solids],
        "contacts": [
            {"at": list(c.at), "normal": list(c.normal), "width": c.width, "height": c.height, "moves": c.moves}
            for c in item.contacts
        ],
        "slide": None, "carries": None, "clamp": None,
    }  # fmt: skip
    if item.slide is not None:
        document["slide"] = {"axis": list(item.slide.axis), "range": [item.slide.low, item.slide.high], "step": item.slide.step}
    if item.carries is not None:
        document["carries"] = {"height": item.carries.height, "pegs": [list(peg) for peg in item.carries.pegs]}
    if item.clamp is not None:
        document["clamp"] = _clamp_document(item.clamp)
    return document | {field: getattr(item, field) for field in FIGURES}


def _clamp_document(clamp: Clamp) -> dict[str, Any]:
    opened = clamp.open_solids
    return {
        "force_n": clamp.force_n, "direction": list(clamp.direction), "reach": [list(point) for point in clamp.reach],
        "close_s": clamp.close_s, "open_s": clamp.open_s,
        "open_solids": None if opened is None else [prism_document(prism) for prism in opened],
    }  # fmt: skip
