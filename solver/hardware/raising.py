"""Heights at which rests, risers and V-blocks carry a weldment that does not lie on the table."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.items import Item
from solver.geometry.tolerances import CARRIES, PARALLEL
from solver.hardware.lattice_positions import SAME_PHASE
from solver.hardware.stacks import Stack, carriers, single, stacked_on, turns_of
from solver.laying.laid_weldment import LaidPart, LaidWeldment


def lifts_of(items: Sequence[Item], laid: LaidWeldment, pitch: float, most: int, least: float = 0.0) -> dict[float, list[Stack]]:
    """Return the heights (mm) at which pieces carry a weldment that does not lie on the table, and the stacks that give each.

    Rests and V-blocks stand under its lowest parts, alone or on at most so many (`most`) carriers. `laid` lies on the table;
    heights are at least `least`, the lowest first.
    """
    under = carriers([item for item in items if item.carries], pitch, most)
    found: dict[float, list[Stack]] = {}
    lowest = [part for part in laid.parts if float(part.hulls.points[:, 2].min()) < SAME_PHASE]
    for item in items:
        if item.clamp is not None or not any(contact.normal[2] > CARRIES for contact in item.contacts):
            continue
        alone = single(item, turns_of(item, (0.0,))[0])
        for stack in (alone, *(on for carrier in under for on in stacked_on(item, alone.turn, carrier, pitch))):
            for height in {round(height, 3) for part in lowest for height in _heights(stack, part)}:
                if height > max(SAME_PHASE, least):
                    found.setdefault(height, []).append(stack)
    return dict(sorted(found.items()))


def _heights(stack: Stack, part: LaidPart) -> list[float]:
    """Return how high a part's lowest line or face lies above the table on a stack's upward pads."""
    level = [float(pad.at[2]) for pad in stack.pads if pad.normal[2] > 1 - PARALLEL]
    flanks = [pad for pad in stack.pads if CARRIES < pad.normal[2] < 1 - PARALLEL]
    if part.part.section.round and len(flanks) == 2:
        radius = (part.part.section.diameter or 0.0) / 2
        rows = np.array([[np.hypot(*pad.normal[:2]) * np.sign(pad.normal @ flanks[0].normal), pad.normal[2]] for pad in flanks])
        rows[1, 0] = -rows[0, 0]
        meets = np.linalg.solve(rows, [radius + float(pad.normal @ pad.at) for pad in flanks])
        return [float(meets[1]) - radius]
    return level if not part.part.section.round else []
