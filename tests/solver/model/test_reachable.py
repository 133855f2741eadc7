"""Reachable: the torch keeps a way to every weld sample."""

from __future__ import annotations

from random import Random

from solver.model.families.on_demand.reachable import Reachable
from tests.solver.model.positions import Fixing, choice
from tests.solver.model.small import tab


def _apart(candidates: list[int], neighbours: list[int]) -> list[int]:
    """Return of some candidates, in order, those that can stand with all before them."""
    chosen: list[int] = []
    for k in candidates:
        if not any(neighbours[k] >> other & 1 for other in chosen):
            chosen.append(k)
    return chosen


def test_the_torch_keeps_a_way_to_every_sample() -> None:
    """Candidates may stand together if and only if every sample keeps a direction that none of them shuts."""
    rows, samples, draw = Fixing(tab()), [ways for _, ways in tab().reach], Random(1)
    assert rows.add(rows.on_demand(Reachable).broken(choice(tab(), []))) == 1
    concerned = sorted({k for sample in samples for shut in sample for k in shut})
    verdicts = []
    for count in (1, 2, 3, 4, 6, 8) * 3:
        chosen = _apart(draw.sample(concerned, len(concerned)), tab().neighbours)[:count]
        verdicts.append(all(any(not shut & set(chosen) for shut in sample) for sample in samples))
        assert rows.allows(chosen) == verdicts[-1]
    assert True in verdicts and False in verdicts
