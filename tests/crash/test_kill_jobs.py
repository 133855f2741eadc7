"""Workers and servers killed in mid-solve, on both adapters: no job is lost, stuck or answered twice."""

from __future__ import annotations

import random
import signal
import time
from collections import deque
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.databases import new_database, new_postgresql
from tests.service.asked import asked
from tests.service.served import START_S, OwnProcess, OwnServer, OwnWorker, until

ADAPTERS = ("embedded on sqlite", "embedded on postgresql", "queue")
SETTINGS = {"queue": "1000", "attempts": "10", "lease": "1"}
MIX: tuple[tuple[str, dict[str, Any]], ...] = (
    ("plain", {}), ("slow", {"time_limit_s": 1.0}), ("refused", {}), ("slow", {"time_limit_s": 2.0})
)  # fmt: skip


@dataclass
class Fleet:
    """Servers on one database, one of which is not killed and answers; workers too, where there is a queue."""

    folder: Path
    db: str
    adapter: str
    front: OwnServer = field(init=False)
    solvers: list[OwnProcess] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.restart_front()

    def restart_front(self) -> None:
        """Start the server that answers, once more if it was killed."""
        runner = "queue" if self.adapter == "queue" else "embedded"
        self.front = OwnServer(self.folder, self.db, runner=runner, workers="1", **SETTINGS)

    def one_more(self) -> OwnProcess:
        """Start one that solves beside it, and return it once it does."""
        if self.adapter != "queue":
            self.solvers.append(OwnServer(self.folder, self.db, workers="2", **SETTINGS))
            return self.solvers[-1]
        worker = OwnWorker(self.folder, self.db, workers="2", **SETTINGS)
        self.solvers.append(worker)
        return worker.until_up()


@contextmanager
def fleet(folder: Path, adapter: str) -> Iterator[Fleet]:
    db = new_database("sqlite", folder) if adapter == "embedded on sqlite" else new_postgresql()
    running = Fleet(folder, db, adapter)
    try:
        yield running
    finally:
        for each in (*running.solvers, running.front):
            each.leave()


def kill_solvers(running: Fleet, times: int, jobs: int) -> None:
    """Kill those who solve, each in mid-work, while jobs come in; then hold every job against what it must have become."""
    chance = random.Random(times)
    asked_for: dict[str, str] = {}
    with ThreadPoolExecutor(2) as starts:  # who comes next is started while the one before still works
        coming = deque(starts.submit(running.one_more) for _ in range(min(3, times + 1)))
        for kill in range(times):
            solver = coming.popleft().result()
            for number in range(200):
                if number > jobs // times and solver.solving():
                    break
                if number > jobs // times:
                    time.sleep(0.3)  # others were faster: until it has one of the next
                name, changes = MIX[chance.randrange(len(MIX))]
                job = running.front.ask(name, **changes, seed=chance.randrange(1000))
                asked_for[job["id"]] = name
            assert solver.solving(), solver.log.read_text()
            time.sleep(chance.uniform(0, 0.5))
            solver.end(signal.SIGKILL)
            if kill + len(coming) < times:
                coming.append(starts.submit(running.one_more))
    ended = {id: running.front.until(id, "done", "failed", "cancelled", seconds=240) for id in asked_for}
    answered_rightly(ended, asked_for)


def answered_rightly(ended: dict[str, dict[str, Any]], asked_for: dict[str, str]) -> None:
    assert {id: job["state"] for id, job in ended.items()} == dict.fromkeys(asked_for, "done")
    for id, job in ended.items():
        assert job["plan"]["status"] == {"plain": "optimal", "slow": "feasible", "refused": "infeasible"}[asked_for[id]]
        assert 1 <= job["attempts"] <= 10
    assert any(job["attempts"] > 1 for job in ended.values()), "nothing was ever taken up again"


def answers_are_final(running: Fleet, ids: list[str]) -> None:
    """An answer that was given once never changes: nobody answers a second time."""
    before = {id: running.front.job(id) for id in ids}
    time.sleep(3)
    assert {id: running.front.job(id) for id in ids} == before


def test_a_queue_worker_killed_once(tmp_path: Path) -> None:
    with fleet(tmp_path, "queue") as running:
        kill_solvers(running, 1, 2)


@pytest.mark.slow
@pytest.mark.parametrize("adapter", ADAPTERS)
def test_solvers_killed_seventy_times(tmp_path: Path, adapter: str) -> None:
    """Two hundred in all, on the three ways of sharing jobs."""
    with fleet(tmp_path, adapter) as running:
        kill_solvers(running, 67, 134)


@pytest.mark.slow
@pytest.mark.parametrize("adapter", ADAPTERS)
def test_the_server_that_answers_killed_seventeen_times(tmp_path: Path, adapter: str) -> None:
    """Fifty in all; whoever asked with a key asks again at the next server and gets the same job."""
    chance, keys = random.Random(17), dict[str, str]()
    with fleet(tmp_path, adapter) as running:
        running.one_more()
        for kill in range(17):
            for number in range(4):
                key, (name, changes) = f"key-{kill}-{number}", MIX[number]
                body = asked(name, **changes, seed=10 * kill + number)
                keys[key] = _taken(running.front.door, body, key)
            time.sleep(chance.uniform(0, 0.5))
            running.front.end(signal.SIGKILL)
            running.solvers.append(running.front)
            running.restart_front()
            for number in range(4):
                key, (name, changes) = f"key-{kill}-{number}", MIX[number]
                body = asked(name, **changes, seed=10 * kill + number)
                assert _taken(running.front.door, body, key) == keys[key]
        ended = {id: running.front.until(id, "done", "failed", seconds=240) for id in keys.values()}
        assert {job["state"] for job in ended.values()} == {"done"}
        answers_are_final(running, list(ended))


@pytest.mark.slow
def test_a_job_that_kills_its_worker_each_time_fails_after_its_attempts(tmp_path: Path) -> None:
    with fleet(tmp_path, "queue") as running:
        id = running.front.ask("slow", time_limit_s=60)["id"]
        for _ in range(10):
            worker = OwnWorker(tmp_path, running.db, workers="1", **SETTINGS).until_up()
            until(worker.solving, START_S, worker.log)
            worker.end(signal.SIGKILL)
        job = running.front.until(id, "failed", seconds=60)
        assert (job["attempts"], job["problem"]["type"]) == (10, "/v1/problems/interrupted")
        assert "10 times" in job["problem"]["detail"]


def _taken(door: httpx.Client, body: dict[str, Any], key: str) -> str:
    answer = door.post("/v1/plans", json=body, headers={"Idempotency-Key": key, "Cache-Control": "no-cache"})
    assert answer.status_code in (200, 202), answer.text
    return str(answer.json()["id"])
