"""The random weldments are such as could be welded: parts touch, none stands in another, every weld lies on its joint."""

from __future__ import annotations

from random import Random

import pytest

from solver.candidates.assembly import assemble, drawn_samples, least_rotation
from solver.fit import faults
from solver.rules import RuleBook
from solver.weldment import Weldment
from tests.properties.structures import a_structure

PLAY = 0.4
"""A bar in its hole stands this near to the rim, mm."""


def in_one_piece(weldment: Weldment) -> bool:
    """Return whether every part is reached from the first through parts that touch, or stand in one another's holes."""
    rules = RuleBook()
    lying = assemble(weldment, rules, least_rotation("-z"), 0.0, drawn_samples(weldment, rules)[0])
    parts = range(len(weldment.parts))
    near = {(a, b) for a in parts for b in parts if a != b and lying.beside(a, b, PLAY)}
    reached, fresh = {0}, {0}
    while fresh:
        fresh = {b for a, b in near if a in fresh} - reached
        reached |= fresh
    return len(reached) == len(weldment.parts)


@pytest.mark.parametrize("parts", range(1, 9))
def test_a_structure_fits_together(parts: int) -> None:
    for seed in range(4):
        weldment = a_structure(Random(seed), parts)
        assert len(weldment.parts) == parts
        assert not list(faults(weldment.parts, weldment.welds, 0.1))
        assert in_one_piece(weldment), seed
