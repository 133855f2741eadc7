"""The same rows by four solvers: ours, CP-SAT as it comes, HiGHS, and plain enumeration.

    python -m tests.benchmarks solvers [--limit SECONDS] [JOB ...]

The rows are those of the first lattice position that a job's search models, with all that were found on demand by its answer. CP-SAT has one worker
both times; as it comes, it has its own settings otherwise. Times are CPU seconds of this process; enumeration ends by these, the
others by wall clock. Values and bounds are cents; ratio is the time by that of our settings.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any
from unittest.mock import patch

import scipy.optimize

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.model.cp_model import cp_model
from solver.model.cpsat import solve
from solver.model.cpsat_model import model_of
from solver.model.position_model import PositionModel
from solver.model.program import Program
from solver.model.witness import witness
from solver.request import Request
from solver.search.search import Search
from tests.benchmarks.enumeration import cheapest
from tests.benchmarks.shop import SHOP, request_of

JOBS = ("hinge-tab", "tee", "angle-bracket", "braced-frame")
LIMIT_S = 60.0
LONG_S = 86_400.0


@dataclass(frozen=True)
class Answer:
    """What a solver says of a program: a verdict, the best value and the proven bound in cents, None if it has none."""

    verdict: str
    value: int | None
    bound: int | None


def report(name: str, limit: float) -> None:
    """Print one job's table."""
    program = first_rows(replace(request_of(name), alternatives=1), SHOP)
    if program is None:
        print(f"{name}: no position is modelled", flush=True)
        return
    print(f"{name}: {len(program.low)} variables, {len(program.rows)} rows, {len(program.cliques)} cliques")
    print(f"  {'solver':20} {'s':>8} {'value':>8} {'bound':>8} {'ratio':>9}  verdict")
    ours: float | None = None
    answers = []
    for solver, call in SOLVERS.items():
        start = time.process_time()
        answers.append(call(program, limit))
        seconds = time.process_time() - start
        ours = ours or seconds
        print(line(solver, seconds, answers[-1], ours), flush=True)
    if not agree(answers):
        print("  THE SOLVERS DO NOT AGREE", flush=True)


def first_rows(request: Request, stock: StockSnapshot) -> Program | None:
    """Return the program of the first position that a request's search models, None if there is none."""
    asked = PositionModel.cheapest

    def ask_and_stop(model: PositionModel, *args: Any, **more: Any) -> None:
        asked(model, *args, **more)
        raise _FirstModelError(model.program)

    with patch.object(PositionModel, "cheapest", ask_and_stop):
        try:
            search = Search(request, stock, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: LONG_S))
            search.open()
            search.cheapest(())
        except _FirstModelError as found:
            return found.program
    return None


def by_ours(program: Program, limit: float) -> Answer:
    """Solve a program by CP-SAT with the planner's settings."""
    found = solve(program, seed=1, seconds=limit)
    return Answer(found.verdict, found.value, found.value if found.verdict == "optimal" else found.bound)


def by_cpsat(program: Program, limit: float) -> Answer:
    """Solve a program by CP-SAT with its own settings and one worker."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = limit
    status = solver.solve(model_of(program))
    bound = solver.best_objective_bound
    value = program.value(list(solver.response_proto.solution)) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    return Answer(
        solver.status_name(status).lower(),
        value,
        _whole(bound, program) if status != cp_model.INFEASIBLE else None,
    )


def by_highs(program: Program, limit: float) -> Answer:
    """Solve a program by HiGHS, as the planner's witness asks it; its bound is the one HiGHS states."""
    results: list[Any] = []
    milp = scipy.optimize.milp

    def watched(*args: Any, **more: Any) -> Any:
        results.append(milp(*args, **more))
        return results[-1]

    with patch.object(scipy.optimize, "milp", watched):
        verdict, value = witness(program, limit)
    if verdict != "unknown" or not results:
        return Answer(verdict, value, value)
    last = results[-1]
    best = None if last.x is None else round(last.fun) + program.constant
    return Answer("unknown" if best is None else "feasible", best, _whole(last.mip_dual_bound, program))


def by_enumeration(program: Program, limit: float) -> Answer:
    """Solve a program by trying everything; it knows no bound before its end."""
    start = time.process_time()
    found = cheapest(program, lambda: time.process_time() - start > limit)
    return Answer(found.verdict, found.value, found.value if found.verdict == "optimal" else None)


def agree(answers: list[Answer]) -> bool:
    """Return whether no two answers contradict each other."""
    proved = {answer.value for answer in answers if answer.verdict in ("optimal", "infeasible")}
    found = [answer.value for answer in answers if answer.value is not None]
    bounds = [answer.bound for answer in answers if answer.bound is not None]
    return len(proved) < 2 and not (None in proved and found) and max(bounds, default=0) <= min(found, default=math.inf)


def line(solver: str, seconds: float, answer: Answer, ours: float) -> str:
    """Return a solver's line of the table."""
    value, bound = ("none" if number is None else str(number) for number in (answer.value, answer.bound))
    return f"  {solver:20} {seconds:8.2f} {value:>8} {bound:>8} {seconds / ours:9.1f}  {answer.verdict}"


def _whole(bound: float | None, program: Program) -> int | None:
    return None if bound is None or not math.isfinite(bound) else math.ceil(bound - 1e-6) + program.constant


class _FirstModelError(Exception):
    """Ends a search once its first model has been asked."""

    def __init__(self, program: Program) -> None:
        super().__init__("the first model has been asked")
        self.program = program


SOLVERS: dict[str, Callable[[Program, float], Answer]] = {
    "CP-SAT, our settings": by_ours,
    "CP-SAT as it comes": by_cpsat,
    "HiGHS": by_highs,
    "enumeration": by_enumeration,
}
"""Ours first: the others are measured by it."""
