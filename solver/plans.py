"""The answer: a plan with ranked alternatives, complete in the table frame.

Values here mirror the plan document field for field; `document()` renders one as plain JSON values.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from inventory.shapes import IDENTITY, Matrix, Point3, Prism

Role = Literal["support", "side", "end"]
Status = Literal["optimal", "feasible", "infeasible", "unknown"]
StoppedBy = Literal["proof", "work", "time", "cancel"]


@dataclass(frozen=True, slots=True)
class PlacedContact:
    """A pad of a placement against one face of a part; `normal` points into the part, `patch` is convex."""

    part: str
    face: str
    at: Point3
    normal: Point3
    patch: tuple[Point3, ...]


@dataclass(frozen=True, slots=True)
class Placement:
    """A piece put somewhere: a hole or a carrier, a turn, a setting, and what it locates (part id, role)."""

    id: str
    item: str
    hole: str | None
    turn: float
    stands_on: str | None
    setting_mm: float | None
    locates: tuple[tuple[str, Role], ...]
    solids: tuple[Prism, ...]
    open_solids: tuple[Prism, ...] | None
    contacts: tuple[PlacedContact, ...]
    why: str = ""
    station: int | None = None


@dataclass(frozen=True, slots=True)
class PartContact:
    """Where `part` touches the already located part `on`; `normal` points from `on` into `part`."""

    part: str
    on: str
    patch: tuple[Point3, ...]
    normal: Point3


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part's solids in the table frame and what it rests on: part ids, placement ids, `table`."""

    id: str
    solids: tuple[Prism, ...]
    rests_on: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Move:
    """One straight move; `direction` unit, `distance` mm."""

    direction: Point3
    distance: float


@dataclass(frozen=True, slots=True)
class LoadStep:
    """One part goes in by `moves` (ending at its final place), then these clamps close."""

    part: str
    moves: tuple[Move, ...]
    then_close: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Unload:
    """The way out of the finished weldment: pull these pieces, open these clamps, make these moves."""

    pull: tuple[str, ...]
    open: tuple[str, ...]
    moves: tuple[Move, ...]


@dataclass(frozen=True, slots=True)
class WeldSamples:
    """Torch directions (unit, nozzle towards weld) at points along one weld."""

    id: str
    samples: tuple[tuple[Point3, Point3], ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """A check's result: a value against its limit, and the rule it comes from."""

    rule: str
    subject: str
    value: float | None
    limit: float | None
    unit: str
    ok: bool
    text: str = ""


@dataclass(frozen=True, slots=True)
class Cost:
    """The price of a plan, line by line, integer cents; total is the sum of the other five."""

    total_cents: int
    setup_cents: int
    cycle_cents: int
    tie_up_cents: int
    shortage_cents: int
    weights_cents: int


@dataclass(frozen=True, slots=True)
class KitLine:
    """Pieces of one item the plan needs, and their bin; `buy` of them are missing and bought."""

    item: str
    count: int
    bin: str
    buy: int = 0


@dataclass(frozen=True, slots=True)
class Alternative:
    """One complete, checked answer."""

    rank: int
    title: str
    table: str
    cost: Cost
    setup_s: int
    cycle_s: int
    down: str
    turn: float
    weldment_to_table: Matrix
    parts: tuple[PlacedPart, ...]
    placements: tuple[Placement, ...]
    part_contacts: tuple[PartContact, ...]
    welds: tuple[WeldSamples, ...]
    load: tuple[LoadStep, ...]
    unload: Unload
    findings: tuple[Finding, ...]
    kit: tuple[KitLine, ...]
    differs: str

    def document(self) -> dict[str, Any]:
        """Return the alternative as plain JSON values, field names as in the plan document."""
        document = {
            key: _plain(getattr(self, key))
            for key in (
                "rank", "title", "table", "cost", "setup_s", "cycle_s", "weldment_to_table", "parts", "placements",
                "part_contacts", "load", "unload", "findings", "kit", "differs",
            )
        }  # fmt: skip
        document["lie"] = {"down": self.down, "turn": _number(self.turn)}
        document["welds"] = [
            {"id": weld.id, "samples": [{"at": list(at), "torch": list(torch)} for at, torch in weld.samples]}
            for weld in self.welds
        ]
        return document


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer to one request: alternatives by rank, or why there is none.

    `refused` is the document's `refused` object as plain values, None if there are alternatives.
    `work` counts what the search did (poses, integer solves, cut rounds) for the curious.
    """

    status: Status
    stopped_by: StoppedBy
    cost_bound_cents: int | None
    gap: float | None
    solve_s: float
    rules: Mapping[str, float]
    rules_version: int
    stock_version: int
    seed: int
    alternatives: tuple[Alternative, ...] = ()
    refused: Mapping[str, Any] | None = None
    findings: tuple[Finding, ...] = ()
    work: Mapping[str, float] = field(default_factory=dict)

    def document(self) -> dict[str, Any]:
        """Return the plan document (``holdwright.plan/1``) as plain JSON values."""
        return {
            "format": "holdwright.plan/1",
            "status": self.status,
            "stopped_by": self.stopped_by,
            "cost_bound_cents": self.cost_bound_cents,
            "gap": self.gap,
            "solve_s": self.solve_s,
            "rules_version": self.rules_version,
            "rules": dict(self.rules),
            "stock_version": self.stock_version,
            "seed": self.seed,
            "alternatives": [alternative.document() for alternative in self.alternatives],
            "refused": self.refused,
            "findings": _plain(self.findings),
            "work": dict(self.work),
        }


def _number(value: float) -> float | int:
    return int(value) if float(value).is_integer() else value


def _plain(value: Any) -> Any:
    """Render plan values as JSON values: prisms by the contract's names, tuples as lists, `locates` as objects."""
    if isinstance(value, Prism):
        plain: dict[str, Any] = {"outline": _plain(value.outline), "from": value.start, "to": value.end}
        if value.cutouts:
            plain["cutouts"] = _plain(value.cutouts)
        if value.frame != IDENTITY:
            plain["frame"] = _plain(value.frame)
        return plain
    if isinstance(value, Placement):
        fields = {key: _plain(getattr(value, key)) for key in Placement.__dataclass_fields__}
        fields["turn"] = _number(value.turn)
        fields["locates"] = [{"part": part, "as": role} for part, role in value.locates]
        return _without_none(fields, "station")
    if hasattr(value, "__dataclass_fields__"):
        return {key: _plain(getattr(value, key)) for key in value.__dataclass_fields__}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return value


def _without_none(fields: dict[str, Any], *optional: str) -> dict[str, Any]:
    return {key: value for key, value in fields.items() if value is not None or key not in optional}
