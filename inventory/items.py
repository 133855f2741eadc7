"""Hardware kinds: one catalogue entry each, as frozen, self-validating values.

Every value raises InvalidDocument with all its faults, at pointers by the documents' field names; directions are
normalised as the value is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from inventory import limits
from inventory.cuts import lowest
from inventory.errors import Fault, refuse
from inventory.shapes import Point2, Point3, Prism

Kind = Literal["stop", "adjustable_stop", "square", "pin", "vee", "rest", "riser", "arm", "down_clamp", "side_clamp"]
Purpose = Literal["locator", "clamp", "carrier"]
ANY_TURN = "any"
Peg = tuple[int, int]


@dataclass(frozen=True, slots=True)
class KindRecord:
    """What is known of a kind of hardware.

    Parameters
    ----------
    purpose : {"locator", "clamp", "carrier"}
        What it is for: drawings show it so, and clamps alone have the fields of a clamp.
    contacts : int
        How many contacts it has at least.
    flanks : bool
        Whether it has just as many contacts as that, one on each flank.
    slides : bool
        Whether it is nothing without a slide.
    pushes_down : bool
        Whether its direction must have a part that points down.
    """

    purpose: Purpose
    contacts: int = 0
    flanks: bool = False
    slides: bool = False
    pushes_down: bool = False


KINDS: Mapping[Kind, KindRecord] = {
    "stop": KindRecord("locator", contacts=1),
    "adjustable_stop": KindRecord("locator", contacts=1, slides=True),
    "square": KindRecord("locator", contacts=1),
    "pin": KindRecord("locator"),
    "vee": KindRecord("locator", contacts=2, flanks=True),
    "rest": KindRecord("locator", contacts=1),
    "riser": KindRecord("carrier"),
    "arm": KindRecord("carrier"),
    "down_clamp": KindRecord("clamp", contacts=1, pushes_down=True),
    "side_clamp": KindRecord("clamp", contacts=1),
}
"""Every kind, in the order of the catalogue."""
CLAMPS = tuple(kind for kind, known in KINDS.items() if known.purpose == "clamp")


@dataclass(frozen=True, slots=True)
class Solid:
    """One prism of an item's body; `moves` solids shift with the setting."""

    prism: Prism
    moves: bool = False


@dataclass(frozen=True, slots=True)
class Contact:
    """A rectangular pad: `at` its centre, `normal` from the locator into the part (unit, item frame).

    Width runs along z x normal (local x if the normal is vertical), height along normal x width; mm.
    """

    at: Point3
    normal: Point3
    width: float
    height: float
    moves: bool = False

    def __post_init__(self) -> None:
        refuse(
            (
                *limits.point_faults("/at", self.at, 3),
                *limits.direction_faults("/normal", self.normal, 3),
                *limits.SIZE.faults("/width", self.width),
                *limits.SIZE.faults("/height", self.height),
            )
        )
        object.__setattr__(self, "normal", limits.unit(self.normal))


@dataclass(frozen=True, slots=True)
class Slide:
    """How far `moves` solids and contacts shift along `axis` (unit; two numbers: level); range and step, mm; step 0: any."""

    axis: Point2 | Point3
    low: float
    high: float
    step: float = 0.0

    def __post_init__(self) -> None:
        refuse(_slide_faults(self))
        object.__setattr__(self, "axis", limits.unit(self.axis))

    @property
    def along(self) -> Point3:
        """The axis in three numbers."""
        x, y, *up = self.axis
        return x, y, up[0] if up else 0.0


@dataclass(frozen=True, slots=True)
class Carries:
    """What may stand on top: the height of the carrying plane (mm) and the lattice pegs it offers."""

    height: float
    pegs: tuple[Peg, ...]

    def __post_init__(self) -> None:
        refuse((*limits.SIZE.faults("/height", self.height), *_peg_faults(self.pegs)))


@dataclass(frozen=True, slots=True)
class Clamp:
    """A clamp's rated force (N), push direction (unit), straight segment of tip positions, closing and opening time (s)."""

    force_n: float
    direction: Point3
    reach: tuple[Point3, Point3]
    close_s: float
    open_s: float
    open_solids: tuple[Prism, ...] | None = None

    def __post_init__(self) -> None:
        refuse(_clamp_faults(self))
        object.__setattr__(self, "direction", limits.unit(self.direction))


