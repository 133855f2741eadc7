"""Infeasible is said only when it was confirmed a second way.

What is confirmed: (1) every position whose model was built and proved infeasible is given to HiGHS, row for row; a single
solution refutes the proof. (2) Positions that fell before a model was built - because some part alone could not be located,
supported or clamped there - are taken from all over their number, placed anew, and the first rows of their model, without
the floors that made them fall, are given to HiGHS. As many as `MOST_REBUILT` are tried, evenly spread, if time allows; at least
`FEWEST_REBUILT` (or all, if fewer fell) must have been. (3) A weld that is shut in and a weldment without an order of loading
are facts of geometry alone: the independent checker's own geometry confirms a weld whose sides are not open; that the torch
finds no direction, or parts no order, stands on one computation.
What is not confirmed is that all was looked at; what was not is told under `left_out`, and then `unknown` is said.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass

from solver.checks.scene.wedge import drawn_wedge
from solver.deadline import Deadline
from solver.explain.retaken_positions import model_of, spread
from solver.model.witness import feasible
from solver.search.lattice_position import LatticePosition
from solver.search.search import Search

log = logging.getLogger(__name__)
MOST_REBUILT = 16
FEWEST_REBUILT = 3


@dataclass(frozen=True, slots=True)
class Confirmation:
    """Whether the second way agrees (None: not known in time), how many proofs it repeated and positions it made anew."""

    agrees: bool | None
    proofs: int
    rebuilt: int


def confirm(search: Search, deadline: Deadline) -> Confirmation:
    """Confirm that nothing can stand at any position of a search that found nothing.

    Parameters
    ----------
    deadline : Deadline
        When this must end.
    """
    proofs = rebuilt = 0
    for fallen in search.fallen:
        if fallen.program is None:
            continue
        verdict = feasible(fallen.program, deadline.seconds_left())
        if verdict == "optimal":
            _disagrees(fallen.position, "a proved position")
            return Confirmation(False, proofs, rebuilt)
        if verdict != "infeasible":
            return Confirmation(None, proofs, rebuilt)
        proofs += 1
    early = [fallen.position for fallen in search.fallen if fallen.program is None]
    for position in spread(early, MOST_REBUILT):
        if deadline.over:
            break
        model = model_of(search, position)
        verdict = "infeasible" if model is None else feasible(model.program, deadline.seconds_left())
        if verdict == "optimal":
            _disagrees(position, "a position given up early")
            return Confirmation(False, proofs, rebuilt)
        rebuilt += verdict == "infeasible"
    return Confirmation(True if rebuilt >= min(FEWEST_REBUILT, len(early)) else None, proofs, rebuilt)


def confirm_shut(search: Search, shut: list[str]) -> Confirmation:
    """Confirm by the checker's geometry that some stretch of each of these welds has no open side."""
    parts = {part.id: part for part in search.request.weldment.parts}
    welds = [weld for weld in search.request.weldment.welds if weld.id in shut]
    for weld in welds:
        stretches = range(len(weld.path) - 1)
        if all(drawn_wedge(weld, parts[weld.parts[0]], parts[weld.parts[1]], k) is not None for k in stretches):
            log.error("weld %s is shut in, but the checker finds its side open", weld.id)
            return Confirmation(False, 0, 0)
    return Confirmation(True, len(welds), 0)


def _disagrees(position: LatticePosition, what: str) -> None:
    log.error(
        "HiGHS finds a fixture where none was thought possible: %s, lie %s, lattice %s",
        what,
        position.orientation.lie,
        position.lattice,
    )
