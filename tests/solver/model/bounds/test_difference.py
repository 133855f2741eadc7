"""Another alternative is another kit: it leaves a piece of each found, and differs by enough pieces."""

from __future__ import annotations

from collections import Counter

import pytest

from solver.model.bounds.difference import Kit, Unlike, differ, kit_of
from solver.model.program import Program
from solver.model.variables import declare
from solver.model.witness import feasible
from solver.position.problem import Problem
from tests import builders as b
from tests.solver.model.positions import position
from tests.solver.model.small import BAR, across

FOUND: Kit = Counter({"stop": 2, "other": 1})


def shop() -> Problem:
    """A flat bar, and two sorts of stop that serve alike."""
    return position(b.request(BAR), b.shelf((b.stop(), 4), (b.stop("other"), 4)), (15, 0))


def allows(kit: Kit, unlike: Unlike) -> bool:
    """Return whether exactly these pieces may stand where another alternative is asked for."""
    problem, program = shop(), Program()
    variables = declare(program, problem)
    for item, count in kit.items():
        takes = [
            (stack, pieces[item]) for stack, pieces in zip(variables.candidates, problem.pieces, strict=True) if pieces[item]
        ]
        program.row("fixed", takes, count, count)
    return feasible(differ(program, variables, problem, [unlike]), 10.0) == "optimal"


@pytest.mark.parametrize(
    ("kit", "pieces", "another"),
    [
        ({"stop": 2, "other": 1}, 1, False),  # the same
        ({"stop": 3, "other": 1}, 1, False),  # the same and one more: nothing is left on the shelf
        ({"stop": 3, "other": 0}, 1, True),
        ({"stop": 3, "other": 0}, 2, True),
        ({"stop": 3, "other": 0}, 3, False),
        ({"stop": 1, "other": 1}, 1, True),  # one less
        ({"stop": 1, "other": 1}, 2, False),
        ({"stop": 0, "other": 4}, 5, True),
        ({"stop": 0, "other": 4}, 6, False),
    ],
)
def test_a_kit_is_another_one_by_what_comes_and_what_goes(kit: dict[str, int], pieces: int, another: bool) -> None:
    assert allows(Counter(kit), Unlike(FOUND, pieces)) is another


def test_pieces_that_cannot_stand_here_are_left_in_any_case() -> None:
    assert allows(Counter({"stop": 2, "other": 0}), Unlike(Counter({"stop": 2, "square": 1}), 1))
    assert not allows(Counter({"stop": 2, "other": 0}), Unlike(Counter({"stop": 2, "square": 1}), 2))


def test_a_kit_counts_every_piece_of_a_choice() -> None:
    problem = shop()
    chosen = across(problem)[:2]
    assert kit_of(problem, chosen).total() == 2
