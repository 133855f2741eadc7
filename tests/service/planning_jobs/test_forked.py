"""One solve for the command line: its answer, its death, its limit, its cancellation."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest

from inventory.errors import Fault
from service.documents import read_plan
from service.errors import InvalidSource, SolveDied
from service.planning_jobs import single_solve
from service.planning_jobs.child import solve
from service.planning_jobs.job_folder import JobFolder, StopSign
from service.planning_jobs.single_solve import Question, cores, solve_question, watched
from solver import planning
from solver.plans import Plan
from tests import builders as b
from tests.service.documents import samples
from tests.service.planners import by_name

NOTHING: dict[str, Any] = {"format": "holdwright.plan/1", "status": "unknown", "stopped_by": "time", "alternatives": []}
UNKNOWN = read_plan(NOTHING)
ALTERNATIVE = samples.plan()["alternatives"][0]
FOUND = read_plan({**NOTHING, "status": "feasible", "alternatives": [ALTERNATIVE]})


def _nothing(event: dict[str, Any]) -> None:
    pass


def _asked(name: str = "frame", limit_s: float = 30.0) -> Question:
    return Question(b.request(b.weldment(b.bar(length=300), name=name), time_limit_s=limit_s), b.plain_shelf())


def _as_named(folder: JobFolder, asked: Connection) -> None:
    """What the child does where the planner behaves as the weldment's name asks."""
    question: Question = asked.recv()
    solve(by_name, question.request, question.stock, folder, question.warnings)


def _started(folder: JobFolder, limit_s: float) -> None:
    folder.put("started.json", {"pid": os.getpid(), "began": time.monotonic(), "limit_s": limit_s, "warnings": ["odd"]})
    folder.hand_over("best", UNKNOWN)


