"""One solve for the command line: its answer, its death, its limit, its cancellation."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from service.errors import SolveDied
from service.planning_jobs import single_solve
from service.planning_jobs.job_folder import JobFolder, StopSign
from service.planning_jobs.single_solve import watched


def _nothing(event: dict[str, Any]) -> None:
    pass


def _started(spool: JobFolder, limit_s: float) -> None:
    spool.put("started.json", {"pid": os.getpid(), "limit_s": limit_s, "warnings": ["odd"]})
    spool.put("unknown.json", {"status": "unknown", "stopped_by": "time"})


def test_the_answer_and_every_event_come_back() -> None:
    def work(spool: JobFolder) -> None:
        _started(spool, 5)
        for k in range(3):
            spool.report({"k": k})
        spool.put("plan.json", {"status": "optimal"})

    told: list[dict[str, Any]] = []
    assert watched(work, told.append) == {"status": "optimal"}
    assert told[0]["warnings"] == ["odd"]
    assert told[1:] == [{"k": 0}, {"k": 1}, {"k": 2}]


def test_a_child_over_its_limit_is_ended_and_leaves_its_best(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(single_solve, "GRACE_S", 0.2)

    def work(spool: JobFolder) -> None:
        _started(spool, 0.2)
        spool.put("best.json", {"status": "feasible", "alternatives": [1]})
        while True:
            pass

    began = time.monotonic()
    answer = watched(work, _nothing)
    assert time.monotonic() - began < 3
    assert answer == {"status": "feasible", "alternatives": [1], "stopped_by": "time"}


def test_a_child_over_its_limit_that_found_nothing_leaves_the_honest_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(single_solve, "GRACE_S", 0.1)

    def work(spool: JobFolder) -> None:
        _started(spool, 0.1)
        time.sleep(60)

    assert watched(work, _nothing) == {"status": "unknown", "stopped_by": "time"}


@pytest.mark.parametrize(
    ("end", "exitcode"), [(lambda: os.kill(os.getpid(), signal.SIGKILL), -9), (lambda: os._exit(3), 3)], ids=["killed", "exit"]
)
def test_a_child_that_dies_is_no_answer(end: Callable[[], None], exitcode: int) -> None:
    def work(spool: JobFolder) -> None:
        _started(spool, 5)
        end()

    with pytest.raises(SolveDied) as died:
        watched(work, _nothing)
    assert died.value.exitcode == exitcode


@pytest.mark.parametrize("obeys", [True, False])
def test_interrupt_keeps_the_best_so_far(obeys: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(single_solve, "GRACE_S", 0.3)

    def work(spool: JobFolder) -> None:
        _started(spool, 30)
        spool.put("best.json", {"from": "best"})
        sign = StopSign(spool)
        while not (obeys and sign()):
            time.sleep(0.01)
        spool.put("plan.json", {"from": "plan", "stopped_by": "cancel"})

    def interrupt(event: dict[str, Any]) -> None:
        if "pid" in event:
            threading.Timer(0.1, lambda: os.kill(os.getpid(), signal.SIGINT)).start()

    began = time.monotonic()
    answer = watched(work, interrupt)
    assert answer == {"from": "plan" if obeys else "best", "stopped_by": "cancel"}
    assert time.monotonic() - began < 3


def test_a_half_written_event_waits_for_its_end(tmp_path: Path) -> None:
    spool = JobFolder(tmp_path / "job").create()
    spool.report({"k": 0})
    with (spool.folder / "progress.jsonl").open("a") as file:
        file.write('{"k": 1')
    assert spool.events() == [{"k": 0}]
    assert spool.events(1) == []


def test_a_job_nobody_wants_any_more_stops(tmp_path: Path) -> None:
    spool = JobFolder(tmp_path / "job").create()
    sign = StopSign(spool)
    assert not sign()
    spool.folder.rmdir()
    time.sleep(0.03)
    assert sign()
