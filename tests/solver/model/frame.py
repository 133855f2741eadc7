"""A mitred frame at one lattice position: its candidates named by where they stand in the weldment, and a choice that is well."""

from __future__ import annotations

from functools import cache

from solver.hardware.candidates import Candidate
from solver.position.problem import Problem
from tests import builders as b
from tests.outside import rings
from tests.solver.model.positions import position

STOCK = b.shelf((b.stop(), 12), (b.stop("wide", width=60), 2), (b.down_clamp("long", reach=120), 4), (b.side_clamp(), 4))


@cache
def problem() -> Problem:
    """Return what may stand around a frame of tubes 50 wide, 400 x 320 over its centre lines, faces of stops flush with it."""
    return position(b.request(rings.frame(400, 320)), STOCK, (0, 0))


def at(item: str, x: float, y: float, *parts: int) -> int:
    """Return the candidate of an item in the hole at (x, y) that meets these parts."""

    def there(candidate: Candidate) -> bool:
        near = abs(candidate.origin[0] - x) < 1e-6 and abs(candidate.origin[1] - y) < 1e-6
        return candidate.stack.top.id == item and near and candidate.parts == set(parts)

    (found,) = [index for index, candidate in enumerate(problem().candidates) if there(candidate)]
    return found


def stops(*, tip: bool = True) -> list[int]:
    """Return two side points a tube, all pushing along x or y, and (`tip`) with the wide stop at the corner of tubes 3 and 0."""
    corner = at("wide", -40, 0, 0, 3) if tip else at("stop", -40, 80, 3)
    front, back = [at("stop", x, -40, 0) for x in (40, 320)], [at("stop", x, 280, 2) for x in (40, 320)]
    right = [at("stop", 360, y, 1) for y in (80, 240)]
    return [*front, *back, *right, corner, at("stop", -40, 240, 3)]


def clamps(*, pushing: bool = True) -> list[int]:
    """Return a clamp a tube: two that press down, and two (`pushing`) that close the joints or else press down as well."""
    down = [at("long", 160, -120, 0), at("long", -120, 160, 3)]
    return [*down, at("push", 480, 160, 1), at("push", 160, 400, 2)] if pushing else down
