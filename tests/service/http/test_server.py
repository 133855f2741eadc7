"""A real server in a process of its own: under load, with workers killed, itself killed, told to stop."""

from __future__ import annotations

import os
import signal
import statistics
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx
import pytest

from tests.service.served import OwnServer, children, until


class Served(OwnServer):
    """A running server on an SQLite file."""

    def __init__(self, folder: Path, **settings: str) -> None:
        super().__init__(folder, f"sqlite:///{folder / 'shop.sqlite3'}", **settings)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for the tests it survives."""
    running = Served(tmp_path_factory.mktemp("served"), event_streams="1", body_time="1")
    yield running
    assert running.end(signal.SIGTERM) == 0


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Callable[..., Served]]:
    """Servers for tests that end them, on one store."""
    running: list[Served] = []

    def start(**settings: str) -> Served:
        running.append(Served(tmp_path, **settings))
        return running[-1]

    yield start
    for each in running:
        if each.process.poll() is None:
            each.end(signal.SIGKILL)


def test_health_is_told_at_once_while_two_solves_run(server: Served) -> None:
    jobs = [server.ask("slow", time_limit_s=30)["id"] for _ in range(2)]
    for id in jobs:
        server.until(id, "running")
    times = []
    for _ in range(40):
        began = time.monotonic()
        assert server.door.get("/healthz").status_code == 200
        times.append(1000 * (time.monotonic() - began))
        time.sleep(0.02)
    assert all(server.job(id)["state"] == "running" for id in jobs)
    for id in jobs:
        server.door.delete(f"/v1/plans/{id}")
    assert statistics.quantiles(times, n=20)[-1] < 100, sorted(times)


def test_a_worker_killed_from_outside_fails_its_own_job_only(server: Served) -> None:
    jobs = [server.ask("slow", time_limit_s=3)["id"] for _ in range(2)]
    for id in jobs:
        server.until(id, "running")
    until(lambda: all(server.job(id)["progress"] for id in jobs), 10, server.log)
    os.kill(server.solving()[0], signal.SIGKILL)
    ended = [server.until(id, "failed", "done") for id in jobs]
    assert sorted(job["state"] for job in ended) == ["done", "failed"]
    failed = next(job for job in ended if job["state"] == "failed")
    assert failed["problem"]["type"] == "/v1/problems/worker-died"
    assert "SIGKILL" in failed["problem"]["detail"]
    assert len(failed["plan"]["alternatives"]) == 1, "the best plan so far outlives the worker"
    assert server.ask(wait=20, time_limit_s=4)["state"] == "done"


def test_idle_workers_killed_from_outside_are_replaced(server: Served) -> None:
    until(lambda: len(children(server.process.pid)) >= 2, 10, server.log)
    assert server.ask(wait=20, time_limit_s=4)["state"] == "done"
    for pid in children(server.process.pid):
        os.kill(pid, signal.SIGKILL)
    until(lambda: server.door.get("/readyz").status_code == 200, 20, server.log)
    assert server.until(server.ask(time_limit_s=4)["id"], "done", seconds=60)["state"] == "done"
    assert server.door.get("/readyz").status_code == 200


def test_jobs_of_a_killed_server_are_taken_up_again(served: Callable[..., Served]) -> None:
    first = served(workers="1")
    running, waiting = (first.ask("slow", time_limit_s=2)["id"] for _ in range(2))
    first.until(running, "running")
    workers = children(first.process.pid)
    first.end(signal.SIGKILL)
    left = list(first.temporary.glob("holdwright-jobs-*"))
    second = served(workers="1", temporary=str(first.temporary))
    assert left and not any(folder.exists() for folder in left), "what was left behind is removed"
    done = [second.until(id, "done") for id in (running, waiting)]
    assert [job["attempts"] for job in done] == [2, 1]
    assert all(job["plan"]["alternatives"] for job in done)
    until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in workers), 5, first.log)


def test_a_server_told_to_stop_gives_its_jobs_back(served: Callable[..., Served]) -> None:
    first = served()
    id = first.ask("slow", time_limit_s=2)["id"]
    first.until(id, "running")
    assert first.end(signal.SIGTERM) == 0
    done = served(lease="600").until(id, "done")
    assert done["attempts"] == 1


def test_progress_is_streamed_while_it_is_made(server: Served) -> None:
    id = server.ask("slow", time_limit_s=30)["id"]
    heard = []
    with server.door.stream("GET", f"/v1/plans/{id}/events") as answer:
        for line in answer.iter_lines():
            heard.append(line)
            if line.startswith("id: 3"):
                server.door.delete(f"/v1/plans/{id}")
    assert "event: end" in heard
    assert '"state":"cancelled"' in heard[-2]


def test_no_more_streams_than_there_may_be(server: Served) -> None:
    id = server.ask("slow", time_limit_s=30)["id"]
    with server.door.stream("GET", f"/v1/plans/{id}/events") as first:
        lines = first.iter_lines()
        assert next(lines).startswith("event: ")
        refused = server.door.get(f"/v1/plans/{id}/events")
        assert (refused.status_code, refused.json()["type"]) == (503, "/v1/problems/busy")
    until(lambda: "holdwright_event_streams 0" in server.door.get("/metrics").text, 5, server.log)
    server.door.delete(f"/v1/plans/{id}")
    assert server.door.get(f"/v1/plans/{id}/events").status_code == 200


def test_a_body_that_never_comes_is_not_waited_for(server: Served) -> None:

    def drip() -> Iterator[bytes]:
        yield b"{"
        time.sleep(2.5)
        yield b"}"

    try:
        answer = server.door.post("/v1/plans", content=drip(), headers={"Content-Type": "application/json"})
    except httpx.TransportError:
        pass  # the server has hung up while the body was still on its way
    else:
        assert (answer.status_code, answer.json()["type"]) == (408, "/v1/problems/slow-body")
    assert server.alive()
