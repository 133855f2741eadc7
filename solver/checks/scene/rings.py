"""Closed rings: parts each of which meets the next at an upright mitre, the last the first.

They are located together where a locator's pad meets a tip of one of them and the rule book lets it count.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.checks.scene.faces import Face, faces
from solver.checks.scene.scene import UP, Scene, SetPart
from solver.checks.scene.tips import NAME
from solver.checks.tolerances import LEVEL, TOUCH
from solver.plans import PartContact

RULE = "locate.together"


@dataclass(frozen=True)
class Ring:
    """Parts that meet in a closed ring, in the order of the weldment, and the contacts of one with the other."""

    parts: tuple[str, ...]
    joints: tuple[PartContact, ...]

    @property
    def subject(self) -> str:
        """The parts' ids in one line."""
        return " ".join(self.parts)


def rings_together(scene: Scene) -> tuple[Ring, ...]:
    """Return the closed rings of a scene whose parts are located together."""
    if scene.rules[RULE] < 1:
        return ()
    tips = {
        contact.part
        for piece in scene.pieces.values()
        if not piece.clamping
        for contact in piece.locating
        if contact.face.startswith(NAME)
    }
    return tuple(ring for ring in closed_rings(scene) if tips & set(ring.parts)) if tips else ()


def ring_of(scene: Scene, id: str) -> Ring | None:
    """Return the ring a part is located with, None if it is located by itself."""
    return next((ring for ring in rings_together(scene) if id in ring.parts), None)


def closed_rings(scene: Scene) -> Iterator[Ring]:
    """Yield the rings of parts that each meet two others at upright mitres."""
    mitres = [mate for mate in scene.answer.part_contacts if _mitre(scene, mate)]
    beside: dict[str, set[str]] = {id: set() for id in scene.parts}
    for mate in mitres:
        beside[mate.part].add(mate.on)
        beside[mate.on].add(mate.part)
    left = list(scene.parts)
    while left:
        chain = [left[0]]
        for id in chain:
            chain += [other for other in sorted(beside[id]) if other not in chain]
        left = [id for id in left if id not in chain]
        if all(len(beside[id]) == 2 for id in chain):
            own = tuple(id for id in scene.parts if id in chain)
            yield Ring(own, tuple(mate for mate in mitres if mate.part in chain))


def _mitre(scene: Scene, mate: PartContact) -> bool:
    """Return whether two parts meet cut to cut, upright."""
    normal, patch = np.array(mate.normal), np.array(mate.patch)
    ends = ((scene.parts[mate.part], normal), (scene.parts[mate.on], -normal))
    return abs(float(normal @ UP)) < LEVEL and all(_on_a_cut(part, patch, into) for part, into in ends)


def _on_a_cut(part: SetPart, patch: Array, normal: Array) -> bool:
    return any(
        isinstance(face, Face) and face.label.startswith("cut:") and face.excess(patch, normal) <= TOUCH for face in faces(part)
    )
