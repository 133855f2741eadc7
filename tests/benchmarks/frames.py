"""Where the time goes on frames: to the first checked plan, to the proof, to the alternatives, to a re-plan.

    python -m tests.benchmarks frames [--limit SECONDS] [JOB ...]

All times are CPU seconds of this process, limits too, so that other work on the machine counts little. Stages are exclusive: what
a stage calls of another counts there. HiGHS solves the rows of the position that won, as they stood when its price was proved, and
CP-SAT solves the same rows once more. Frames of 8 and 20 parts are in `jobs` beside this; the shop is the demo shop with two shelves.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Any
from unittest.mock import patch

from solver import planning, statics
from solver.answer import alternative as writing
from solver.model import position_model
from solver.model.cpsat import solve
from solver.model.families.on_demand import accurate
from solver.model.program import Program
from solver.model.witness import witness
from solver.search import next_position, search
from tests.benchmarks.planning_run import one_short, timed
from tests.benchmarks.shop import SHOP, request_of

JOBS = ("hinge-tab", "frame-4", "braced-frame", "frame-8", "frame-20")
LIMIT_S = 120.0
STAGES: tuple[tuple[str, object, str], ...] = (
    ("open", search.Search, "open"),
    ("survey", next_position, "survey_together"),
    ("model", search, "model_at"),
    ("model", position_model.PositionModel, "_broken"),
    ("cp-sat", position_model, "solve"),
    ("true", accurate, "locating_violations"),
    ("statics", statics, "holding_verdict"),
    ("written", planning, "alternative_of"),
    ("checked", writing, "check_alternative"),
    ("findings", writing, "findings"),
)
"""Stage, where its function is looked up, and the function's name."""


@dataclass
class Clock:
    """CPU seconds by stage, exclusive, and the last position that was found cheapest."""

    spent: defaultdict[str, float] = field(default_factory=lambda: defaultdict(float))
    running: list[str] = field(default_factory=lambda: ["rest"])
    since: float = field(default_factory=time.process_time)
    won: Program | None = None

    def turn(self) -> None:
        """Book the time since the last turn on what runs now."""
        now = time.process_time()
        self.spent[self.running[-1]] += now - self.since
        self.since = now

    def timed(self, stage: str, call: Callable[..., Any]) -> Callable[..., Any]:
        """Return a function that runs as before, on this stage's time."""

        def run(*args: Any, **more: Any) -> Any:
            self.turn()
            self.running.append(stage)
            try:
                return call(*args, **more)
            finally:
                self.turn()
                self.running.pop()

        return run

    def watching(self, call: Callable[..., Any]) -> Callable[..., Any]:
        """Return `Search.cheapest` that keeps a copy of the first winning position's program."""

        def run(*args: Any, **more: Any) -> Any:
            found = call(*args, **more)
            if self.won is None and found[0] is not None:
                program = found[0].model.program
                self.won = replace(program, rows=list(program.rows), cliques=list(program.cliques))
            return found

        return run

    @contextmanager
    def installed(self) -> Iterator[None]:
        """Time all stages while this lasts."""
        patches = [patch.object(where, name, self.timed(stage, getattr(where, name))) for stage, where, name in STAGES]
        patches.append(patch.object(search.Search, "cheapest", self.watching(search.Search.cheapest)))
        for entry in patches:
            entry.start()
        try:
            yield
        finally:
            self.turn()
            for entry in patches:
                entry.stop()


def report(name: str, limit: float) -> None:
    """Print one job's figures."""
    request = request_of(name)
    clock = Clock()
    with clock.installed():
        run = timed(replace(request, alternatives=1), SHOP, limit)
    work = run.plan.work
    price = run.plan.alternatives[0].cost.total_cents if run.plan.alternatives else None
    print(f"{name}: {len(request.weldment.parts)} parts, {run.plan.status}, {price} cents, gap {run.plan.gap}")
    print(f"  first checked plan {_s(run.first)}   proof {_s(run.proved)}   in all {_s(run.seconds)}")
    print(
        f"  positions {work['positions']}, surveyed {work['positions_surveyed']}, modelled {work['positions_modelled']}, "
        f"solves {work['solves']}, rounds {work['rounds_of_cuts']}"
    )
    longest = sorted(clock.spent.items(), key=lambda entry: -entry[1])
    shares = "  ".join(f"{stage} {spent:.2f} ({spent / run.seconds:.0%})" for stage, spent in longest)
    print(f"  {shares}", flush=True)
    if clock.won is not None:
        _against_highs(clock.won, limit)
    if run.plan.status != "optimal":
        return
    several = timed(request, SHOP, limit)
    again = timed(replace(one_short(request, run.plan), alternatives=1), SHOP, limit)
    print(
        f"  {len(several.plan.alternatives)} alternatives {_s(several.seconds)} ({_ratio(several.seconds, run.seconds)})", end=""
    )
    print(f"   re-plan {_s(again.seconds)} ({_ratio(again.seconds, run.seconds)}, {again.plan.status})", flush=True)


def _against_highs(program: Program, limit: float) -> None:
    start = time.process_time()
    one = solve(program, seed=1, seconds=limit)
    middle = time.process_time()
    verdict, value = witness(program, limit)
    end = time.process_time()
    print(
        f"  winning rows ({len(program.low)} variables, {len(program.rows)} rows, {len(program.cliques)} cliques): CP-SAT "
        f"{middle - start:.2f} s {one.verdict} {one.value}, HiGHS {end - middle:.2f} s {verdict} {value}, "
        f"ratio {_ratio(end - middle, middle - start)}",
        flush=True,
    )


def _s(seconds: float | None) -> str:
    return "none" if seconds is None else f"{seconds:.2f} s"


def _ratio(one: float, other: float) -> str:
    return f"{one / other:.2f}"
