"""Positions of the table taken up again after the search gave them up: sites, problem and model, made anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
from solver.model.position_model import PositionModel
from solver.position.problem_of import problem_of
from solver.position.seatings import seatings_of
from solver.position.seats import off_table, usable_holes
from solver.search.lattice_position import LatticePosition
from solver.search.search import Search


def placed(search: Search, position: LatticePosition, refused: Counter[str]) -> Sites | None:
    """Return all that can stand at a position on its seat, None if the weldment has no seat on the table there.

    `refused` counts the sites that fall out, by rule.
    """
    orientation, request = position.orientation, search.request
    sites = screen(find_sites(orientation.reach, [position.lattice]), orientation.laid, refused)
    edge, without = request.rules["clear.table_edge"], request.without
    if position.seat is None:
        seats = seatings_of(position.table, orientation.laid, position.lattice, orientation.lie, without, sites, edge)
        return sites if seats.seatings else None
    off = off_table(sites, np.arange(len(sites)), position.seat, usable_holes(position.table, without), edge)
    refused["table.hole"] += int(off.sum())
    return sites.where(~off)


def model_of(search: Search, position: LatticePosition) -> PositionModel | None:
    """Return a position's model with the first rows only, from every site and without floors; None if there is no room."""
    sites = placed(search, position, Counter())
    if sites is None:
        return None
    orientation = position.orientation
    problem = problem_of(search.request, search.stock, position.laid, sites, orientation.torch, orientation.times, position.table)
    return PositionModel(problem)


def spread(positions: Sequence[LatticePosition], most: int) -> list[LatticePosition]:
    """Return at most so many positions, evenly from all."""
    count = min(most, len(positions))
    return [positions[k * len(positions) // count] for k in range(count)]
