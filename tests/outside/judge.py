"""A plan judged by exact meshes alone: contacts, collisions, torch and hand, ways in and out, read from the plan document."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations

import fcl
import manifold3d as m3
import numpy as np

from inventory.shapes import Array, Prism
from solver.plans import Alternative, PlacedPart, Placement
from solver.request import Request
from tests.outside import meshes

TOUCHING = 0.05
ROUND_SHARE = 0.003
"""Circles are polygons: so much of a diameter is allowed where round faces touch."""
FINE = 2e-3


@dataclass
class Judge:
    """One alternative, or one station of it, its bodies as meshes; `others` are the stations beside it."""

    request: Request
    alternative: Alternative
    others: Sequence[Alternative] = ()
    parts: dict[str, m3.Manifold] = field(init=False)
    shut: dict[str, m3.Manifold] = field(init=False)
    opened: dict[str, m3.Manifold] = field(init=False)

    def __post_init__(self) -> None:
        self.parts = {part.id: meshes.union(part.solids) for part in self.alternative.parts}
        self.shut = {piece.id: meshes.union(piece.solids) for piece in self.alternative.placements}
        self.opened = {
            p.id: meshes.union(p.open_solids) if p.open_solids else self.shut[p.id] for p in self.alternative.placements
        }

    @cached_property
    def surfaces(self) -> list[fcl.CollisionObject]:
        return [meshes.bvh(solid) for each in (self.alternative, *self.others) for solid in prisms(each)]

    @cached_property
    def beside(self) -> list[m3.Manifold]:
        """Parts and pieces of the other stations, clamps shut and open."""
        others = [Judge(self.request, other) for other in self.others]
        return [body for judge in others for bodies in (judge.parts, judge.shut, judge.opened) for body in bodies.values()]

    def faults(self) -> Iterator[str]:
        """Yield every disagreement with the plan."""
        yield from self._pieces()
        yield from self._pieces_and_parts()
        yield from self._parts()
        yield from self._torch()
        yield from self._ways()
        yield from self._beside()

    def _beside(self) -> Iterator[str]:
        """Yield what comes too near a body of another station."""
        clear = self.request.rules["clear.body"]
        for bodies in (self.parts, self.shut, self.opened):
            for id, body in bodies.items():
                gap = min((meshes.gap(body, other) for other in self.beside), default=clear)
                if gap < clear - FINE:
                    yield f"{id} and another station are {gap:.4f} mm apart"

    def _stacked(self, one: Placement, other: Placement) -> bool:
        below = {piece.id: piece.stands_on for piece in self.alternative.placements}

        def under(id: str | None) -> Iterator[str]:
            while id is not None:
                yield id
                id = below[id]

        return one.id in under(other.id) or other.id in under(one.id)

    def _pieces(self) -> Iterator[str]:
        clear = self.request.rules["clear.body"]
        for one, other in combinations(self.alternative.placements, 2):
            if self._stacked(one, other):
                continue
            for bodies in (self.shut, self.opened):
                gap = meshes.gap(bodies[one.id], bodies[other.id])
                if gap < clear - FINE:
                    yield f"{one.id} and {other.id} are {gap:.4f} mm apart"

    def _round(self, part: str) -> float:
        section = self.request.weldment.part(part).section
        return ROUND_SHARE * (section.diameter or 0.0) if section.round else 0.0

    def _pieces_and_parts(self) -> Iterator[str]:
        clear = self.request.rules["clear.body"]
        for piece in self.alternative.placements:
            for id, part in self.parts.items():
                declared = [contact for contact in piece.contacts if contact.part == id]
                gap = meshes.gap(self.shut[piece.id], part)
                allowed = TOUCHING + self._round(id)
                if not declared and gap < clear - FINE:
                    yield f"{piece.id} and part {id} are {gap:.4f} mm apart and no contact is declared"
                if declared and gap > allowed:
                    yield f"{piece.id} touches {id} by its plan, {gap:.4f} mm off by its mesh"
                if declared:
                    apart = np.zeros(3)
                    for contact in declared:
                        apart -= (allowed + 0.01) * np.array(contact.normal)
                    sunk = (self.shut[piece.id].translate(apart.tolist()) ^ part).volume()
                    if sunk > 1e-6 and not any(contact.face.startswith("cutout") for contact in declared):
                        yield f"{piece.id} runs into {id} by {sunk:.4f} mm3 even {allowed + 0.01:.2f} mm off"

    def _parts(self) -> Iterator[str]:
        declared = {frozenset((contact.part, contact.on)) for contact in self.alternative.part_contacts}
        for one, other in combinations(self.parts, 2):
            gap = meshes.gap(self.parts[one], self.parts[other])
            if frozenset((one, other)) in declared and gap > TOUCHING + max(self._round(one), self._round(other)):
                yield f"parts {one} and {other} touch by the plan, {gap:.4f} mm off by their meshes"

    def _torch(self) -> Iterator[str]:
        rules = self.request.rules
        start = rules["torch.stickout"]
        spans = (
            (rules["torch.nozzle_diameter"] / 2, start, start + rules["torch.length"]),
            (rules["torch.hand_diameter"] / 2, start + rules["torch.hand_from"], start + rules["torch.hand_from"] + rules["torch.hand_length"]),
        )  # fmt: skip
        for weld in self.alternative.welds:
            for at, torch in weld.samples:
                back = -np.array(torch)
                for radius, low, high in spans:
                    a, b = np.array(at) + (low + radius) * back, np.array(at) + max(low + radius, high - radius) * back
                    capsule = meshes.capsule(a, b, radius - FINE)
                    if min(a[2], b[2]) < radius - FINE:
                        yield f"the torch at {weld.id} dips into the table"
                    if any(meshes.meet(capsule, surface) for surface in self.surfaces):
                        yield f"the torch at {weld.id} {at} runs into something"

    def _ways(self) -> Iterator[str]:
        """Yield collisions on the way in of each part and the way out of all, looked at in short steps."""
        unload = self.alternative.unload
        whole = meshes.union([solid for part in self.alternative.parts for solid in part.solids])
        path = _places([(move.direction, move.distance) for move in unload.moves])
        pulled = set(unload.pull)
        pieces = [*(body for id, body in self.opened.items() if id not in pulled), *self.beside]
        yield from _collisions("the weldment leaving", whole, path, pieces)
        present: list[m3.Manifold] = []
        for step in self.alternative.load:
            moves = [(tuple(-c for c in move.direction), move.distance) for move in reversed(step.moves)]
            hull = self.request.weldment.part(step.part).body
            others = [*self.opened.values(), *self.beside, *([] if hull else present)]
            yield from _collisions(f"{step.part} going in", self.parts[step.part], _places(moves), others)
            present += [] if hull else [self.parts[step.part]]


def _places(moves: list[tuple[tuple[float, ...], float]]) -> list[Array]:
    """Return displacements along moves, about every 12 mm, the first a little off the start."""
    at, found = np.zeros(3), []
    for direction, distance in moves:
        for share in np.linspace(0, 1, max(2, round(distance / 12)) + 1)[1:]:
            found.append(at + share * distance * np.array(direction))
        at = at + distance * np.array(direction)
    return found


def _collisions(who: str, body: m3.Manifold, path: list[Array], others: list[m3.Manifold]) -> Iterator[str]:
    for at in path:
        moved = body.translate(at.tolist())
        for other in others:
            shared = (moved ^ other).volume()
            if shared > 0.2 * max(1.0, 0.06 * _side(other)):
                yield f"{who} runs into something by {shared:.3f} mm3 after {np.round(at, 1)}"


def _side(body: m3.Manifold) -> float:
    """Return the largest side area of a body's bounding box, mm2: touching faces may overlap by 0.05 mm."""
    box = np.array(body.bounding_box()).reshape(2, 3)
    size = box[1] - box[0]
    return float(max(size[0] * size[1], size[1] * size[2], size[0] * size[2]))


def prisms(alternative: Alternative) -> list[Prism]:
    """Return every solid of an alternative."""
    bodies: list[PlacedPart | Placement] = [*alternative.parts, *alternative.placements]
    return [solid for body in bodies for solid in body.solids]
