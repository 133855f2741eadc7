"""How the weldment may lie: which side is down, how it is turned, how high above the table it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.items import Item
from inventory.shapes import Array, turned
from solver.request import Down, Request


@dataclass(frozen=True)
class Lie:
    """One way to lie: direction down, turn, lift above the table's top (mm), and the turns that are the same to hardware."""

    down: Down
    turn: float
    lift: float
    same_turns: tuple[float, ...]

    @property
    def rotation(self) -> Array:
        """Rotation (3x3) from the weldment's directions to the table's."""
        rotation: Array = turned(self.turn)[:3, :3] @ least_rotation(self.down)
        return rotation

    def quarters_to(self, turn: float) -> int:
        """Return by how many quarter turns one of the same turns differs from the lie's own, 0 to 3."""
        return round(((turn - self.turn) % 360.0) / 90.0) % 4


def lies_of(request: Request, items: Sequence[Item], lifts: Sequence[float]) -> list[Lie]:
    """Return the lies to search: turns that differ by quarter turns are one lie if all hardware turns by quarters too."""
    quarters = all(_turns_by_quarters(item) for item in items)
    found = []
    for down in request.down:
        for lift in lifts:
            groups: dict[float, list[float]] = {}
            for turn in request.turn:
                groups.setdefault(round(turn % 90.0, 6) if quarters else turn % 360.0, []).append(turn % 360.0)
            found += [Lie(down, turns[0], lift, tuple(turns)) for turns in groups.values()]
    return found


def _turns_by_quarters(item: Item) -> bool:
    if item.turns == "any":
        return True
    turns = {round(turn % 360.0, 6) for turn in item.turns}
    return turns == {round((turn + 90.0) % 360.0, 6) for turn in turns}


def least_rotation(down: str) -> Array:
    """Return the least rotation (3x3) that turns a weldment direction towards the table."""
    half = {"-z": np.eye(3), "+z": np.diag([1.0, -1.0, -1.0])}
    if down in half:
        return half[down]
    sign = 1.0 if down[0] == "+" else -1.0
    if down[1] == "x":
        return np.array([[0.0, 0.0, sign], [0.0, 1.0, 0.0], [-sign, 0.0, 0.0]])
    return np.array([[1.0, 0.0, 0.0], [0.0, 0.0, sign], [0.0, -sign, 0.0]])
