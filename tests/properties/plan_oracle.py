"""Held or not, from a plan document alone: contact forces as columns, one linear program a load case, scipy's HiGHS.

Written from the pages docs/answer.md and docs/model-held.md, without a line of the planner's or the checker's statics: masses from the solids' outlines,
forces at the corners of the patches the plan declares, loads from the request's welds and rule book.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import block_diag

from inventory.stock import StockSnapshot
from solver.request import Request

Array = NDArray[np.float64]
G = 9.80665
TOGETHER = 8
"""Load cases in one program."""
PUSHES = [np.array(v) / math.sqrt(3 - v.count(0)) for v in product((-1.0, 0.0, 1.0), repeat=3) if v.count(0) in (0, 2)]


@dataclass(frozen=True)
class Touch:
    """Corners (k, 3) that push part `on` along `normal`, and part `against` (-1: table or hardware) the other way."""

    on: int
    against: int
    corners: Array
    normal: Array
    cap: float = math.inf


@dataclass(frozen=True)
class Press:
    """A clamp's tip: where, along what, with how many newtons, on which part."""

    on: int
    at: Array
    push: Array
    force: float


@dataclass(frozen=True)
class Fixture:
    """What the document says stands where: centres and masses of the parts, contacts, clamps, friction."""

    centres: Array
    masses: Array
    touches: list[Touch]
    presses: list[Press]
    friction: float


@dataclass(frozen=True)
class Load:
    """Forces (part, at, force) beside gravity and clamps; `root`: where any force may pass between two parts."""

    forces: list[tuple[int, Array, Array]]
    root: tuple[int, int, Array] | None = None


def fixture_of(request: Request, stock: StockSnapshot, document: Mapping[str, Any]) -> Fixture:
    """Read an alternative's document."""
    ids = [part["id"] for part in document["parts"]]
    bodies = [_body(part["solids"][0]) for part in document["parts"]]
    materials = {part.id: part.material for part in request.weldment.parts}
    masses = [
        volume * 1e-9 * request.rules[f"material.{materials[id]}_kg_per_m3"]
        for id, (_, volume, _) in zip(ids, bodies, strict=True)
    ]
    touches, presses = [], []
    placed = {placement["id"]: placement for placement in document["placements"]}
    for placement in document["placements"]:
        item = stock.items[placement["item"]]
        for contact in placement["contacts"]:
            on = ids.index(contact["part"])
            if item.clamp is not None:
                angle = math.radians(placement["turn"])
                x, y, z = item.clamp.direction
                push = np.array([x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle), z])
                presses.append(Press(on, np.array(contact["at"]), push, item.clamp.force_n))
            else:
                give, below = 0.0, placement
                while below is not None:
                    give += 1.0 / stock.items[below["item"]].stiffness_n_per_mm
                    below = placed.get(below["stands_on"])
                cap = request.rules["stack.deflection_max"] / give
                touches.append(Touch(on, -1, np.array(contact["patch"]), np.array(contact["normal"]), cap))
    for k, (_, _, corners) in enumerate(bodies):
        underside = corners[np.abs(corners[:, 2]) < 1e-6]
        if len(underside) > 1:
            touches.append(Touch(k, -1, underside, np.array([0.0, 0.0, 1.0])))
    for contact in document["part_contacts"]:
        touches.append(
            Touch(ids.index(contact["part"]), ids.index(contact["on"]), np.array(contact["patch"]), np.array(contact["normal"]))
        )
    centres = np.array([centre for centre, _, _ in bodies])
    return Fixture(centres, np.array(masses), touches, presses, request.rules["hold.friction"])


def _body(solid: Mapping[str, Any]) -> tuple[Array, float, Array]:
    """Return centre of gravity, volume (mm3) and all corners of a prism document."""
    frame = np.array(solid.get("frame", np.eye(4).tolist()))
    rings = [np.array(solid["outline"]), *(np.array(ring) for ring in solid.get("cutouts", []))]
    area, first = 0.0, np.zeros(2)
    for k, ring in enumerate(rings):
        after = np.roll(ring, -1, axis=0)
        cross = ring[:, 0] * after[:, 1] - after[:, 0] * ring[:, 1]
        sign = (1 if k == 0 else -1) * np.sign(cross.sum())
        area += sign * cross.sum() / 2
        first += sign * ((ring + after) * cross[:, None]).sum(axis=0) / 6
    low, high = solid["from"], solid["to"]
    corners = np.array([[*point, w, 1.0] for point in rings[0] for w in (low, high)]) @ frame.T
    middle = frame @ np.array([*(first / area), (low + high) / 2, 1.0])
    return middle[:3], area * (high - low), corners[:, :3]


def loads_of(request: Request, document: Mapping[str, Any], toes: Mapping[str, tuple[Any, Any]]) -> Iterator[Load]:
    """Yield the rule book's load cases: gravity alone, pushes at both ends and the middle of every weld, tacks at both ends."""
    ids, rules = [part["id"] for part in document["parts"]], request.rules
    place = np.array(document["weldment_to_table"])
    for weld in request.weldment.welds:
        start, end = (place[:3, :3] @ np.array(point) + place[:3, 3] for point in weld.path)
        first, second = (ids.index(id) for id in weld.parts)
        for part in (first, second):
            for at in (start, end, (start + end) / 2):
                for push in PUSHES:
                    yield Load([(part, at, push * rules["hold.handling_n"] * rules["clamp.safety"])])
        assert weld.leg is not None
        pull = weld.leg / math.sqrt(2) * rules["tack.length"] * rules["hold.shrink_n_per_mm2"] * rules["clamp.safety"]
        for root in (start, end):
            mine, other = (root + weld.leg * (place[:3, :3] @ np.array(ray)) for ray in toes[weld.id])
            force = pull * (other - mine) / float(np.linalg.norm(other - mine))
            yield Load([(first, mine, force), (second, other, -force)], (first, second, root))
    yield Load([])


