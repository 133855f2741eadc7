"""Whether locators face each other across a part or parts that lie against each other: a fault unless the rule book lets them.

Parts of a closed ring that is located together count as one. Upright round parts, which ask for three points around them,
and pins in holes are exempt.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

import numpy as np

from inventory.shapes import Array
from solver.checks.scene.rings import rings_together
from solver.checks.scene.scene import UP, Scene
from solver.checks.tolerances import FACING, HANDS_ON_DEG
from solver.plans import Finding

RULE = "locate.opposed"


def check_opposed(scene: Scene) -> Iterator[Finding]:
    """Yield every pair of pieces that locate from opposite sides, with the play or pinch their repeatabilities allow, mm."""
    allowed = scene.rules[RULE] >= 1
    pads = [
        (piece, contact.part, np.array(contact.normal))
        for piece in scene.pieces.values()
        if not piece.clamping
        for contact in piece.locating
        if not contact.face.startswith("cutout:")
    ]
    rings = [set(ring.parts) for ring in rings_together(scene)]
    for (one, part, normal), (other, behind, back) in combinations(pads, 2):
        if one is other or float(normal @ back) >= FACING:
            continue
        if part == behind and _upright_round(scene, part):
            continue
        in_ring = any({part, behind} <= ring for ring in rings)
        if not in_ring and behind not in pushed(scene, part, normal) and part not in pushed(scene, behind, back):
            continue
        across = part if part == behind else f"{part} and {behind}"
        text = f"they face each other across {across}: it must fit between them, and may rattle or pinch by both repeatabilities"
        text += " beside its own tolerance; friction between them counts as held, though no clamp presses"
        play = one.repeatability_mm + other.repeatability_mm
        yield Finding(RULE, f"{one.id} {other.id}", round(play, 4), None, "mm", allowed, text)


def _upright_round(scene: Scene, id: str) -> bool:
    part = scene.parts[id]
    return part.part.section.round and abs(float(part.pose[:3, 2] @ UP)) > 1 - 1e-6


def pushed(scene: Scene, part: str, direction: Array) -> list[str]:
    """Return a part and every part that it pushes along a direction, through part contacts within 25 degrees of it."""
    chain, least = [part], math.cos(math.radians(HANDS_ON_DEG))
    for id in chain:
        for mate in scene.answer.part_contacts:
            for carried, on, along in ((mate.part, mate.on, 1.0), (mate.on, mate.part, -1.0)):
                if on == id and carried not in chain and along * float(np.array(mate.normal) @ direction) >= least:
                    chain.append(carried)
    return chain