@dataclass(frozen=True, slots=True)
class Item:
    """A catalogue entry of hardware. Lengths mm, mass kg, times s, money cents; local origin on the mounting plane."""

    id: str
    kind: Kind
    name: str
    pegs: tuple[Peg, ...]
    turns: tuple[float, ...] | Literal["any"]
    solids: tuple[Solid, ...]
    contacts: tuple[Contact, ...] = ()
    slide: Slide | None = None
    carries: Carries | None = None
    clamp: Clamp | None = None
    removable: bool = False
    pull_s: float = 0.0
    repeatability_mm: float = 0.05
    stiffness_n_per_mm: float = 20000.0
    mass_kg: float = 1.0
    place_s: float = 30.0
    set_s: float = 0.0
    day_rate_cents: int = 0
    price_cents: int = 0
    lead_days: int = 0

    def __post_init__(self) -> None:
        refuse(_item_faults(self))


def _slide_faults(slide: Slide) -> Iterator[Fault]:
    yield from limits.direction_faults("/axis", slide.axis, 3 if len(slide.axis) == 3 else 2)
    numbers = [
        *limits.COORDINATE.faults("/range/0", slide.low),
        *limits.COORDINATE.faults("/range/1", slide.high),
        *limits.LENGTH.faults("/step", slide.step),
    ]
    yield from numbers
    if numbers:
        return
    low, high, step = limits.plain(slide.low), limits.plain(slide.high), limits.plain(slide.step)
    if slide.high <= slide.low:
        yield Fault("/range", f"the range runs from {low} to {high} mm", "two numbers, the lower first")
    elif slide.step > slide.high - slide.low:
        wrong = f"an increment of {step} mm never fits the range of {low} to {high} mm"
        yield Fault("/step", wrong, f"0 for a continuous slide, or at most {limits.plain(slide.high - slide.low)} mm")


def _peg_faults(pegs: tuple[Peg, ...]) -> Iterator[Fault]:
    if not 1 <= len(pegs) <= limits.PARTS_OF_AN_ITEM:
        yield Fault("/pegs", f"{len(pegs)} pegs", f"1 to {limits.PARTS_OF_AN_ITEM} pegs")
    for k, peg in enumerate(pegs):
        yield from limits.point_faults(f"/pegs/{k}", peg, 2, limits.PEG)
    yield from limits.repeated_faults(((f"/pegs/{k}", tuple(peg)) for k, peg in enumerate(pegs)), "peg")


def _clamp_faults(clamp: Clamp) -> Iterator[Fault]:
    yield from limits.FORCE_N.faults("/force_n", clamp.force_n)
    yield from limits.direction_faults("/direction", clamp.direction, 3)
    if len(clamp.reach) != 2:
        yield Fault("/reach", f"{len(clamp.reach)} points", "2 points: the ends of the segment of tip positions")
    for k, point in enumerate(clamp.reach):
        yield from limits.point_faults(f"/reach/{k}", point, 3)
    yield from limits.SECONDS.faults("/close_s", clamp.close_s)
    yield from limits.SECONDS.faults("/open_s", clamp.open_s)
    if clamp.open_solids is not None:
        yield from _body_faults("/open_solids", clamp.open_solids)


def _body_faults(pointer: str, prisms: tuple[Prism, ...]) -> Iterator[Fault]:
    if not 1 <= len(prisms) <= limits.PARTS_OF_AN_ITEM:
        yield Fault(pointer, f"{len(prisms)} solids", f"1 to {limits.PARTS_OF_AN_ITEM} solids")
    for k, prism in enumerate(prisms):
        if (lowest := _lowest(prism)) < -1e-6:
            wrong = f"the solid reaches down to z = {limits.plain(round(lowest, 6))} mm, below the mounting plane"
            yield Fault(f"{pointer}/{k}", wrong, "solids at z >= 0; pegs are not drawn")


def _lowest(prism: Prism) -> float:
    u, v, w, origin = prism.frame[2]
    if prism.cuts:
        return origin + lowest(prism.outline, (prism.start, prism.end), prism.cuts, (u, v, w))
    return origin + min(u * a + v * b for a, b in prism.outline) + min(w * prism.start, w * prism.end)


def _item_faults(item: Item) -> Iterator[Fault]:
    yield from limits.id_faults("/id", item.id)
    yield from limits.name_faults("/name", item.name)
    yield from limits.one_of_faults("/kind", item.kind, tuple(KINDS))
    pegs = list(_peg_faults(item.pegs))
    yield from pegs
    if not pegs:
        yield from _turn_faults(item)
    yield from _body_faults("/solids", tuple(solid.prism for solid in item.solids))
    if item.kind in KINDS:
        yield from _kind_faults(item, KINDS[item.kind])
    for field, limit in _FIGURES.items():
        yield from limit.faults(f"/{field}", getattr(item, field))


_FIGURES = {
    "pull_s": limits.SECONDS,
    "repeatability_mm": limits.REPEATABILITY,
    "stiffness_n_per_mm": limits.STIFFNESS,
    "mass_kg": limits.MASS_KG,
    "place_s": limits.SECONDS,
    "set_s": limits.SECONDS,
    "day_rate_cents": limits.CENTS,
    "price_cents": limits.CENTS,
    "lead_days": limits.DAYS,
}


