"""The plan document, as read back for checking or to be kept: structure only, extra fields allowed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Any, Literal, cast

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag
from pydantic import model_validator as validator

from inventory import limits
from inventory.errors import Fault
from inventory.tables import parse_hole
from service.documents.reading.fields import Exactly, Id, Whole, checked
from service.documents.reading.reading import Reading
from service.documents.reading.text import LARGEST_FILE
from service.documents.tables import HOLE_LABEL
from solver.request import Down
from solver.weldment import RESERVED

FORMAT = "holdwright.plan/1"
Vector = Annotated[list[float], Exactly(3, "numbers")]
Flat = Annotated[list[float], Exactly(2, "numbers")]
Rows = Annotated[list[Annotated[list[float], Exactly(4, "numbers")]], Exactly(4, "rows")]
Station = Annotated[Whole | None, Field(description="station it belongs to, if there is more than one")]
Cents = Annotated[Whole, Field(description="cents")]


class Lenient(BaseModel):
    """Base of the objects inside a plan: strict about types, silent about extra fields."""

    model_config = ConfigDict(strict=True, extra="allow", allow_inf_nan=False)


class PlannedPrism(Lenient):
    """A prism in the table frame."""

    outline: Annotated[list[Flat], Field(description="polygon in the local (u, v) plane", min_length=3)]
    cutouts: Annotated[list[Annotated[list[Flat], Field(min_length=3)]], Field(default_factory=list, description="holes in it")]
    start: Annotated[float, Field(alias="from", description="where the extrusion starts along w")]
    end: Annotated[float, Field(alias="to", description="where it ends")]
    frame: Annotated[Rows | None, Field(description="4x4 row-major; absent = identity")] = None


class LocatesDocument(Lenient):
    """One role of a placement."""

    part: Annotated[str, Field(description="id of the part")]
    role: Annotated[Literal["support", "side", "end"], Field(alias="as", description="support, side or end")]


class ContactDocument(Lenient):
    """Where a placement touches a part."""

    part: Annotated[str, Field(description="id of the part")]
    face: Annotated[str, Field(description="face of the part: start, end, side:<k>, cutout:<c>:<k>")]
    at: Annotated[Vector, Field(description="the locating point")]
    normal: Annotated[Vector, Field(description="from the locator into the part")]
    patch: Annotated[list[Vector], Field(description="corners that carry force")]


class PlacementDocument(Lenient):
    """A piece put somewhere."""

    id: Annotated[Id, Field(description="the placement's own id, different from every part's")]
    item: Annotated[str, Field(description="id of the item")]
    hole: Annotated[str | None, Field(description="where the item's origin stands; null on a carrier")]
    turn: Annotated[float, Field(description="degrees about +z, absolute")]
    stands_on: Annotated[str | None, Field(description="placement it stands on; null on the table")] = None
    setting_mm: Annotated[float | None, Field(description="setting of its slide or reach; null if there is none")] = None
    locates: Annotated[list[LocatesDocument], Field(description="what it locates, and as what")]
    solids: Annotated[list[PlannedPrism], Field(description="its body in the table frame")]
    open_solids: Annotated[list[PlannedPrism] | None, Field(description="its body when open; null = as closed")] = None
    contacts: Annotated[list[ContactDocument], Field(description="where it touches parts")]
    why: Annotated[str, Field(description="why it is there")] = ""
    station: Station = None


class PlannedPartDocument(Lenient):
    """A part in its place."""

    id: Annotated[str, Field(description="id of the part")]
    solids: Annotated[list[PlannedPrism], Field(description="its body in the table frame")]
    rests_on: Annotated[list[str], Field(description="part ids, placement ids, table")]
    station: Station = None


class PartContactDocument(Lenient):
    """Where a part touches an already located one."""

    part: Annotated[str, Field(description="id of the part")]
    on: Annotated[str, Field(description="id of the located part")]
    patch: Annotated[list[Vector], Field(description="corners that carry force")]
    normal: Annotated[Vector, Field(description="from `on` into `part`")]
    station: Station = None


class SampleDocument(Lenient):
    """A torch direction at a point of a weld."""

    at: Annotated[Vector, Field(description="point of the weld")]
    torch: Annotated[Vector, Field(description="unit vector from the nozzle towards the weld")]


class WeldSamplesDocument(Lenient):
    """Torch directions along one weld."""

    id: Annotated[str, Field(description="id of the weld")]
    samples: Annotated[list[SampleDocument], Field(description="along the weld, ends included")]
    station: Station = None


class MoveDocument(Lenient):
    """One straight move."""

    direction: Annotated[Vector, Field(description="unit vector")]
    distance: Annotated[float, Field(description="mm")]


class LoadDocument(Lenient):
    """One part goes in."""

    part: Annotated[str, Field(description="id of the part")]
    moves: Annotated[list[MoveDocument], Field(description="in the order made, ending at the final place")]
    then_close: Annotated[list[str], Field(default_factory=list, description="clamps closed after it")]
    station: Station = None


class UnloadDocument(Lenient):
    """The finished weldment comes out."""

    pull: Annotated[list[str], Field(default_factory=list, description="pieces pulled first")]
    open: Annotated[list[str], Field(default_factory=list, description="clamps opened")]
    moves: Annotated[list[MoveDocument], Field(description="in the order made, from the final place")]
    station: Station = None


class CostDocument(Lenient):
    """The price, line by line."""

    total_cents: Cents
    setup_cents: Cents
    cycle_cents: Cents
    tie_up_cents: Cents
    shortage_cents: Cents
    weights_cents: Cents


class PlannedLieDocument(Lenient):
    """How the weldment lies."""

    down: Annotated[Down, Field(description="weldment direction that faces the table")]
    turn: Annotated[float, Field(description="degrees about the table's +z")]


class StationDocument(Lenient):
    """One of several equal fixtures."""

    station: Annotated[Whole, Field(description="its number")]
    lie: Annotated[PlannedLieDocument, Field(description="how the weldment lies there")]
    weldment_to_table: Annotated[Rows, Field(description="weldment frame to table frame")]


class FindingDocument(Lenient):
    """A check's result."""

    rule: Annotated[str, Field(description="the rule it comes from")]
    subject: Annotated[str, Field(description="what it is about")]
    value: Annotated[float | None, Field(description="what was found")] = None
    limit: Annotated[float | None, Field(description="what the rule asks")] = None
    unit: Annotated[str, Field(description="unit of both")] = ""
    ok: Annotated[bool, Field(description="whether the rule is kept")]