HIGHS: tuple[dict[str, Any], ...] = (
    {"method": "highs-ds"},
    {"method": "highs-ds", "options": {"presolve": False}},
    {"method": "highs-ipm"},
)
"""How HiGHS is asked, one after the other as long as it comes to no verdict: its presolve now and then ends with none."""


class Balance:
    """The rows of one fixture: six a part about the table's origin; columns for contact and tip forces."""

    def __init__(self, fixture: Fixture) -> None:
        self.count = len(fixture.centres)
        columns: list[Array] = []
        bounds: list[tuple[list[int], float]] = []
        for touch in fixture.touches:
            mine = []
            for corner in touch.corners:
                for side in eight(touch.normal):
                    force = touch.normal + fixture.friction * side
                    mine.append(len(columns))
                    columns.append(self._on(touch.on, corner, force) + self._on(touch.against, corner, -force))
            if math.isfinite(touch.cap):
                bounds.append((mine, touch.cap))
        known = np.zeros(6 * self.count)
        for k, (centre, mass) in enumerate(zip(fixture.centres, fixture.masses, strict=True)):
            known += self._on(k, centre, np.array([0.0, 0.0, -mass * G]))
        for press in fixture.presses:
            known += self._on(press.on, press.at, press.force * press.push)
            bounds.append((list(range(len(columns), len(columns) + 8)), fixture.friction * press.force))
            columns += [self._on(press.on, press.at, side) for side in eight(press.push)]
        self.known, self.matrix = known, np.array(columns).T
        self.caps = np.zeros((len(bounds), len(columns)))
        for row, (places, _) in enumerate(bounds):
            self.caps[row, places] = 1.0
        self.most = np.array([most for _, most in bounds])

    def _on(self, part: int, at: Array, force: Array) -> Array:
        row = np.zeros(6 * self.count)
        if part >= 0:
            # moments in N m x 10: of the size of the forces
            row[6 * part : 6 * part + 6] = [*force, *(np.cross(at, force) / 100.0)]
        return row

    def hold(self, loads: Sequence[Load]) -> bool:
        """Whether forces within the law balance each of some loads with gravity and clamps: one program, a block a load."""
        blocks: list[Array] = []
        caps: list[Array] = []
        right: list[Array] = []
        low: list[Array] = []
        for load in loads:
            columns, limits = self.matrix, self.caps
            if load.root is not None:
                first, second, at = load.root
                free = np.array([self._on(first, at, axis) - self._on(second, at, axis) for axis in np.eye(3)]).T
                columns, limits = np.hstack([columns, free]), np.hstack([limits, np.zeros((len(limits), 3))])
            blocks.append(columns)
            caps.append(limits)
            right.append(-self.known - sum((self._on(*force) for force in load.forces), np.zeros(6 * self.count)))
            low.append(np.where(np.arange(columns.shape[1]) < self.matrix.shape[1], 0.0, -np.inf))
        bounds = np.column_stack([np.concatenate(low), np.full(sum(map(len, low)), np.inf)])
        most, cost = np.tile(self.most, len(loads)), np.zeros(len(bounds))
        matrix: Any = block_diag(blocks, format="csr")
        limit: Any = block_diag(caps, format="csr")
        for options in HIGHS:
            # the stubs know neither sparse matrices nor bounds as an array
            found = linprog(cost, limit, most, matrix, np.concatenate(right), bounds, **options)  # type: ignore[call-overload]
            if found.status in (0, 2):
                return bool(found.status == 0)
        raise AssertionError(found.message)


def eight(normal: Array) -> Array:
    """Eight directions square to a normal, the first level (x for an upright normal)."""
    level = np.array([1.0, 0.0, 0.0]) if abs(normal[2]) > 1 - 1e-9 else np.cross([0.0, 0.0, 1.0], normal)
    level = level / np.linalg.norm(level)
    turns = np.arange(8) * math.pi / 4
    directions: Array = np.outer(np.cos(turns), level) + np.outer(np.sin(turns), np.cross(normal, level))
    return directions


def held(request: Request, stock: StockSnapshot, document: Mapping[str, Any], toes: Mapping[str, tuple[Any, Any]]) -> bool:
    """Whether every load case of the request is held by what an alternative's document sets up."""
    balance = Balance(fixture_of(request, stock, document))
    loads = list(loads_of(request, document, toes))
    return all(balance.hold(loads[start : start + TOGETHER]) for start in range(0, len(loads), TOGETHER))


def squeeze(fixture: Fixture) -> float:
    """The largest share of a newton that locators can press with while nothing else does: no weight, no clamp, no load."""
    balance = Balance(replace(fixture, presses=[]))
    pressing = np.concatenate(
        [np.full(8 * len(touch.corners), float(math.isfinite(touch.cap))) for touch in fixture.touches] or [np.zeros(0)]
    )
    found = linprog(-pressing, np.array([pressing]), [1.0], balance.matrix, np.zeros(6 * balance.count), method="highs-ds")
    assert found.status == 0, found.message
    return float(pressing @ found.x)
