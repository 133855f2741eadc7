"""The model's variables, by the words of the trade."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from solver.cost import fixtures_on_table
from solver.model.program import Program
from solver.position.problem import Problem


@dataclass(frozen=True)
class Variables:
    """Indices of the program's variables.

    Parameters
    ----------
    candidates : list
        One binary per candidate: it stands.
    side : list
        One binary per side group: it serves as its part's side.
    buy : dict
        Per item, how many pieces are bought.
    pull : dict
        Per candidate whose top piece may be pulled before unloading, one binary: it is.
    seat : list
        One binary per seat the model chooses among: the weldment has it.
    around_end : dict
        Per level contact (candidate, its meeting) with an upright round part, one binary: of the contacts all around it this is
        its end. Only where the request names what serves as an end or a side.
    together : sequence
        One binary per closed ring: its parts are located together.
    """

    candidates: list[int]
    side: list[int]
    buy: dict[str, int]
    pull: Mapping[int, int] = field(default_factory=dict)
    seat: list[int] = field(default_factory=list)
    around_end: Mapping[tuple[int, int], int] = field(default_factory=dict)
    together: Sequence[int] = ()


def declare(program: Program, problem: Problem) -> Variables:
    """Add the variables every family speaks of."""
    chosen = [program.variable() for _ in problem.candidates]
    side = [program.variable() for _ in problem.groups]
    items = sorted({item for pieces in problem.pieces for item in pieces})
    most = 50 * fixtures_on_table(problem.request) if problem.request.shortage == "price" else 0
    buy = {item: program.variable(0, most) for item in items} if most else {}
    pull = {index: program.variable() for index in sorted(problem.routes.pullable)}
    seat = [program.variable() for _ in problem.seats]
    around_end = {contact: program.variable() for contact in _around(problem)}
    together = [program.variable() for _ in problem.laid.rings]
    return Variables(chosen, side, buy, pull, seat, around_end, together)


def _around(problem: Problem) -> list[tuple[int, int]]:
    """Return the level contacts with upright round parts, if the request names what serves as an end or a side."""
    asked = (*problem.request.pins, *problem.request.avoid)
    if all(described.role not in ("side", "end") for described in asked):
        return []
    parts = {group.part for group in problem.groups if group.around}
    return [
        (index, number)
        for index, candidate in enumerate(problem.candidates)
        for number, meeting in enumerate(() if candidate.clamp else candidate.meetings)
        if meeting.part in parts and meeting.sideways is not None
    ]
