"""Whether the weldment lies as the request allows: which side is down, how it is turned."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from inventory.shapes import turned
from solver.checks.report import at_most, fail, passed
from solver.checks.tolerances import SAME_DIRECTION
from solver.plans import Alternative, Finding
from solver.request import Request

DOWN = {
    "-z": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "+z": ((1, 0, 0), (0, -1, 0), (0, 0, -1)),
    "-x": ((0, 0, -1), (0, 1, 0), (1, 0, 0)),
    "+x": ((0, 0, 1), (0, 1, 0), (-1, 0, 0)),
    "-y": ((1, 0, 0), (0, 0, -1), (0, 1, 0)),
    "+y": ((1, 0, 0), (0, 0, 1), (0, -1, 0)),
}


def check_lie(request: Request, answer: Alternative) -> Iterator[Finding]:
    """Yield whether side down and turn are allowed and `weldment_to_table` is the least rotation, then the turn, then a shift."""
    place = np.array(answer.weldment_to_table)
    down_allowed = answer.down in request.down and answer.down in DOWN
    if not down_allowed:
        yield fail("lie.allowed", answer.down, f"the request allows {', '.join(request.down)} down")
    turns = [turn % 360 for turn in request.turn]
    if not any(abs((answer.turn - turn + 180) % 360 - 180) < SAME_DIRECTION for turn in turns):
        yield fail("lie.allowed", f"{answer.turn:g}", f"the request allows turns {', '.join(f'{t:g}' for t in turns)}")
    elif down_allowed:
        yield passed("lie.allowed", answer.table)
    if answer.down in DOWN:
        wanted = turned(answer.turn)[:3, :3] @ np.array(DOWN[answer.down], dtype=float)
        off = float(np.abs(place[:3, :3] - wanted).max())
        yield at_most("lie.rotation", answer.table, off, SAME_DIRECTION, "", "weldment_to_table against side down and turn")
    last = float(np.abs(place[3] - np.array([0.0, 0.0, 0.0, 1.0])).max())
    if last > SAME_DIRECTION:
        yield fail("lie.rotation", answer.table, "the last row of weldment_to_table is 0 0 0 1", last, 0.0)
