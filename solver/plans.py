"""The answer: a plan with ranked alternatives, complete in the table frame, or why there is none and what would help."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, Literal

from inventory.shapes import Matrix, Point3, Prism
from solver.weldment import StoredVersion

Role = Literal["support", "side", "end"]
Status = Literal["optimal", "feasible", "infeasible", "unknown"]
Trait = Literal["cheapest", "fewest_pieces", "fastest_setup", "fastest_cycle", "stiffest", "truest", "spares_scarce"]
StoppedBy = Literal["proof", "scope", "work", "time", "cancel"]
Handling = Literal["take_off", "move", "set", "add"]


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
    station: int | None = None


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part's solids in the table frame and what it rests on: part ids, placement ids, `table`."""

    id: str
    solids: tuple[Prism, ...]
    rests_on: tuple[str, ...]
    station: int | None = None


@dataclass(frozen=True, slots=True)
class Move:
    """One straight move; `direction` unit, `distance` mm."""

    direction: Point3
    distance: float


@dataclass(frozen=True, slots=True)
class LoadStep:
    """One part goes in by `moves` (ending at its final place), then these clamps close.

    `hold_by_hand` says until when a hand must hold what is in, such as "until p5 is shut", None if all of it stays put by itself;
    `mass_kg` is the part's, `heavy` whether that is more than one person lifts. None where a document does not say.
    """

    part: str
    moves: tuple[Move, ...]
    then_close: tuple[str, ...]
    station: int | None = None
    hold_by_hand: str | None = None
    mass_kg: float | None = None
    heavy: bool | None = None


@dataclass(frozen=True, slots=True)
class Unload:
    """The way out of the finished weldment, of so much mass: pull these pieces, open these clamps, make these moves.

    `heavy` says whether it is more than one person lifts; None where a document does not say.
    """

    pull: tuple[str, ...]
    open: tuple[str, ...]
    moves: tuple[Move, ...]
    mass_kg: float | None = None
    heavy: bool | None = None


@dataclass(frozen=True, slots=True)
class Station:
    """One complete fixture on the table: how the weldment lies there, and its way out.

    `number` is None where the table carries one fixture only; where stations are numbered, parts, placements, contacts,
    welds and load steps name theirs.
    """

    number: int | None
    down: str
    turn: float
    weldment_to_table: Matrix
    unload: Unload


@dataclass(frozen=True, slots=True)
class WeldSamples:
    """Torch directions (unit, nozzle towards weld) at points along one weld."""

    id: str
    samples: tuple[tuple[Point3, Point3], ...]
    station: int | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """One step of the hands from the plan that stands to the new one; place, turn and setting as they are after it.

    A piece stands in a hole or on another piece; both are None where it does not stand, before or after. `piece` is its id in the
    new plan, and in the plan that stands: a piece that stays or moves keeps its id, a new one has an id of its own.
    """

    do: Handling
    piece: str
    item: str
    hole_before: str | None
    hole: str | None
    turn: float | None
    setting_mm: float | None
    why: str
    stands_on_before: str | None = None
    stands_on: str | None = None


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
    """Pieces of one item the plan needs, its name, and their bin; `buy` of them are missing and bought."""

    item: str
    count: int
    bin: str
    buy: int = 0
    name: str = ""


@dataclass(frozen=True, slots=True)
class Measures:
    """What alternatives are compared by beside price and time.

    `locating_error_mm`: the largest worst-case error at the toleranced points, without tolerances at the welds' ends;
    `stiffness_n_per_mm`: the least under a pad that locates; `scarcity`: the sum over all pieces of 1 / free pieces of the item.
    """

    pieces: int
    locating_error_mm: float
    stiffness_n_per_mm: float
    scarcity: float


@dataclass(frozen=True, slots=True)
class VariantPlan:
    """A variant of the weldment on the same set-up, as a plan of its own.

    `settings` are the settings of all pieces that have one, mm, by placement id. `reset_s` is what it takes to set the hardware
    from the weldment that ran before it. `shared` counts, for a mirror image, the pieces that stay where and as they stand.
    """

    name: str
    quantity: int
    settings: Mapping[str, float]
    reset_s: int
    cycle_s: int
    station: Station
    parts: tuple[PlacedPart, ...]
    placements: tuple[Placement, ...]
    part_contacts: tuple[PartContact, ...]
    welds: tuple[WeldSamples, ...]
    load: tuple[LoadStep, ...]
    findings: tuple[Finding, ...] = ()
    mirror: Literal["x", "y"] | None = None
    shared: int | None = None