def test_a_question_is_planned_by_its_workers(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    told: list[int] = []

    def plan(*_: Any, workers: int, **__: Any) -> Plan:
        told.append(workers)
        return UNKNOWN

    monkeypatch.setattr(planning, "plan", plan)
    asked, asking = multiprocessing.Pipe(duplex=False)
    asking.send(_asked())
    solve_question(JobFolder(tmp_path / "one").create(), asked)
    asking.send(replace(_asked(), workers=3))
    solve_question(JobFolder(tmp_path / "three").create(), asked)
    assert told == [1, 3]


def test_there_is_a_worker_for_every_core_one_may_run_on() -> None:
    allowed = os.sched_getaffinity(0)
    try:
        assert cores() == len(allowed)
        os.sched_setaffinity(0, {min(allowed)})
        assert cores() == 1
    finally:
        os.sched_setaffinity(0, allowed)


def test_the_answer_and_every_event_come_back() -> None:
    def work(folder: JobFolder, asked: Connection) -> None:
        _started(folder, 5)
        for k in range(3):
            folder.report({"k": k})
        folder.hand_over("plan", replace(FOUND, status="optimal", stopped_by="proof"))

    told: list[dict[str, Any]] = []
    assert watched(_asked, told.append, work=work) == replace(FOUND, status="optimal", stopped_by="proof")
    assert told[0]["warnings"] == ["odd"]
    assert told[1:] == [{"k": 0}, {"k": 1}, {"k": 2}]


@pytest.mark.parametrize(
    ("name", "status", "bound"),
    [("hangs", "feasible", 800), ("hangs in a library", "feasible", 800), ("hangs once it is proved", "optimal", 900)],
)
def test_a_child_over_its_limit_is_ended_with_what_it_told_last(name: str, status: str, bound: int) -> None:
    told: list[dict[str, Any]] = []
    began = time.monotonic()
    answer = watched(lambda: _asked(name, 1.0), told.append, work=_as_named)
    assert 1.0 < time.monotonic() - began < 5.0
    assert (answer.status, answer.stopped_by, answer.cost_bound_cents) == (status, "time", bound)
    assert [each.cost.total_cents for each in answer.alternatives] == [900]
    assert answer.gap == pytest.approx((900 - bound) / 900)
    assert (told[-1]["incumbent_cents"], told[-1]["bound_cents"], told[-1]["gap"]) == (900, bound, answer.gap)


@pytest.mark.parametrize(("name", "bound"), [("hangs at once", None), ("hangs while it explains", 500)])
def test_a_child_over_its_limit_that_told_no_plan_leaves_the_honest_answer(name: str, bound: int | None) -> None:
    answer = watched(lambda: _asked(name, 1.0), _nothing, work=_as_named)
    assert (answer.status, answer.stopped_by, answer.cost_bound_cents, answer.alternatives) == ("unknown", "time", bound, ())
    assert answer.refused is not None
    assert [(reason.rule, reason.text) for reason in answer.refused.because] == [
        ("search.time", "the time ran out before a plan or a proof was found")
    ]


def test_the_question_is_read_here_and_reaches_the_child() -> None:
    def work(folder: JobFolder, asked: Connection) -> None:
        question = asked.recv()
        _started(folder, question.request.time_limit_s)
        folder.report({"reader": question.warnings[0], "solver": os.getpid()})
        folder.hand_over("plan", UNKNOWN)

    told: list[dict[str, Any]] = []
    watched(lambda: replace(_asked(), warnings=(str(os.getpid()),)), told.append, work=work)
    assert told[0]["limit_s"] == _asked().request.time_limit_s
    assert told[1]["reader"] == str(os.getpid()) != str(told[1]["solver"])


def test_whoever_waits_is_told_before_the_question_is_read() -> None:
    happened: list[str] = []

    def read() -> Question:
        happened.append("read")
        return _asked()

    watched(read, _nothing, lambda: happened.append("tick"), _as_named)
    assert happened[:2] == ["tick", "read"]


def test_what_cannot_be_read_ends_the_child_and_is_passed_on() -> None:
    before = set(multiprocessing.active_children())

    def read() -> Question:
        raise InvalidSource("request.json", [Fault("/quantity", "0 is too few", "1 to 10000000")])

    with pytest.raises(InvalidSource, match="quantity"):
        watched(read, _nothing)
    assert set(multiprocessing.active_children()) == before


@pytest.mark.parametrize(
    ("end", "exitcode"), [(lambda: os.kill(os.getpid(), signal.SIGKILL), -9), (lambda: os._exit(3), 3)], ids=["killed", "exit"]
)
def test_a_child_that_dies_is_no_answer(end: Callable[[], None], exitcode: int) -> None:
    def work(folder: JobFolder, asked: Connection) -> None:
        _started(folder, 5)
        end()

    with pytest.raises(SolveDied) as died:
        watched(_asked, _nothing, work=work)
    assert died.value.exitcode == exitcode


def test_a_child_that_dies_leaves_the_best_plan_it_told_and_a_warning() -> None:
    told: list[dict[str, Any]] = []
    answer = watched(lambda: _asked("dies with a plan", 30), told.append, work=_as_named)
    assert (answer.status, answer.stopped_by, answer.cost_bound_cents) == ("feasible", "cancel", 800)
    assert [each.cost.total_cents for each in answer.alternatives] == [900]
    assert told[-1] == {"warnings": ["the solving process was ended by signal SIGKILL; this is the best plan it had found"]}


@pytest.mark.usefixtures("interruptible")
@pytest.mark.parametrize("obeys", [True, False])
def test_interrupt_keeps_the_best_so_far(obeys: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(single_solve, "GRACE_S", 0.3)

    def work(folder: JobFolder, asked: Connection) -> None:
        _started(folder, 30)
        folder.hand_over("best", replace(FOUND, stopped_by=None))
        sign = StopSign(folder)
        while not (obeys and sign()):
            time.sleep(0.01)
        folder.hand_over("plan", replace(UNKNOWN, stopped_by="cancel"))

    def interrupt(event: dict[str, Any]) -> None:
        if "pid" in event:
            threading.Timer(0.1, lambda: os.kill(os.getpid(), signal.SIGINT)).start()

    began = time.monotonic()
    answer = watched(_asked, interrupt, work=work)
    assert (answer.stopped_by, answer.alternatives) == ("cancel", () if obeys else FOUND.alternatives)
    assert time.monotonic() - began < 3


def test_a_half_written_event_waits_for_its_end(tmp_path: Path) -> None:
    folder = JobFolder(tmp_path / "job").create()
    folder.report({"k": 0})
    with (folder.folder / "progress.jsonl").open("a") as file:
        file.write('{"k": 1')
    assert folder.events() == [{"k": 0}]
    assert folder.events(1) == []


def test_a_job_nobody_wants_any_more_stops(tmp_path: Path) -> None:
    folder = JobFolder(tmp_path / "job").create()
    sign = StopSign(folder)
    assert not sign()
    folder.folder.rmdir()
    time.sleep(0.03)
    assert sign()