def _turn_faults(item: Item) -> Iterator[Fault]:
    """Yield turns that are no angles, stand there twice, or would leave a peg beside its hole."""
    if isinstance(item.turns, str):
        if item.pegs != ((0, 0),):
            yield Fault("/turns", "only a single round peg at the origin turns freely", "a list of degrees, or pegs [[0, 0]]")
        return
    if not 1 <= len(item.turns) <= 360:
        yield Fault("/turns", f"{len(item.turns)} turns", '1 to 360 turns in degrees, or "any"')
    numbers = [fault for k, turn in enumerate(item.turns) for fault in limits.TURN.faults(f"/turns/{k}", turn)]
    yield from numbers
    if numbers:
        return
    yield from limits.repeated_faults(((f"/turns/{k}", float(turn)) for k, turn in enumerate(item.turns)), "turn")
    for k, turn in enumerate(item.turns):
        if not all(_on_lattice(peg, float(turn)) for peg in item.pegs):
            wrong = f"turned by {limits.plain(turn)} degrees, a peg misses the lattice"
            yield Fault(f"/turns/{k}", wrong, "turns that bring every peg onto a hole, such as 0, 90, 180, 270")


def _on_lattice(peg: Peg, degrees: float) -> bool:
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turned = (cosine * peg[0] - sine * peg[1], sine * peg[0] + cosine * peg[1])
    return all(abs(c - round(c)) < 1e-6 for c in turned)


def _kind_faults(item: Item, known: KindRecord) -> Iterator[Fault]:
    """Yield what the item's kind asks for and does not get."""
    if len(item.contacts) > limits.PARTS_OF_AN_ITEM:
        yield Fault("/contacts", f"{len(item.contacts)} contacts", f"at most {limits.PARTS_OF_AN_ITEM} contacts")
    if known.purpose == "clamp":
        yield from _clamping_faults(item, known)
    elif item.clamp is not None:
        yield Fault("/clamp", f"a {item.kind} does not clamp", "no clamp, or kind " + " or ".join(CLAMPS))
    if known.flanks and len(item.contacts) != known.contacts:
        wrong = f"{len(item.contacts)} contacts on a {item.kind}"
        yield Fault("/contacts", wrong, f"{known.contacts} contacts, one on each flank")
    elif known.purpose == "locator" and known.contacts and not item.contacts:
        yield Fault("/contacts", f"a {item.kind} without contacts locates nothing", "at least 1 contact")
    if known.slides and item.slide is None:
        yield Fault("/slide", f"{item.kind} without a slide", "a slide, or kind stop")
    if item.slide is not None and item.clamp is None and not _anything_moves(item):
        yield Fault("/slide", "nothing moves with the slide", '"moves": true on the solids and contacts that shift')
    if item.slide is not None and item.clamp is None:
        yield from _sinking_faults(item.slide, item.solids)


def _sinking_faults(slide: Slide, solids: tuple[Solid, ...]) -> Iterator[Fault]:
    """Yield the solids that a slide takes below the mounting plane."""
    least = min(slide.low * slide.along[2], slide.high * slide.along[2])
    for k, solid in enumerate(solids):
        if solid.moves and _lowest(solid.prism) >= -1e-6 and (lowest := _lowest(solid.prism) + least) < -1e-6:
            wrong = f"the slide takes solid {k} down to z = {limits.plain(round(lowest, 6))} mm, below the mounting plane"
            yield Fault("/slide/range", wrong, "settings that keep every solid at z >= 0")


def _anything_moves(item: Item) -> bool:
    return any(solid.moves for solid in item.solids) or any(contact.moves for contact in item.contacts)


def _clamping_faults(item: Item, known: KindRecord) -> Iterator[Fault]:
    if not item.contacts:
        yield Fault("/contacts", "a clamp without a pad", "at least 1 contact; the first is the pad")
    if item.slide is not None:
        yield Fault("/slide", "a clamp with a slide would have two settings", "no slide; a clamp is set along its reach")
    if item.clamp is None:
        yield Fault("/clamp", f"a {item.kind} without clamp", "clamp: force_n, direction, reach, close_s, open_s")
        return
    if known.pushes_down and item.clamp.direction[2] >= 0:
        yield Fault(
            "/clamp/direction", f"a {item.kind} that does not push down", "a direction with negative z, or kind side_clamp"
        )
    elif item.contacts and math.fsum(a * b for a, b in zip(item.clamp.direction, item.contacts[0].normal, strict=True)) <= 0:
        yield Fault("/contacts/0/normal", "the pad faces away from the clamp's direction", "a normal along the direction")