@dataclass(frozen=True, slots=True)
class Alternative:
    """One complete, checked answer: equal fixtures at one or several stations of a table.

    `traits` says in what it is best among those shown with it. `changes` lead from the plan to keep to this one, in the order of
    the hands; None where there is no plan to keep. `variants` are the other weldments that run on the same set-up, in order.
    """

    rank: int
    title: str
    table: str
    cost: Cost
    setup_s: int
    cycle_s: int
    stations: tuple[Station, ...]
    parts: tuple[PlacedPart, ...]
    placements: tuple[Placement, ...]
    part_contacts: tuple[PartContact, ...]
    welds: tuple[WeldSamples, ...]
    load: tuple[LoadStep, ...]
    findings: tuple[Finding, ...]
    kit: tuple[KitLine, ...]
    differs: str
    traits: tuple[Trait, ...] = ()
    measures: Measures | None = None
    changes: tuple[Change, ...] | None = None
    variants: tuple[VariantPlan, ...] = ()

    @property
    def down(self) -> str:
        """Weldment direction that faces the table, at the first station."""
        return self.stations[0].down

    @property
    def turn(self) -> float:
        """Degrees about the table's +z, at the first station."""
        return self.stations[0].turn

    @property
    def weldment_to_table(self) -> Matrix:
        """Weldment frame to table frame, at the first station."""
        return self.stations[0].weldment_to_table

    @property
    def unload(self) -> Unload:
        """The way out, at the first station."""
        return self.stations[0].unload


@dataclass(frozen=True, slots=True)
class Reason:
    """Why there is no plan, or a part of why: the rule it comes from, what it is about, and a sentence with the numbers."""

    rule: str
    subject: str
    text: str


@dataclass(frozen=True, slots=True)
class PurchaseLine:
    """Pieces of one item to buy; `price_cents` is the price of all of them."""

    item: str
    count: int
    price_cents: int


@dataclass(frozen=True, slots=True)
class Purchase:
    """A repair: buy these pieces, the dearest line first; `plan` is what it leads to."""

    do: ClassVar[Literal["buy"]] = "buy"
    lines: tuple[PurchaseLine, ...]
    plan: Alternative


@dataclass(frozen=True, slots=True)
class Relaxation:
    """A repair: let one rule ask for less, `value` where it was `given`; `plan` is what it leads to."""

    do: ClassVar[Literal["relax"]] = "relax"
    rule: str
    given: float
    value: float
    plan: Alternative


@dataclass(frozen=True, slots=True)
class Permission:
    """A repair: allow another of what the request names at `what` (`tables`, `lie.down`, `stations`); `plan` is what
    it leads to."""

    do: ClassVar[Literal["allow"]] = "allow"
    what: str
    given: str
    other: str
    plan: Alternative


@dataclass(frozen=True, slots=True)
class Omission:
    """A repair: no longer ask for some pins (their numbers in the request, from 0), or no longer avoid some pieces.

    `subject` says them in words; `plan` is what it leads to.
    """

    pins: tuple[int, ...]
    avoid: tuple[int, ...]
    subject: str
    plan: Alternative

    @property
    def do(self) -> Literal["drop_pin", "drop_avoid"]:
        """What is done: pins are dropped, and pieces to avoid with them, or those alone."""
        return "drop_pin" if self.pins else "drop_avoid"


Repair = Purchase | Relaxation | Permission | Omission
"""What would help, tried, with the complete plan it leads to."""


@dataclass(frozen=True, slots=True)
class Refused:
    """Why there is no plan: reasons that together leave no way, and repairs that work, cheapest first."""

    because: tuple[Reason, ...]
    would_help: tuple[Repair, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Fixtures that were not tried although the request allows them: a code that stays, a sentence, what they cost at least.

    `could_cost_cents` is proved: none of them costs less. None if nothing is known of their price, which may then be any.
    """

    code: str
    text: str
    could_cost_cents: int | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer to one request: alternatives by rank, or why there is none.

    `refused` is None if there are alternatives, `stopped_by` and `solve_s` where a document does not say.
    `work` counts what the search did (lattice positions, integer solves, cut rounds) for the curious. `left_out` lists what
    was not tried, with what it could cost: `cost_bound_cents` never lies above that. `rules_book` names the rule book, of which
    `rules` is what version `rules_version` says with the request's own changes. `weldment` names the stored weldment it was made
    for, None if the request had one of its own.
    """

    status: Status
    stopped_by: StoppedBy | None
    cost_bound_cents: float | None
    gap: float | None
    solve_s: float | None
    rules: Mapping[str, float]
    rules_version: int
    stock_version: int
    seed: int
    alternatives: tuple[Alternative, ...] = ()
    refused: Refused | None = None
    findings: tuple[Finding, ...] = ()
    work: Mapping[str, float] = field(default_factory=dict)
    left_out: tuple[LeftOut, ...] = ()
    rules_book: str = "default"
    weldment: StoredVersion | None = None

    def alternative(self, rank: int) -> Alternative | None:
        """Return the alternative of this rank, None if there is none."""
        return next((each for each in self.alternatives if each.rank == rank), None)
