"""One solve for the command line: its answer, its death, its limit, its cancellation."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from inventory.errors import Fault
from service.documents import read_plan
from service.errors import InvalidSource, SolveDied
from service.planning_jobs import single_solve
from service.planning_jobs.child import solve
from service.planning_jobs.job_folder import JobFolder, StopSign
from service.planning_jobs.single_solve import hand_over_faults, watched
from solver.request import Request
from tests import builders as b
from tests.service.documents import samples
from tests.service.planners import by_name

NOTHING: dict[str, Any] = {"format": "holdwright.plan/1", "status": "unknown", "stopped_by": "time", "alternatives": []}
UNKNOWN = read_plan(NOTHING)
ALTERNATIVE = samples.plan()["alternatives"][0]
FOUND = read_plan({**NOTHING, "status": "feasible", "alternatives": [ALTERNATIVE]})


def _nothing(event: dict[str, Any]) -> None:
    pass


def _started(folder: JobFolder, limit_s: float) -> None:
    folder.put("started.json", {"pid": os.getpid(), "began": time.monotonic(), "limit_s": limit_s, "warnings": ["odd"]})
    folder.hand_over("best", UNKNOWN)


def _asked(name: str, limit_s: float) -> Request:
    return b.request(b.weldment(b.bar(length=300), name=name), time_limit_s=limit_s)


def test_the_answer_and_every_event_come_back() -> None:
    def work(folder: JobFolder) -> None:
        _started(folder, 5)
        for k in range(3):
            folder.report({"k": k})
        folder.hand_over("plan", replace(FOUND, status="optimal", stopped_by="proof"))

    told: list[dict[str, Any]] = []
    assert watched(work, told.append) == replace(FOUND, status="optimal", stopped_by="proof")
    assert told[0]["warnings"] == ["odd"]
    assert told[1:] == [{"k": 0}, {"k": 1}, {"k": 2}]


@pytest.mark.parametrize(
    ("name", "status", "bound"),
    [("hangs", "feasible", 800), ("hangs in a library", "feasible", 800), ("hangs once it is proved", "optimal", 900)],
)
def test_a_child_over_its_limit_is_ended_with_what_it_told_last(name: str, status: str, bound: int) -> None:
    told: list[dict[str, Any]] = []
    began = time.monotonic()
    answer = watched(lambda folder: solve(by_name, _asked(name, 1.0), b.plain_shelf(), folder), told.append)
    assert 1.0 < time.monotonic() - began < 5.0
    assert (answer.status, answer.stopped_by, answer.cost_bound_cents) == (status, "time", bound)
    assert [each.cost.total_cents for each in answer.alternatives] == [900]
    assert answer.gap == pytest.approx((900 - bound) / 900)
    assert (told[-1]["incumbent_cents"], told[-1]["bound_cents"], told[-1]["gap"]) == (900, bound, answer.gap)


@pytest.mark.parametrize(("name", "bound"), [("hangs at once", None), ("hangs while it explains", 500)])
def test_a_child_over_its_limit_that_told_no_plan_leaves_the_honest_answer(name: str, bound: int | None) -> None:
    answer = watched(lambda folder: solve(by_name, _asked(name, 1.0), b.plain_shelf(), folder), _nothing)
    assert (answer.status, answer.stopped_by, answer.cost_bound_cents, answer.alternatives) == ("unknown", "time", bound, ())
    assert answer.refused is not None
    assert [(reason.rule, reason.text) for reason in answer.refused.because] == [
        ("search.time", "the time ran out before a plan or a proof was found")
    ]


def test_what_the_child_cannot_use_is_told_with_every_fault() -> None:
    faults = (Fault("/quantity", "0 is too few", "1 to 10000000"), Fault("/tables", "is missing", "table ids"))
    with pytest.raises(InvalidSource) as bad:
        watched(lambda folder: hand_over_faults(folder, "request.json", faults), _nothing)
    assert (bad.value.source, bad.value.faults) == ("request.json", faults)


@pytest.mark.parametrize(
    ("end", "exitcode"), [(lambda: os.kill(os.getpid(), signal.SIGKILL), -9), (lambda: os._exit(3), 3)], ids=["killed", "exit"]
)
def test_a_child_that_dies_is_no_answer(end: Callable[[], None], exitcode: int) -> None:
    def work(folder: JobFolder) -> None:
        _started(folder, 5)
        end()

    with pytest.raises(SolveDied) as died:
        watched(work, _nothing)
    assert died.value.exitcode == exitcode


def test_a_child_that_dies_leaves_the_best_plan_it_told_and_a_warning() -> None:
    told: list[dict[str, Any]] = []
    answer = watched(lambda folder: solve(by_name, _asked("dies with a plan", 30), b.plain_shelf(), folder), told.append)
    assert (answer.status, answer.stopped_by, answer.cost_bound_cents) == ("feasible", "cancel", 800)
    assert [each.cost.total_cents for each in answer.alternatives] == [900]
    assert told[-1] == {"warnings": ["the solving process was ended by signal SIGKILL; this is the best plan it had found"]}


@pytest.mark.usefixtures("interruptible")
@pytest.mark.parametrize("obeys", [True, False])
def test_interrupt_keeps_the_best_so_far(obeys: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(single_solve, "GRACE_S", 0.3)

    def work(folder: JobFolder) -> None:
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
    answer = watched(work, interrupt)
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
