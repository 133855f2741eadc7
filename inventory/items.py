"""Hardware kinds: one catalogue entry each, as frozen, self-validating values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inventory.shapes import Point2, Point3, Prism

Kind = Literal["stop", "adjustable_stop", "square", "pin", "vee", "rest", "riser", "arm", "down_clamp", "side_clamp"]
KINDS: tuple[Kind, ...] = (
    "stop", "adjustable_stop", "square", "pin", "vee", "rest", "riser", "arm", "down_clamp", "side_clamp",
)  # fmt: skip
ANY_TURN = "any"


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


@dataclass(frozen=True, slots=True)
class Slide:
    """How far `moves` solids and contacts shift along `axis` (unit, level): range and step in mm; step 0 = continuous."""

    axis: Point2
    low: float
    high: float
    step: float = 0.0


@dataclass(frozen=True, slots=True)
class Carries:
    """What may stand on top: the height of the carrying plane (mm) and the lattice pegs it offers."""

    height: float
    pegs: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Clamp:
    """A clamp's rated force (N), push direction (unit), straight segment of tip positions, closing and opening time (s)."""

    force_n: float
    direction: Point3
    reach: tuple[Point3, Point3]
    close_s: float
    open_s: float
    open_solids: tuple[Prism, ...] | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """A catalogue entry of hardware. Lengths mm, mass kg, times s, money cents; local origin on the mounting plane."""

    id: str
    kind: Kind
    name: str
    pegs: tuple[tuple[int, int], ...]
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
