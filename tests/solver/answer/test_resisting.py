"""What a tolerance asks for forbids no choice that keeps it: random choices of locators, judged one by one."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from solver.position.locating_errors import locating_violations
from solver.position.problem import Problem
from tests.solver.answer.test_decided import asked, cheapest, coarse_and_true_stops, with_tolerance
from tests.solver.answer.test_findings import recorded


def like(problem: Problem, index: int) -> list[int]:
    """Candidates that meet the same parts along the same normals."""

    def key(one: int) -> list[tuple[int, tuple[float, ...]]]:
        return [(m.part, tuple(np.round(m.normal, 6).tolist())) for m in problem.candidates[one].meetings]

    clamp = problem.candidates[index].clamp
    return [one for one in range(len(problem.candidates)) if problem.candidates[one].clamp is clamp and key(one) == key(index)]


def test_every_choice_that_is_true_resists_what_others_let_happen(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = recorded(monkeypatch)
    cheapest(asked(with_tolerance(1.5)), coarse_and_true_stops())
    problem, chosen, draw = kept[0].fixture.problem, kept[0].fixture.choice.candidates, Random(7)
    choices = [like(problem, index) for index in chosen]
    fine: list[set[int]] = []
    needed: list[frozenset[int]] = []
    for _ in range(400):
        stands = sorted({draw.choice(options) for options in choices})
        broken = locating_violations(problem, stands)
        if not broken:
            fine.append(set(stands))
        for entry in broken:
            if entry.needed is not None:
                assert not entry.needed & set(stands)
                needed.append(entry.needed)
    assert len(fine) > 20 and len(needed) > 20
    for choice in fine:
        assert all(choice & one for one in needed)
