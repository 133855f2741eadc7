"""What an alternative is called, and how it differs from the cheapest."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from solver.geometry.tolerances import PARALLEL
from solver.plans import Alternative, Move


def title(rank: int) -> str:
    """Return an alternative's title."""
    return "cheapest" if rank == 1 else f"alternative {rank}"


def differs(alternative: Alternative, earlier: list[Alternative]) -> str:
    """Return one line saying how an alternative differs from the cheapest."""
    if not earlier:
        return ""
    first = earlier[0]
    said = []
    if alternative.table != first.table:
        said.append(f"on table {alternative.table}")
    if alternative.down != first.down:
        said.append(f"lies with {alternative.down} down")
    used = Counter(p.item for p in alternative.placements)
    base = Counter(p.item for p in first.placements)
    more, fewer = used - base, base - used
    if more:
        said.append("takes " + ", ".join(f"{count} {item}" for item, count in sorted(more.items())))
    if fewer:
        said.append("saves " + ", ".join(f"{count} {item}" for item, count in sorted(fewer.items())))
    if not more and not fewer:
        said.append("the same pieces against other faces")
    pulled = len(alternative.unload.pull) - len(first.unload.pull)
    if pulled:
        said.append(f"{abs(pulled)} {'more' if pulled > 0 else 'fewer'} pulled each cycle")
    seconds = alternative.setup_s - first.setup_s
    if seconds:
        said.append(f"{abs(seconds) / 60:.1f} min {'longer' if seconds > 0 else 'shorter'} per setup")
    cycle = alternative.cycle_s - first.cycle_s
    if cycle:
        said.append(f"{abs(cycle)} s {'longer' if cycle > 0 else 'shorter'} per weldment")
    return "; ".join(said)


def route(moves: Sequence[Move]) -> str:
    """Return straight moves in words, in the order made: ``up 27 mm, towards +x 30 mm``."""
    return ", ".join(f"{_towards(move)} {move.distance:g} mm" for move in moves)


def _towards(move: Move) -> str:
    x, y, z = move.direction
    if abs(z) > 1 - PARALLEL:
        return "up" if z > 0 else "down"
    for name, along in (("x", x), ("y", y)):
        if abs(along) > 1 - PARALLEL:
            return f"towards {'+' if along > 0 else '-'}{name}"
    return f"level at {math.degrees(math.atan2(y, x)) % 360.0:.4g} deg from +x"