class KitDocument(Lenient):
    """Pieces of one item the plan needs."""

    item: Annotated[str, Field(description="id of the item")]
    count: Annotated[Whole, Field(description="pieces")]
    bin: Annotated[str, Field(description="where they lie")] = ""


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


class PlanDocument(Lenient):
    """The answer to one request."""

    format: Annotated[Literal["holdwright.plan/1"], Field(description=f'"{FORMAT}"')]
    status: Annotated[Literal["optimal", "feasible", "infeasible", "unknown"], Field(description="how far the answer is proved")]
    stopped_by: Annotated[Literal["proof", "work", "time", "cancel"] | None, Field(description="what ended the search")] = None
    cost_bound_cents: Annotated[float | None, Field(description="no plan can cost less, cents")] = None
    gap: Annotated[float | None, Field(description="(best - bound) / best")] = None
    solve_s: Annotated[float | None, Field(description="seconds the search took")] = None
    rules_version: Annotated[Whole, Field(description="version of the rule book")] = 1
    rules: Annotated[dict[str, float], Field(default_factory=dict, description="the resolved rule book, by dotted name")]
    stock_version: Annotated[Whole, Field(description="state of the stock it was made from")] = 1
    seed: Annotated[Whole, Field(description="seed of the search")] = 1
    alternatives: Annotated[list[AlternativeDocument], Field(description="complete answers, cheapest first")]
    refused: Annotated[dict[str, Any] | None, Field(description="why there is none, and what would help")] = None


def read_plan(raw: bytes | str | dict[str, Any]) -> dict[str, Any]:
    """Read a plan document for checking.

    Parameters
    ----------
    raw : bytes, str or dict
        The document, up to 20 MB; fields beyond the contract's are kept.

    Returns
    -------
    dict
        The document as given; every field the contract names is there and of its type.

    Raises
    ------
    InvalidDocument
        With every fault: what is missing, of another type or not finite, holes that are no labels, pieces that stand on
        each other in a circle, placements named like parts. Whether the plan is right is for the checks to say.
    """
    reading = Reading(raw, PlanDocument, LARGEST_FILE)
    reading.finish()
    return cast(dict[str, Any], reading.values)


def _complete(alternative: AlternativeDocument) -> Iterator[Fault]:
    """Yield what one complete answer lacks although every field is sound by itself."""
    if alternative.stations is None:
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
