"""A program solved by CP-SAT: one worker, one seed, the same answer every time."""

from __future__ import annotations

import math
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

from solver.deadline import current
from solver.model.cp_model import cp_model
from solver.model.cpsat_model import model_of
from solver.model.program import Program

Verdict = Literal["optimal", "feasible", "infeasible", "unknown"]
_LOOK_EVERY_S = 0.05


@dataclass(frozen=True, slots=True)
class Solved:
    """A verdict, the solution's values by variable (None if there is none), the proven bound, deterministic work."""

    verdict: Verdict
    values: list[int] | None
    value: int | None
    bound: int | None
    work: float


def solve(
    program: Program,
    *,
    seed: int,
    seconds: float,
    work: float | None = None,
    floor: int | None = None,
    ceiling: int | None = None,
    hint: Mapping[int, int] | None = None,
) -> Solved:
    """Minimise a program; if the caller of the deadline in force wants to end, the search stops where it is.

    Parameters
    ----------
    seconds, work : float
        Limits: wall clock, s, and the solver's deterministic units.
    floor : int
        No solution costs less than this (known from fewer rows): a solution at the floor ends the search.
    ceiling : int
        Only solutions that cost at most this are of interest.
    """
    if ceiling is not None or floor is not None:
        program = _within(program, ceiling, floor)
    model = model_of(program)
    if hint:
        model.proto.solution_hint.vars.extend(list(hint))
        model.proto.solution_hint.values.extend(list(hint.values()))
    solver = cp_model.CpSolver()
    settings = solver.parameters
    settings.num_workers = 1
    settings.catch_sigint_signal = False  # else no later Ctrl-C would reach Python: the default action ends the process
    settings.random_seed = seed % 2**31
    settings.linearization_level = 2
    settings.presolve_inclusion_work_limit = 0
    settings.max_presolve_iterations = 1
    # models are small and many: what takes longer to prepare than to search is left out
    settings.cp_model_probing_level = 0
    settings.merge_at_most_one_work_limit = 0
    settings.cut_level = 0
    settings.symmetry_level = 0
    settings.max_time_in_seconds = max(0.01, seconds)
    if work is not None:
        settings.max_deterministic_time = max(1e-6, work)
    with stopped_on_wish(solver):
        status = solver.solve(model)
    verdict: Verdict = _VERDICTS.get(status, "unknown")
    if verdict in ("optimal", "feasible"):
        values = list(solver.response_proto.solution)
        value = program.value(values)
        return Solved(verdict, values, value, _bound(solver, program), solver.deterministic_time)
    return Solved(verdict, None, None, _bound(solver, program) if verdict == "unknown" else None, solver.deterministic_time)


def feasible(program: Program, seconds: float) -> Verdict:
    """Return whether a program without objective has a solution, `optimal` for yes."""
    return solve(program, seed=1, seconds=seconds).verdict


def _within(program: Program, ceiling: int | None, floor: int | None) -> Program:
    """Return a copy of a program whose objective stays between a floor and a ceiling."""
    copy = program.copy()
    if ceiling is not None:
        copy.row("price", program.objective.items(), high=ceiling - program.constant)
    if floor is not None:
        copy.row("price", program.objective.items(), low=floor - program.constant)
    return copy


def _bound(solver: cp_model.CpSolver, program: Program) -> int | None:
    bound = solver.best_objective_bound
    return None if not math.isfinite(bound) else math.ceil(bound - 1e-6) + program.constant


_VERDICTS: dict[cp_model.CpSolverStatus, Verdict] = {
    cp_model.OPTIMAL: "optimal",
    cp_model.FEASIBLE: "feasible",
    cp_model.INFEASIBLE: "infeasible",
}


@contextmanager
def stopped_on_wish(solver: cp_model.CpSolver) -> Iterator[None]:
    """Have a thread look whether the caller wants the search to end, and stop it then; most are over before its first look."""
    deadline = current()
    if deadline is None:
        yield
        return
    done = threading.Event()

    def watch() -> None:
        while not done.wait(_LOOK_EVERY_S):
            if deadline.should_stop():
                solver.stop_search()
                return

    watcher = threading.Thread(target=watch, name="holdwright-search-watch", daemon=True)
    watcher.start()
    try:
        yield
    finally:
        done.set()
        watcher.join()
