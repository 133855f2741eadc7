"""The random weldments are such as could be welded: parts touch, none stands in another, every weld lies on its joint."""

from __future__ import annotations

from random import Random

import pytest

from solver.geometry.proximity import box_pairs, near
from solver.laying.fit import fit_faults
from solver.laying.lay_out import drawn_samples, lay_out
from solver.laying.lies import least_rotation
from solver.rule_book.book import RuleBook
from solver.weldment import Weldment
from tests.properties.structures import a_structure

PLAY = 0.4
"""A bar in its hole stands this near to the rim, mm."""


def in_one_piece(weldment: Weldment) -> bool:
    """Return whether every part is reached from the first through parts that touch, or stand in one another's holes."""
    rules = RuleBook()
    bodies = lay_out(weldment, rules, least_rotation("-z"), 0.0, drawn_samples(weldment, rules)[0]).hulls
    i, j = box_pairs(bodies.boxes, bodies.boxes, PLAY)
    close = near(bodies, i, bodies, j, PLAY)
    beside = set(zip(bodies.owner[i[close]].tolist(), bodies.owner[j[close]].tolist(), strict=True))
    reached, fresh = {0}, {0}
    while fresh:
        fresh = {b for a, b in beside if a in fresh} - reached
        reached |= fresh
    return len(reached) == len(weldment.parts)


@pytest.mark.parametrize("parts", range(1, 9))
def test_a_structure_fits_together(parts: int) -> None:
    for seed in range(4):
        weldment = a_structure(Random(seed), parts)
        assert len(weldment.parts) == parts
        assert not list(fit_faults(weldment.parts, weldment.welds, 0.1))
        assert in_one_piece(weldment), seed
