"""The same rows by four solvers: on the tab on a tube, on rows of which all is known, and answers that contradict each other."""

from __future__ import annotations

import pytest
import scipy.optimize

from solver.model.program import Program
from tests import builders as b
from tests.benchmarks import solvers
from tests.benchmarks.solvers import SOLVERS, Answer, agree, first_rows


def test_all_solvers_agree_on_a_small_job(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(solvers, "request_of", lambda name: b.request(b.tab_on_tube()))
    monkeypatch.setattr(solvers, "SHOP", b.plain_shelf())
    solvers.report("tab", 0.5)
    title, _, *rows = capsys.readouterr().out.splitlines()
    assert title.startswith("tab: ") and len(rows) == len(SOLVERS)
    values = [row.split()[-4] for row in rows]
    assert rows[0].split()[-1] == rows[2].split()[-1] == "optimal" and values[0] == values[2]


def test_a_job_that_no_position_is_modelled_for_has_no_rows() -> None:
    """A tube longer than its table by far."""
    assert first_rows(b.request(b.weldment(b.tube(length=9000))), b.plain_shelf()) is None


def three_of_five() -> Program:
    """Pick three of five at 5, 4, 3, 2, 1 cents, not the two cheapest together: 1 + 3 + 4 = 8, and 100 for the rest."""
    program = Program()
    picked = [program.variable() for _ in range(5)]
    program.row("count", [(v, 1) for v in picked], low=3)
    program.at_most_one(picked[3:])
    program.cost({v: 5 - k for k, v in enumerate(picked)}, 100)
    return program


@pytest.mark.parametrize("solver", SOLVERS)
def test_a_solver_finds_the_least_and_proves_it(solver: str) -> None:
    assert SOLVERS[solver](three_of_five(), 10.0) == Answer("optimal", 108, 108)


@pytest.mark.parametrize("solver", SOLVERS)
def test_a_solver_proves_that_there_is_none(solver: str) -> None:
    program = three_of_five()
    program.row("count", [(v, 1) for v in range(5)], high=2)
    assert SOLVERS[solver](program, 10.0) == Answer("infeasible", None, None)


def test_what_highs_found_by_its_limit_is_an_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """The witness takes only what is proved; value and bound are those of the last time HiGHS was asked."""

    def witness(program: Program, seconds: float) -> tuple[str, None]:
        scipy.optimize.milp([1.0], integrality=[1], bounds=scipy.optimize.Bounds(2, 3))
        return "unknown", None

    monkeypatch.setattr(solvers, "witness", witness)
    assert SOLVERS["HiGHS"](three_of_five(), 10.0) == Answer("feasible", 102, 102)


def test_answers_that_contradict_each_other_are_noticed() -> None:
    best, none = Answer("optimal", 8, 8), Answer("infeasible", None, None)
    assert agree([best, best, Answer("feasible", 9, 3), Answer("unknown", None, None)])
    assert not agree([best, Answer("optimal", 9, 9)])
    assert not agree([best, none])
    assert not agree([Answer("feasible", 7, None), Answer("feasible", 9, 8)])
