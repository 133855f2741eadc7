"""Straight moves in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from solver.geometry.tolerances import PARALLEL
from solver.plans import Move


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
