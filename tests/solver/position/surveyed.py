"""Searches of tiny jobs, opened, with their orientations and lattices."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from solver.deadline import Deadline
from solver.hardware.candidates import Lattice
from solver.laying.lay_out import drawn_samples
from solver.search.orientation import Orientation
from solver.search.search import Search
from tests.solver.model.tiny import tiny_job, tiny_pair


def opened(seed: int, pair: bool) -> Search:
    """Return the search of a tiny job, its orientations on the table open."""
    request, stock = (tiny_pair if pair else tiny_job)(Random(seed))
    search = Search(request, stock, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 1000.0))
    search.open()
    return search


def places(seed: int, pair: bool, most: int = 12) -> Iterator[tuple[Orientation, list[Lattice]]]:
    """Yield each orientation of a tiny job with some of its lattices."""
    for orientation in opened(seed, pair).tried:
        lattices = [Lattice(phase, orientation.bounds.pitch) for phase in orientation.phases]
        if lattices:
            yield orientation, lattices[:: max(1, len(lattices) // most)]
