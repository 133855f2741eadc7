"""The marks, `holdwright.marks/1`: what a shop says of a piece of its own hardware that a CAD file does not tell.

Points and directions are in the frame of the CAD file, so that they can be read off the screen; `origin`, `up` and `along` say
where the item's own frame lies in it.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Discriminator, Field, Tag

from inventory import limits
from inventory.items import Kind
from service.documents.given import BeamDocument, PegFitDocument
from service.documents.items import CarriesDocument
from service.documents.reading.fields import (
    Direction3,
    Document,
    Exactly,
    Id,
    Length,
    Measured,
    Name,
    Peg,
    Point3,
    Size,
    Turn,
    UpTo,
    Whole,
    Within,
    word_or_list,
)
from service.documents.reading.reading import Reading
from solver.weldment import Material

FORMAT = "holdwright.marks/1"
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "id": "own-stop-40", "kind": "adjustable_stop", "name": "Our stop with a slide, 40 high",
    "origin": [0, 0, 0], "up": [0, 0, 1], "along": [1, 0, 0], "pitch": 40, "pegs": [[0, 0]], "turns": [0, 90, 180, 270],
    "left_out": ["stop/peg"], "moves": ["stop/slider"], "pads": [{"solid": "stop/slider", "normal": [0, 1, 0]}],
    "slide": {"axis": [0, 1, 0], "range": [0, 25], "step": 0.5},
    "repeatability_mm": 0.05, "stiffness_n_per_mm": 18000, "place_s": 30, "set_s": 40, "day_rate_cents": 40,
    "price_cents": 6500, "lead_days": 5,
}  # fmt: skip
SolidName = Annotated[Name, Field(description="a solid of the file by its name, the end of its name, or its number")]
Solids = Annotated[list[SolidName], UpTo(limits.PARTS_OF_AN_ITEM)]


class MarkedPadDocument(Document):
    """A pad: a flat face of a solid by the way it looks, or a place in space."""

    normal: Annotated[Direction3, Field(description="from the locator into the part; the face that looks so is the pad")]
    solid: Annotated[
        Name | None, Field(description="the solid whose face it is, as `moves` names it; absent: `at` says where it lies")
    ] = None
    at: Annotated[
        Point3 | None,
        Field(description="the pad's centre; with a solid and no width and height only which of its faces is meant"),
    ] = None
    width: Annotated[Size | None, Field(description="extent along z x normal of the item's frame; absent: as the face")] = None
    height: Annotated[Size | None, Field(description="extent along normal x width; absent: as the face")] = None
    moves: Annotated[bool | None, Field(description="whether it shifts with the setting; absent: as its solid does")] = None


class MarkedSlideDocument(Document):
    """How far what moves shifts."""

    axis: Annotated[Direction3, Field(description="direction of the shift, in the file's frame")]
    range: Annotated[
        list[Annotated[float, Length(limits.COORDINATE)]],
        Exactly(2, "numbers"),
        Field(description="least and greatest setting; the file shows the setting 0"),
    ]
    step: Annotated[float, Length(limits.LENGTH), Field(description="increment, counted from range[0]; 0 = continuous")] = 0.0


class MarkedClampDocument(Document):
    """How the piece clamps; the first pad is its tip."""

    force_n: Annotated[float, Within(limits.FORCE_N), Field(description="rated force, anywhere on the reach, N")]
    reach: Annotated[
        list[Point3],
        Exactly(2, "points"),
        Field(description="the tip as drawn, and where it ends when it is run out all the way"),
    ]
    direction: Annotated[Direction3 | None, Field(description="the way the tip pushes; absent: as the first pad looks")] = None
    close_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to close")]
    open_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to open")]
    open: Annotated[
        Solids | None,
        Field(description="solids of the file that are the whole piece when open; they are no part of the closed one"),
    ] = None


class MarksDocument(Measured):
    """What a CAD file of a piece of hardware does not tell."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.marks/1"], Field(description=f'"{FORMAT}"')]
    id: Annotated[Id, Field(description="the item's own id, 1 to 64 characters")]
    kind: Annotated[Kind, Field(description="what sort of hardware it is")]
    name: Annotated[Name, Field(description="what people call it; absent: its id")] = ""
    origin: Annotated[
        Point3,
        Field(
            default_factory=lambda: [0.0, 0.0, 0.0], description="the middle of the origin peg on the mounting plane, in the file"
        ),
    ]
    up: Annotated[
        Direction3, Field(default_factory=lambda: [0.0, 0.0, 1.0], description="away from the table: the item's z, in the file")
    ]
    along: Annotated[
        Direction3,
        Field(default_factory=lambda: [1.0, 0.0, 0.0], description="the item's x, in the file; it is made square to up"),
    ]
    pitch: Annotated[
        Size | None, Field(description="of the lattice, to look whether the pegs are under the piece; absent: not looked at")
    ] = None
    pegs: Annotated[
        list[Peg], UpTo(limits.PARTS_OF_AN_ITEM, 1), Field(description="pegs in lattice steps from the origin peg, along x and y")
    ]
    turns: Annotated[
        Annotated[list[Turn], UpTo(360, 1), Tag("list")] | Annotated[Literal["any"], Tag("word")],
        Discriminator(word_or_list),
        Field(description='degrees counter-clockwise about up, or "any" for one round peg'),
    ]
    left_out: Annotated[
        Solids,
        Field(default_factory=list, description="solids that are no part of the piece, its pegs above all: pegs are not drawn"),
    ]
    cut_below: Annotated[
        bool, Field(description="whether what solids have below the mounting plane, pegs of one piece with them, is taken off")
    ] = False
    moves: Annotated[Solids, Field(default_factory=list, description="solids that shift with the setting")]
    pads: Annotated[
        list[MarkedPadDocument],
        UpTo(limits.PARTS_OF_AN_ITEM),
        Field(default_factory=list, description="pads that meet a part; a clamp's first is its tip"),
    ]
    slide: Annotated[MarkedSlideDocument | None, Field(description="how what moves shifts")] = None
    carries: Annotated[CarriesDocument | None, Field(description="what may stand on top, and where")] = None
    clamp: Annotated[MarkedClampDocument | None, Field(description="how it clamps; on down_clamp and side_clamp only")] = None
    beam: Annotated[BeamDocument | None, Field(description="what of it bends, as in an item")] = None
    peg_fit: Annotated[PegFitDocument | None, Field(description="how its pegs fit, as in an item")] = None
    removable: Annotated[bool, Field(description="whether it may be pulled and put back each cycle")] = False
    pull_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to pull it and put it back")] = 0.0
    repeatability_mm: Annotated[float, Within(limits.REPEATABILITY), Field(description="how well it comes back to its place, mm")]
    stiffness_n_per_mm: Annotated[float, Within(limits.STIFFNESS), Field(description="stiffness at its contact, N/mm")]
    mass_kg: Annotated[
        Annotated[float, Within(limits.MASS_KG)] | None, Field(description="mass, kg; absent: by the volume of the solids")
    ] = None
    material: Annotated[Material, Field(description="of the piece, for its mass: steel, stainless or aluminium")] = "steel"
    place_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to place it")]
    set_s: Annotated[float, Within(limits.SECONDS), Field(description="seconds to set and check its setting")] = 0.0
    day_rate_cents: Annotated[Whole, Within(limits.CENTS), Field(description="what a day of one piece costs, cents")]
    price_cents: Annotated[Whole, Within(limits.CENTS), Field(description="what one more piece costs, cents")]
    lead_days: Annotated[Whole, Within(limits.DAYS), Field(description="days until a bought piece is there")]


def read_marks(raw: bytes | str | dict[str, Any]) -> MarksDocument:
    """Read a marks document; lengths are mm from here on.

    Raises
    ------
    InvalidDocument
        With every fault.
    """
    reading = Reading(raw, MarksDocument)
    reading.finish()
    assert reading.document is not None
    return reading.document
