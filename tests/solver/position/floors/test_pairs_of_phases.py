"""Lattice positions given up together have no finite floor, one by one."""

from __future__ import annotations

import numpy as np
import pytest

from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.position.floors.pairs_of_phases import may_stand
from solver.search.search import Search
from tests.properties.test_random_jobs import job


@pytest.mark.parametrize(("number", "parts"), [(1, 2), (2, 3), (13, 6), (6, 5), pytest.param(9, 4, marks=pytest.mark.slow)])
def test_what_is_given_up_at_once_has_no_floor(number: int, parts: int) -> None:
    request, stock = job(number, parts)
    search = Search(request, stock, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 1000.0))
    search.open()
    for orientation in search.tried:
        if not orientation.phases:
            continue
        bounds, phases = orientation.bounds, np.array(orientation.phases)
        (xs, i), (ys, j) = (np.unique(phases[:, axis], return_inverse=True) for axis in range(2))
        x, y = bounds.along(xs.tolist(), 0), bounds.along(ys.tolist(), 1)
        there = may_stand(bounds, x, y)[i, j]
        floors = bounds.floors(x.take(i), y.take(j), bounds.slanted(phases))
        assert np.isinf(floors[~there]).all()
        kept = sum(position.orientation is orientation for position in search.positions)
        assert kept == np.isfinite(floors).sum() * len(orientation.tables)
