"""Whether locators face each other across a part or across parts that lie against each other: told, never a fault."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np

from inventory.shapes import Array
from solver.checks.scene.scene import Scene
from solver.checks.tolerances import FACING
from solver.plans import Finding

RULE = "locate.opposed"


def check_opposed(scene: Scene) -> Iterator[Finding]:
    """Yield every pair of pieces that locate from opposite sides, with the play or pinch their repeatabilities allow, mm."""
    pads = [
        (piece, contact.part, np.array(contact.normal))
        for piece in scene.pieces.values()
        if not piece.clamping
        for contact in piece.locating
    ]
    for (one, part, normal), (other, behind, back) in combinations(pads, 2):
        if one is other or float(normal @ back) > FACING:
            continue
        between = pushed(scene, part, normal)
        if behind not in between:
            continue
        across = part if part == behind else f"{part} and {behind}"
        text = f"they face each other across {across}: it must fit between them, and may rattle or pinch by both repeatabilities"
        text += " beside its own tolerance; friction between them counts as held, though no clamp presses"
        play = one.repeatability_mm + other.repeatability_mm
        yield Finding(RULE, f"{one.id} {other.id}", round(play, 4), None, "mm", True, text)


def pushed(scene: Scene, part: str, direction: Array) -> list[str]:
    """Return a part and every part that it pushes along a direction, through part contacts."""
    chain = [part]
    for id in chain:
        for mate in scene.answer.part_contacts:
            for carried, on, along in ((mate.part, mate.on, 1.0), (mate.on, mate.part, -1.0)):
                if on == id and carried not in chain and along * float(np.array(mate.normal) @ direction) > -FACING:
                    chain.append(carried)
    return chain
